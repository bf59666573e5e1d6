"""Which jobs were done: one row a task, by the task's own identity."""

from collections.abc import Mapping, Sequence
from datetime import date, datetime
from types import MappingProxyType

from sqlalchemy import (
    ColumnElement,
    Connection,
    RowMapping,
    func,
    insert,
    select,
    tuple_,
    update,
)

from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal import tables
from scheduler.journal.clock_ahead import undone_ahead

PAGE = 500
NEVER_WORSE: Mapping[TaskKey, datetime] = MappingProxyType({})
_MOST_TIMES = 2000


def since(connection: Connection, site_id: str, first: date) -> dict[TaskKey, Done]:
    """Every job that was done of the dates from `first` on; of each the tick that was made last."""
    table = tables.done
    mine = select(table).where(table.c.site_id == site_id, table.c.day >= first)
    mine = mine.where(table.c.undone_at.is_(None), table.c.ordinal > 0)
    return {_key(row): _done(row) for row in connection.execute(mine).mappings().all()}


def times_of(
    connection: Connection, site_id: str, care_ids: Sequence[str]
) -> list[tuple[str, datetime]]:
    """When jobs of these cares were done, the latest first; not more than two thousand."""
    table = tables.done
    mine = (table.c.site_id == site_id) & table.c.care_id.in_(care_ids)
    found = select(table.c.care_id, table.c.at).where(mine, table.c.undone_at.is_(None))
    rows = connection.execute(found.order_by(table.c.at.desc()).limit(_MOST_TIMES)).all()
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
    rows = [
        {
            "site_id": site_id,
            "care_id": key.care_id,
            "subject_id": key.subject_id,
            "day": key.day,
            "ordinal": key.ordinal,
            "who": done.who,
            "at": done.at,
            "made_at": now,
        }
        for key in keys
        if key not in known or key in early
    ]
    if rows:
        connection.execute(insert(tables.done), rows)


def take_back(
    connection: Connection, site_id: str, keys: Sequence[TaskKey], who: str, now: datetime
) -> int:
    """Takes back that these jobs were done; the rows stay. How many were."""
    table, taken = tables.done, 0
    for key in keys:
        mine = update(table).where(_is(site_id, key), table.c.undone_at.is_(None))
        taken += connection.execute(mine.values(undone_at=now, undone_by=who)).rowcount
    return taken


def _keep_trace(connection: Connection, site_id: str, key: TaskKey, *, is_outdated: bool) -> None:
    """Moves what does not count any more of that job out of the way: below every ordinal."""
    table = tables.done
    lowest = select(func.coalesce(func.min(table.c.ordinal), 0)).where(_is_any(site_id, key))
    ordinal = min(int(connection.execute(lowest).scalar_one()), 0) - 1
    moved = update(table).where(_is(site_id, key))
    if not is_outdated:
        moved = moved.where(table.c.undone_at.is_not(None))
    connection.execute(moved.values(ordinal=ordinal))


def undo_ahead(connection: Connection, site_id: str, after: datetime, now: datetime) -> int:
    """Takes back what was marked later than `after`, by a clock that ran ahead; how many jobs."""
    return connection.execute(undone_ahead(tables.done, site_id, after, now)).rowcount


def page(
    connection: Connection, site_id: str, after: TaskKey | None
) -> list[tuple[TaskKey, Done, Done | None]]:
    """The next 500 jobs that were done, by date, and by whom and when that was taken back.

    From the first one on without `after`.
    """
    table = tables.done
    order = (table.c.day, table.c.care_id, table.c.subject_id, table.c.ordinal)
    mine = select(table).where(table.c.site_id == site_id)
    if after is not None:
        last = (after.day, after.care_id, after.subject_id, after.ordinal)
        mine = mine.where(tuple_(*order) > tuple_(*last))
    found = connection.execute(mine.order_by(*order).limit(PAGE)).mappings().all()
    return [(_key(row), _done(row), _undone(row)) for row in found]


def _is(site_id: str, key: TaskKey) -> ColumnElement[bool]:
    return _is_any(site_id, key) & (tables.done.c.ordinal == key.ordinal)


def _is_any(site_id: str, key: TaskKey) -> ColumnElement[bool]:
    """The jobs of that care, subject and date, whichever of them."""
    table = tables.done
    mine = (table.c.site_id == site_id) & (table.c.care_id == key.care_id)
    return mine & (table.c.subject_id == key.subject_id) & (table.c.day == key.day)


def _key(row: RowMapping) -> TaskKey:
    return TaskKey(row["care_id"], row["subject_id"], row["day"], row["ordinal"])


def _done(row: RowMapping) -> Done:
    return Done(who=row["who"], at=row["at"])


def _undone(row: RowMapping) -> Done | None:
    return Done(who=row["undone_by"] or "", at=row["undone_at"]) if row["undone_at"] else None
