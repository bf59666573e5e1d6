"""Everything that was said and done, as rows, page by page: no read lasts longer than one page."""

from collections.abc import Iterator

from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.cares.records import Report
from scheduler.cares.report_words import SIGN_WORDS
from scheduler.cares.withheld_eggs import free_from
from scheduler.journal import closings, done, reports
from scheduler.journal.closings import WrittenClosing
from scheduler.journal.reports import Change, ChangeKind, WrittenReport
from scheduler.journal.store import Journal
from scheduler.profile.words import instant

HEADINGS = (
    "date",
    "what",
    "subject",
    "count",
    "who",
    "at",
    "taken back at",
    "taken back by",
    "until",
    "detail",
)
Row = tuple[str, ...]
_CHANGED: dict[ChangeKind, str] = {
    "ended": "ended",
    "confirmed": "still in force",
    "undone": "taken back",
    "label": "label read",
}


def pages(journal: Journal, site_id: str) -> Iterator[list[Row]]:
    """First what was said of doors, then reports and what was said of them, then the jobs done.

    Doors and reports come in the order of saying, jobs in the order of dates.

    Every page is read and its transaction ended before it is handed out.
    """
    with journal.reading() as connection:
        said = closings.written(connection, site_id)
        reported = reports.written(connection, site_id)
        changed = reports.changes(connection, site_id)
    for start in range(0, len(said), done.PAGE):
        yield [_said(one) for one in said[start : start + done.PAGE]]
    of = {one.number: one.report for one in reported}
    yield [_reported(site_id, one) for one in reported]
    yield [_changed(site_id, of[one.number], one) for one in changed]
    last: TaskKey | None = None
    while True:
        with journal.reading() as connection:
            found = done.page(connection, site_id, last)
        if not found:
            return
        last = found[-1][0]
        yield [_done(*one) for one in found]


def _said(one: WrittenClosing) -> Row:
    said = one.closing
    return (
        said.evening.isoformat(),
        said.kind,
        said.coop_id,
        "" if said.count is None else str(said.count),
        said.who,
        instant(said.at),
        instant(one.undone_at) if one.undone_at else "",
        one.undone_by,
        "",
        "some are missing" if said.some_missing else "",
    )


def _done(key: TaskKey, one: Done, undone: Done | None) -> Row:
    taken_back = (instant(undone.at), undone.who) if undone else ("", "")
    what = (key.day.isoformat(), key.care_id, key.subject_id)
    return (*what, "", one.who, instant(one.at), *taken_back, "", "")


def _reported(site_id: str, one: WrittenReport) -> Row:
    report = one.report
    details = (
        f"report {one.number}",
        "over on its first day" if report.spell.is_empty else "",
        "" if report.air_c is None else f"air {round(report.air_c, 1):g} °C",
        report.grade or "",
        f"binds {report.who}" if report.who else "",
        report.link,
        *_of_birds(report),
    )
    return (
        report.spell.first.isoformat(),
        report.kind,
        report.house_id or site_id,
        str(report.birds or ""),
        report.said_by,
        instant(report.made_at) if report.made_at else "",
        instant(one.undone_at) if one.undone_at else "",
        one.undone_by,
        max(report.spell.last, report.spell.first).isoformat() if report.spell.last else "",
        "; ".join(filter(None, details)),
    )


def _of_birds(report: Report) -> Iterator[str]:
    """What was seen, or the product and its withdrawal as the label has it."""
    yield from (SIGN_WORDS[sign] for sign in report.signs)
    yield report.words
    if report.kind == "medicine":
        yield "" if report.birds else "every bird of the house"
        eggs, free = report.egg_days, free_from(report)
        yield "eggs withheld until the label is read" if eggs is None else f"eggs {eggs} days"
        yield f"eggs free from {free}" if eggs and free else ""
        yield "" if report.meat_days is None else f"meat {report.meat_days} days"


def _changed(site_id: str, of: Report, one: Change) -> Row:
    had = f"; had been until {one.was_last}" if one.kind == "ended" and one.was_last else ""
    return (
        max(one.day, of.spell.first).isoformat() if one.day else "",
        f"{of.kind} {_CHANGED[one.kind]}",
        of.house_id or site_id,
        "",
        one.who,
        instant(one.at),
        instant(one.undone_at) if one.undone_at else "",
        one.undone_by,
        "",
        f"report {one.number}{had}",
    )
