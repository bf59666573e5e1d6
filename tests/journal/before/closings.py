"""What keepers said of their doors as it was kept before the diary: its tables' own rules.

Kept as it was, without what only made it fast, for as long as the tables are there: what a journal
of that time holds must mean the same in the diary.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import Connection, RowMapping, bindparam, func, insert, select, update

from scheduler.cares.closing import Closing
from scheduler.journal import tables
from scheduler.journal.rows import named, next_number
from tests.journal.before.done import undone_ahead

_KEPT_AS_SAID = ("kind", "coop_id", "evening", "at", "who", "flock", "count")
_WRITTEN = (  # put together once: every look asks it
    select(tables.closing)
    .where(tables.closing.c.site_id == bindparam("site"))
    .order_by(tables.closing.c.number)
)


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenClosing:
    """What was said as it was said, and when and by whom it was taken back."""

    closing: Closing
    undone_at: datetime | None
    undone_by: str


def written(connection: Connection, site_id: str) -> tuple[WrittenClosing, ...]:
    """Everything that was ever said, taken back or not, in the order of saying."""
    rows = connection.execute(_WRITTEN, {"site": site_id}).mappings().all()
    return tuple(map(_as_written, rows))


def closings(connection: Connection, site_id: str) -> tuple[Closing, ...]:
    """What was said, in the order of saying; what was taken back is "undone"."""
    rows = connection.execute(_WRITTEN, {"site": site_id}).mappings().all()
    return tuple(map(_as_said, rows))


def _as_written(row: RowMapping) -> WrittenClosing:
    return WrittenClosing(
        closing=Closing(
            **{name: row[name] for name in _KEPT_AS_SAID},
            some_missing=bool(row["some_missing"]),
            made_at=row["made_at"] if row["made_at"] > row["at"] else None,
        ),
        undone_at=row["undone_at"],
        undone_by=row["undone_by"] or "",
    )


def _as_said(row: RowMapping) -> Closing:
    one = _as_written(row)
    if one.undone_at is None:
        return one.closing
    return replace(
        one.closing,
        kind="undone",
        at=one.undone_at,
        who=one.undone_by or one.closing.who,
        made_at=None,
        was=one.closing.kind,
        was_at=one.closing.at,
        was_by=one.closing.who,
    )


def add(connection: Connection, site_id: str, said: Sequence[Closing], now: datetime) -> None:
    """Keeps what was said, in this order."""
    first = next_number(connection, tables.closing.c.number, site_id=site_id)
    rows = [
        named(one, _KEPT_AS_SAID)
        | {"some_missing": int(one.some_missing), "made_at": now}
        | {"site_id": site_id, "number": number}
        for number, one in enumerate(said, start=first)
    ]
    if rows:
        connection.execute(insert(tables.closing), rows)


def turns(connection: Connection, site_id: str, since: date) -> dict[tuple[str, date], int]:
    """How much was said of each coop and evening from `since` on: a number that only grows."""
    table = tables.closing
    said = func.count(table.c.number) + func.count(table.c.undone_at)
    each = (table.c.coop_id, table.c.evening)
    mine = select(*each, said).filter_by(site_id=site_id).where(table.c.evening >= since)
    rows = connection.execute(mine.group_by(*each)).all()
    return {(coop_id, evening): number for coop_id, evening, number in rows}


def take_back(  # noqa: PLR0913, PLR0917 - whose, when, by whom
    connection: Connection, site_id: str, coop_id: str, evening: date, now: datetime, who: str
) -> None:
    """Takes back what was said last of that coop and evening; the row stays."""
    stands = {"site_id": site_id, "coop_id": coop_id, "evening": evening, "undone_at": None}
    last = select(func.max(tables.closing.c.number)).filter_by(**stands).scalar_subquery()
    here = update(tables.closing).filter_by(site_id=site_id, number=last)
    connection.execute(here.values(undone_at=now, undone_by=who))


def undo_ahead(
    connection: Connection,
    site_id: str,
    after: datetime,
    now: datetime,
    *,
    shut_since: date | None = None,
) -> int:
    """Takes back what was said later than `after`, by a clock that ran ahead; how much it was.

    With `shut_since`, only that a door is shut, on an evening of that date or later.
    """
    undone = undone_ahead(tables.closing, site_id, after, now)
    if shut_since is not None:
        of = tables.closing.c
        undone = undone.where(of.kind == "closed", of.evening >= shut_since)
    return connection.execute(undone).rowcount
