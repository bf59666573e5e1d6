"""Everything that was said, as rows in the order of saying, page by page."""

from collections.abc import Iterator, Mapping

from scheduler.cares.diary.door_entries import OfADoor
from scheduler.cares.diary.entry import Entry, FromNewer, TakenBack, Unreadable, taken_back
from scheduler.cares.diary.job_entries import OfAJob
from scheduler.cares.diary.of_doors import as_closing
from scheduler.cares.diary.of_reports import as_made
from scheduler.cares.diary.report_entries import (
    LabelRead,
    OfAReport,
    ReportConfirmed,
    ReportEnded,
    ReportMade,
)
from scheduler.cares.records import Report
from scheduler.cares.report_words import SIGN_WORDS
from scheduler.cares.withheld_eggs import free_from
from scheduler.journal import entries
from scheduler.journal.store import Journal
from scheduler.profile.words import instant

HEADINGS = (
    *("entry", "date", "what", "subject", "count", "who", "at", "said at"),
    *("taken back at", "taken back by", "until", "detail"),
)
Row = tuple[str, ...]
Told = tuple[str, str, str, str]  # what, count, until, detail


def pages(journal: Journal, site_id: str) -> Iterator[list[Row]]:
    """A row for each entry, in the order of saying, with what took it back, if anything does.

    Every page is read and its transaction ended before it is handed out.
    """
    last = 0
    kinds: dict[int, str] = {}  # of the reports so far: what is said of one names it
    while True:
        with journal.reading() as connection:
            found = entries.page(connection, site_id, last)
            back = entries.by_number(connection, site_id, [one.number for one in found])
        if not found:
            return
        last = found[-1].number
        struck = taken_back(back)
        yield [_row(one, struck, kinds) for one in found]


def _row(one: Entry, struck: Mapping[int, Entry], kinds: dict[int, str]) -> Row:
    what, count, until, detail = _told(one, kinds)
    by = struck.get(one.number)
    return (
        str(one.number),
        one.day.isoformat(),
        what,
        one.about,
        count,
        one.who,
        instant(one.happened_at),
        instant(one.said_at) if one.said_at != one.happened_at else "",
        instant(by.said_at) if by else "",
        by.who if by else "",
        until,
        detail,
    )


def _told(one: Entry, kinds: dict[int, str]) -> Told:
    match one.what:
        case OfADoor() as said:
            told = as_closing(one, said)
            count = "" if told.count is None else str(told.count)
            return told.kind, count, "", "some are missing" if told.some_missing else ""
        case OfAJob(care_id=care_id):
            return care_id, "", "", ""
        case ReportMade(report=number, kind=kind):
            kinds[number] = kind
            return _reported(number, as_made(one))
        case OfAReport(report=number) as said:
            return _changed(kinds.get(number, "report"), said)
        case TakenBack(entry=number):
            return "taken back", "", "", f"entry {number}"
    return _unknown(one)


def _unknown(one: Entry) -> Told:
    match one.what:
        case FromNewer(kind=kind, text=text):
            return kind, "", "", f"said to a newer Duskfold: {text}"
        case Unreadable(kind=kind, text=text):
            return kind, "", "", f"entry {one.number} is damaged: {text}"
    raise TypeError(one.what)


def _reported(number: int, report: Report) -> Told:
    details = (
        f"report {number}",
        "over on its first day" if report.spell.is_empty else "",
        "" if report.air_c is None else f"air {round(report.air_c, 1):g} °C",
        report.grade or "",
        f"binds {report.who}" if report.who else "",
        report.link,
        *_of_birds(report),
    )
    until = max(report.spell.last, report.spell.first).isoformat() if report.spell.last else ""
    return report.kind, str(report.birds or ""), until, "; ".join(filter(None, details))


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


def _changed(kind: str, said: OfAReport) -> Told:
    detail = f"report {said.report}"
    match said:
        case ReportEnded(last=last):
            return f"{kind} ended", "", last.isoformat(), detail
        case ReportConfirmed(on=day):
            return f"{kind} still in force", "", "", f"{detail}; on {day}"
        case LabelRead(egg_days=days):
            known = "" if days is None else f"; eggs {days} days"
            return f"{kind} label read", "", "", f"{detail}{known}"
    raise TypeError(said)
