"""What was said by a clock that ran ahead: it is to be taken back in the clock's name."""

from datetime import date, datetime

from sqlalchemy import Connection

from scheduler.cares.diary.door_entries import DoorShut
from scheduler.cares.diary.entry import Entry, Family, TakenBack, taken_back
from scheduler.journal import entries
from scheduler.journal.reports import every


def doors(
    connection: Connection, site_id: str, after: datetime, *, shut_since: date | None = None
) -> list[int]:
    """The entries that say so of doors, later than `after`.

    With `shut_since`, only that a door is shut, on an evening of that date or later.
    """
    return [
        one.number
        for one in _ahead(connection, site_id, "door", after)
        if shut_since is None or (isinstance(one.what, DoorShut) and one.day >= shut_since)
    ]


def jobs(connection: Connection, site_id: str, after: datetime) -> list[int]:
    """The same of jobs."""
    return [one.number for one in _ahead(connection, site_id, "job", after)]


def searches(connection: Connection, site_id: str, after: datetime) -> list[int]:
    """The same of who looks for missing birds."""
    return [one.number for one in _ahead(connection, site_id, "search", after)]


def reports(connection: Connection, site_id: str, after: datetime) -> list[int]:
    """The same of reports, and of what was said of them since, the newest first.

    What was said at a right time after it stands.
    """
    written, changes = every(connection, site_id)
    ahead: list[int] = []
    for report in written:
        mine = [one for one in changes if one.number == report.number and one.undone_at is None]
        while mine and mine[-1].at > after:
            ahead.append(mine.pop().entry)
        stands = report.undone_at is None or report.undone_in in ahead
        if stands and report.report.made_at and report.report.made_at > after:
            ahead.append(report.entry)
    return ahead


def _ahead(connection: Connection, site_id: str, family: Family, after: datetime) -> list[Entry]:
    said = entries.said_after(connection, site_id, family, after)
    struck = taken_back(entries.by_number(connection, site_id, [one.number for one in said]))
    return [one for one in said if not isinstance(one.what, TakenBack) and one.number not in struck]
