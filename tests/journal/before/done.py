"""Which jobs were done as it was kept before the diary, see `closings`."""

from collections.abc import Mapping, Sequence
from dataclasses import asdict
from datetime import date, datetime
from types import MappingProxyType
from typing import Any

from sqlalchemy import Connection, Row, Table, Update, func, insert, select, update

from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal import tables

NEVER_WORSE: Mapping[TaskKey, datetime] = MappingProxyType({})
_MOST_TIMES = 2000


def since(connection: Connection, site_id: str, first: date) -> dict[TaskKey, Done]:
    """Every job that was done of the dates from `first` on; of each the tick that was made last."""
    table = tables.done
    mine = select(table).filter_by(site_id=site_id, undone_at=None)
    late = mine.where(table.c.day >= first, table.c.ordinal > 0)
    return {_key(row): _done(row) for row in connection.execute(late).all()}


def times_of(
    connection: Connection, site_id: str, care_ids: Sequence[str]
) -> list[tuple[str, datetime]]:
    """When jobs of these cares were done, the latest first; not more than two thousand."""
    table = tables.done
    mine = select(table.c.care_id, table.c.at).filter_by(site_id=site_id, undone_at=None)
    found = mine.where(table.c.care_id.in_(care_ids)).order_by(table.c.at.desc())
    rows = connection.execute(found.limit(_MOST_TIMES)).all()
    return [(row.care_id, row.at) for row in rows]


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
    for key in keys:
        _keep_trace(connection, site_id, key, is_outdated=key in early)
    by = {"site_id": site_id, "who": done.who, "at": done.at, "made_at": now}
    rows = [by | asdict(key) for key in keys if key not in known or key in early]
    if rows:
        connection.execute(insert(tables.done), rows)


def take_back(
    connection: Connection, site_id: str, keys: Sequence[TaskKey], who: str, now: datetime
) -> int:
    """Takes back that these jobs were done; the rows stay. How many were."""
    taken = 0
    for key in keys:
        mine = update(tables.done).filter_by(site_id=site_id, undone_at=None, **asdict(key))
        taken += connection.execute(mine.values(undone_at=now, undone_by=who)).rowcount
    return taken


def _keep_trace(connection: Connection, site_id: str, key: TaskKey, *, is_outdated: bool) -> None:
    """Moves what does not count any more of that job out of the way: below every ordinal."""
    table = tables.done
    this = {"site_id": site_id, **asdict(key)}
    of_any = {name: value for name, value in this.items() if name != "ordinal"}
    lowest = select(func.coalesce(func.min(table.c.ordinal), 0)).filter_by(**of_any)
    ordinal = min(int(connection.execute(lowest).scalar_one()), 0) - 1
    moved = update(table).filter_by(**this)
    if not is_outdated:
        moved = moved.where(table.c.undone_at.is_not(None))
    connection.execute(moved.values(ordinal=ordinal))


def undo_ahead(connection: Connection, site_id: str, after: datetime, now: datetime) -> int:
    """Takes back what was marked later than `after`, by a clock that ran ahead; how many jobs."""
    return connection.execute(undone_ahead(tables.done, site_id, after, now)).rowcount


def _key(row: Row[Any]) -> TaskKey:
    return TaskKey(row.care_id, row.subject_id, row.day, row.ordinal)


def _done(row: Row[Any]) -> Done:
    return Done(who=row.who, at=row.at)


BY_CLOCK = "the clock"


def undone_ahead(table: Table, site_id: str, after: datetime, now: datetime) -> Update:
    """Takes back every row of the site that was made later than `after` and still stands."""
    stands = update(table).filter_by(site_id=site_id, undone_at=None)
    return stands.where(table.c.made_at > after).values(undone_at=now, undone_by=BY_CLOCK)
