"""Which jobs were done: what was said of them in the diary, by the task's own identity."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, datetime
from types import MappingProxyType

from sqlalchemy import Connection, bindparam, select

from scheduler.cares.diary.entry import Entry
from scheduler.cares.diary.job_entries import JobDone
from scheduler.cares.diary.of_jobs import done_of, standing, task_of
from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal import diary, tables

NEVER_WORSE: Mapping[TaskKey, datetime] = MappingProxyType({})
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
    return done_of(diary.of_family(connection, site_id, "job", first))


def times_of(
    connection: Connection, site_id: str, care_ids: Sequence[str]
) -> list[tuple[str, datetime]]:
    """When jobs of these cares were done, the latest first; not more than two thousand."""
    asked = {"site": site_id, "cares": list(care_ids)}
    numbers = connection.execute(_OF_CARES, asked).scalars().all()
    found = [
        (one.what.care_id, one.happened_at)
        for one in standing(diary.by_number(connection, site_id, numbers))
        if isinstance(one.what, JobDone)
    ]
    return sorted(found, key=lambda one: one[1], reverse=True)[:_MOST_TIMES]


def mark(  # noqa: PLR0913, PLR0917 - what, who, when, and since when it is asked
    connection: Connection,
    site_id: str,
    keys: Sequence[TaskKey],
    done: Done,
    now: datetime,
    asked: Mapping[TaskKey, datetime] = NEVER_WORSE,
) -> None:
    """Keeps that these jobs were done; what was done before stays as it is.

    A tick from before its job was `asked` as it is now stays in the diary, beside the new one.
    """
    known = since(connection, site_id, min(key.day for key in keys))
    early = {
        key
        for key in keys
        if key in known and key in asked and known[key].at < asked[key] <= done.at
    }
    entries = [
        Entry(
            what=JobDone(care_id=key.care_id, ordinal=key.ordinal),
            about=key.subject_id,
            day=key.day,
            who=done.who,
            said_at=now,
            happened_at=done.at,
        )
        for key in keys
        if key not in known or key in early
    ]
    diary.keep(connection, site_id, entries)


def take_back(
    connection: Connection, site_id: str, keys: Collection[TaskKey], who: str, now: datetime
) -> int:
    """Takes back that these jobs were done; the entries stay. How many were."""
    first = min((key.day for key in keys), default=date.max)
    stands = {
        task_of(one, one.what): one.number
        for one in standing(diary.of_family(connection, site_id, "job", first))
        if isinstance(one.what, JobDone)
    }
    numbers = [stands[key] for key in dict.fromkeys(keys) if key in stands]
    diary.take_back(connection, site_id, numbers, who, now)
    return len(numbers)


def undo_ahead(connection: Connection, site_id: str, after: datetime, now: datetime) -> int:
    """Takes back what was marked later than `after`, by a clock that ran ahead; how many jobs."""
    ahead = diary.said_ahead(connection, site_id, "job", after)
    return diary.undo_ahead(connection, site_id, ahead, now)
