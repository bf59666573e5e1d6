"""Which jobs were done, as the diary has it."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy import Connection, bindparam, select

from scheduler.cares.diary.job_entries import JobDone
from scheduler.cares.diary.of_jobs import done_of, standing
from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal import entries, tables

_MOST_TIMES = 100  # of each: a daily job's last three months
_OF = tables.entry.c
_OF_A_CARE = (
    select(_OF.number)
    .filter_by(site_id=bindparam("site"), care_id=bindparam("care"))
    .order_by(_OF.happened_at.desc())
    .limit(_MOST_TIMES)
)


def since(connection: Connection, site_id: str, first: date) -> dict[TaskKey, Done]:
    """Every job that was done of the dates from `first` on; of each the tick that was made last."""
    return done_of(entries.of_family(connection, site_id, "job", first))


def times_of(
    connection: Connection, site_id: str, care_ids: Sequence[str]
) -> list[tuple[str, datetime]]:
    """When jobs of these cares were done, the latest first: of each the last hundred times."""
    numbers = [
        number
        for care_id in care_ids
        for number in connection.execute(_OF_A_CARE, {"site": site_id, "care": care_id}).scalars()
    ]
    found = [
        (one.what.care_id, one.happened_at)
        for one in standing(entries.by_number(connection, site_id, numbers))
        if isinstance(one.what, JobDone)
    ]
    return sorted(found, key=lambda one: one[1], reverse=True)
