"""What keepers reported, as the diary has it, and what was said of it since."""

from datetime import datetime

from sqlalchemy import Connection

from scheduler.cares.diary.of_reports import Change, WrittenReport, last_of, reports_of
from scheduler.cares.records import Report
from scheduler.journal import entries


def every(
    connection: Connection, site_id: str
) -> tuple[tuple[WrittenReport, ...], tuple[Change, ...]]:
    """Every report in the order of making, and all that was said of them.

    Of those that ended long ago none: see `settling`.
    """
    return reports_of(entries.that_matter(connection, site_id, "report"))


def ever(connection: Connection, site_id: str) -> tuple[WrittenReport, ...]:
    """Every report that was ever made, however long ago it ended."""
    return reports_of(entries.of_family(connection, site_id, "report"))[0]


def in_force(connection: Connection, site_id: str) -> dict[int, Report]:
    """Every report of the site that is not taken back, by number."""
    known = written(connection, site_id)
    return {one.number: one.report for one in known if one.undone_at is None}


def written(connection: Connection, site_id: str) -> tuple[WrittenReport, ...]:
    """The reports of `every`."""
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
    return last_of(changes(connection, site_id))
