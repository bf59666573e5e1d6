"""Which jobs were done: one row a task, by the task's own identity."""

from collections.abc import Sequence
from datetime import date, datetime

from sqlalchemy import Connection, RowMapping, delete, insert, select, tuple_

from scheduler.cares.doing import Done, TaskKey
from scheduler.journal import tables

PAGE = 500


def since(connection: Connection, site_id: str, first: date) -> dict[TaskKey, Done]:
    """Every job that was done of the dates from `first` on."""
    table = tables.done
    mine = select(table).where(table.c.site_id == site_id, table.c.day >= first)
    return {_key(row): _done(row) for row in connection.execute(mine).mappings().all()}


def mark(
    connection: Connection, site_id: str, keys: Sequence[TaskKey], done: Done, now: datetime
) -> None:
    """Keeps that these jobs were done; what was done before stays as it is."""
    known = since(connection, site_id, min(key.day for key in keys))
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
        if key not in known
    ]
    if rows:
        connection.execute(insert(tables.done), rows)


def clear(connection: Connection, site_id: str, keys: Sequence[TaskKey]) -> None:
    """Forgets that these jobs were done."""
    table = tables.done
    for key in keys:
        mine = (table.c.site_id == site_id) & (table.c.care_id == key.care_id)
        mine &= (table.c.subject_id == key.subject_id) & (table.c.day == key.day)
        connection.execute(delete(table).where(mine, table.c.ordinal == key.ordinal))


def page(connection: Connection, site_id: str, after: TaskKey | None) -> list[tuple[TaskKey, Done]]:
    """The next 500 jobs that were done, by date; from the first one on without `after`."""
    table = tables.done
    order = (table.c.day, table.c.care_id, table.c.subject_id, table.c.ordinal)
    mine = select(table).where(table.c.site_id == site_id)
    if after is not None:
        last = (after.day, after.care_id, after.subject_id, after.ordinal)
        mine = mine.where(tuple_(*order) > tuple_(*last))
    found = connection.execute(mine.order_by(*order).limit(PAGE)).mappings().all()
    return [(_key(row), _done(row)) for row in found]


def _key(row: RowMapping) -> TaskKey:
    return TaskKey(row["care_id"], row["subject_id"], row["day"], row["ordinal"])


def _done(row: RowMapping) -> Done:
    return Done(who=row["who"], at=row["at"])
