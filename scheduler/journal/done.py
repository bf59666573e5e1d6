"""Which jobs were done, as the diary has it."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy import Connection, bindparam, select

from scheduler.cares.diary.job_entries import JobDone
from scheduler.cares.diary.of_jobs import done_of, standing
from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal import entries, tables

_MOST_TIMES = 2000
_OF = tables.entry.c
_OF_CARES = (
    select(_OF.number)
    .filter_by(site_id=bindparam("site"))
    .where(_OF.care_id.in_(bindparam("cares", expanding=True)))
    .order_by(_OF.happened_at.desc(), _OF.number.desc())
    .limit(2 * _MOST_TIMES)
)


def since(connection: Connection, site_id: str, first: date) -> dict[TaskKey, Done]:
    """Every job that was done of the dates from `first` on; of each the tick that was made last."""
    return done_of(entries.of_family(connection, site_id, "job", first))


def times_of(
    connection: Connection, site_id: str, care_ids: Sequence[str]
) -> list[tuple[str, datetime]]:
    """When jobs of these cares were done, the latest first; not more than two thousand."""
    asked = {"site": site_id, "cares": list(care_ids)}
    numbers = connection.execute(_OF_CARES, asked).scalars().all()
    found = [
        (one.what.care_id, one.happened_at)
        for one in standing(entries.by_number(connection, site_id, numbers))
        if isinstance(one.what, JobDone)
    ]
    return sorted(found, key=lambda one: one[1], reverse=True)[:_MOST_TIMES]
