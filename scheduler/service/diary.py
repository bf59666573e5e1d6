"""Everything that was said and done, as rows, page by page: no read lasts longer than one page."""

from collections.abc import Iterator
from datetime import datetime

from scheduler.cares.doing import TaskKey
from scheduler.cares.records import Report
from scheduler.journal import closings, done
from scheduler.journal.store import Journal, reports_written
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


def pages(journal: Journal, site_id: str) -> Iterator[list[Row]]:
    """First what was said of doors, then reports, then the jobs that were done.

    Doors and reports come in the order of saying, jobs in the order of dates.

    Every page is read and its transaction ended before it is handed out.

    Raises:
        JournalFault: the journal cannot be read.
    """
    with journal.reading() as connection:
        said = closings.written(connection, site_id)
        reported = reports_written(connection, site_id)
    for start in range(0, len(said), done.PAGE):
        yield [
            (
                one.closing.evening.isoformat(),
                one.closing.kind,
                one.closing.coop_id,
                "" if one.closing.count is None else str(one.closing.count),
                one.closing.who,
                instant(one.closing.at),
                instant(one.undone_at) if one.undone_at else "",
                one.undone_by,
                "",
                "",
            )
            for one in said[start : start + done.PAGE]
        ]
    yield [_reported(site_id, *one) for one in reported]
    last: TaskKey | None = None
    while True:
        with journal.reading() as connection:
            found = done.page(connection, site_id, last)
        if not found:
            return
        last = found[-1][0]
        yield [
            (
                key.day.isoformat(),
                key.care_id,
                key.subject_id,
                "",
                one.who,
                instant(one.at),
                instant(undone.at) if undone else "",
                undone.who if undone else "",
                "",
                "",
            )
            for key, one, undone in found
        ]


def _reported(site_id: str, report: Report, undone_at: datetime | None, undone_by: str) -> Row:
    air = "" if report.air_c is None else f"air {report.air_c:g} °C"
    return (
        report.spell.first.isoformat(),
        report.kind,
        site_id,
        "",
        "",
        instant(report.made_at) if report.made_at else "",
        instant(undone_at) if undone_at else "",
        undone_by,
        report.spell.last.isoformat() if report.spell.last else "",
        "; ".join(one for one in (air, report.grade or "", report.who, report.link) if one),
    )
