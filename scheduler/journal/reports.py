"""What keepers reported, and what was said of it since: ended, still in force, taken back."""

from datetime import date, datetime

from sqlalchemy import Connection

from scheduler.cares.diary.entry import BY_CLOCK, Entry
from scheduler.cares.diary.of_reports import (
    Change,
    WrittenReport,
    report_as_made,
    reports_of,
)
from scheduler.cares.diary.report_entries import OfAReport
from scheduler.cares.records import Report
from scheduler.journal import diary


def every(
    connection: Connection, site_id: str
) -> tuple[tuple[WrittenReport, ...], tuple[Change, ...]]:
    """Every report that was ever made, in the order of making; and all that was said of them."""
    return reports_of(diary.of_family(connection, site_id, "report"))


def in_force(connection: Connection, site_id: str) -> dict[int, Report]:
    """Every report of the site that is not taken back, by number."""
    written = every(connection, site_id)[0]
    return {one.number: one.report for one in written if one.undone_at is None}


def written(connection: Connection, site_id: str) -> tuple[WrittenReport, ...]:
    """Every report that was ever made, in the order of making."""
    return every(connection, site_id)[0]


def changes(connection: Connection, site_id: str) -> tuple[Change, ...]:
    """Everything that was ever said of the site's reports, of each in the order of saying."""
    return every(connection, site_id)[1]


def changes_since(connection: Connection, site_id: str, since: datetime) -> tuple[Change, ...]:
    """What was said of the site's reports since then and still stands."""
    said = changes(connection, site_id)
    return tuple(one for one in said if one.at >= since and one.undone_at is None)


def last_changes(connection: Connection, site_id: str) -> dict[int, Change]:
    """What was said last of each report and still stands, by the report's number."""
    found = changes(connection, site_id)
    return {one.number: one for one in found if one.undone_at is None}


def add(connection: Connection, site_id: str, report: Report, now: datetime) -> int:
    """Keeps a report and gives it the next number of its site."""
    number = max((one.number for one in written(connection, site_id)), default=0) + 1
    made = report_as_made(number, report)
    about = report.house_id or site_id
    _keep(connection, site_id, made, about, report.spell.first, report.said_by, now)
    return number


def say(connection: Connection, site_id: str, what: OfAReport, who: str, now: datetime) -> None:
    """Keeps what was said of a report."""
    made = _made(connection, site_id, what.report)
    [entry] = diary.by_number(connection, site_id, [made.entry])[:1]
    _keep(connection, site_id, what, entry.about, entry.day, who, now)


def _keep(  # noqa: PLR0913, PLR0917 - what, of what, of which day, by whom, when
    connection: Connection,
    site_id: str,
    what: OfAReport,
    about: str,
    day: date,
    who: str,
    now: datetime,
) -> None:
    entry = Entry(what=what, about=about, day=day, who=who, said_at=now, happened_at=now)
    diary.keep(connection, site_id, [entry])


def _made(connection: Connection, site_id: str, number: int) -> WrittenReport:
    return next(one for one in written(connection, site_id) if one.number == number)


def withdraw(connection: Connection, site_id: str, number: int, who: str, now: datetime) -> None:
    """Takes a report back whole: it counts as never made, but its entry stays."""
    entry = _made(connection, site_id, number).entry
    diary.take_back(connection, site_id, [entry], who, now)


def take_back(
    connection: Connection, site_id: str, number: int, who: str, now: datetime
) -> Report | None:
    """Takes back what was said last of a report: it is what it was before.

    None when nothing was said of it. What the clock took back comes back as well.
    """
    last = last_changes(connection, site_id).get(number)
    entry = last.entry if last else _made(connection, site_id, number).undone_in
    if not entry:
        return None
    diary.take_back(connection, site_id, [entry], who, now)
    return in_force(connection, site_id).get(number)


def undo_ahead(connection: Connection, site_id: str, after: datetime, now: datetime) -> int:
    """Takes back what was reported, or said of a report, later than `after`; how much it was.

    A clock that ran ahead is to blame. What was said at a right time after it stands.
    """
    undone = 0
    for number in {one.number for one in changes(connection, site_id) if one.at > after}:
        while (last := last_changes(connection, site_id).get(number)) and last.at > after:
            take_back(connection, site_id, number, BY_CLOCK, now)
            undone += 1
    made = [
        one
        for one in written(connection, site_id)
        if one.undone_at is None and one.report.made_at and one.report.made_at > after
    ]
    diary.take_back(connection, site_id, [one.entry for one in made], BY_CLOCK, now)
    return undone + len(made)
