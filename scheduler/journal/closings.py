"""What keepers said of their doors, and which signed answers are spent."""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import Connection, RowMapping, bindparam, delete, func, insert, select, update

from scheduler.cares.closing import Closing
from scheduler.cares.settled import still_matter
from scheduler.journal import tables
from scheduler.journal.clock_ahead import undone_ahead
from scheduler.journal.rows import named, next_number
from scheduler.journal.store import Journal

_KEPT_AS_SAID = ("kind", "coop_id", "evening", "at", "who", "flock", "count")
_WRITTEN = (  # put together once: every look asks it
    select(tables.closing)
    .where(tables.closing.c.site_id == bindparam("site"))
    .order_by(tables.closing.c.number)
)
_NUMBERED = _WRITTEN.where(tables.closing.c.number.in_(bindparam("numbers", expanding=True)))
_SINCE = _WRITTEN.where(tables.closing.c.evening >= bindparam("before"))
_SETTLED = select(tables.cache_settled).where(tables.cache_settled.c.site_id == bindparam("site"))


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
    """What was said, in the order of saying; what was taken back is "undone".

    Of evenings that are long over only what still matters to one that is not.
    """
    return tuple(map(_as_said, _rows(connection, site_id)))


def _rows(connection: Connection, site_id: str) -> Sequence[RowMapping]:
    settled = connection.execute(_SETTLED, {"site": site_id}).mappings().first()
    if settled is None:
        return connection.execute(_WRITTEN, {"site": site_id}).mappings().all()
    kept = {"site": site_id, "numbers": json.loads(settled["numbers"])}
    since = {"site": site_id, "before": settled["before"]}
    found = [
        *connection.execute(_NUMBERED, kept).mappings(),
        *connection.execute(_SINCE, since).mappings(),
    ]
    return sorted(found, key=lambda row: int(row["number"]))


def settle(journal: Journal, site_id: str, before: date) -> None:
    """Finds what still matters of the evenings before that date; the next look reads no more."""
    with journal.reading() as connection:
        rows = _rows(connection, site_id)
        state = _state(connection, site_id)
    matter = still_matter([_as_said(row) for row in rows], before)
    numbers = json.dumps([rows[place]["number"] for place in matter])
    with journal.writing() as writing:
        if _state(writing.connection, site_id) != state:
            return  # something was said meanwhile: the next night will do
        _forget_settled(writing.connection, site_id)
        row = {"site_id": site_id, "before": before, "numbers": numbers}
        writing.connection.execute(insert(tables.cache_settled), row)


def _state(connection: Connection, site_id: str) -> tuple[int, int]:
    """How much was said, and how much of it taken back: numbers that only grow."""
    of = tables.closing.c
    counted = select(func.count(of.number), func.count(of.undone_at)).filter_by(site_id=site_id)
    said, undone = connection.execute(counted).one()
    return said, undone


def _unsettle(connection: Connection, site_id: str, evenings: Iterable[date]) -> None:
    """Reads everything again where something changes of an evening that was settled."""
    settled = connection.execute(_SETTLED, {"site": site_id}).mappings().first()
    if settled and min(evenings, default=date.max) < settled["before"]:
        _forget_settled(connection, site_id)


def _forget_settled(connection: Connection, site_id: str) -> None:
    connection.execute(delete(tables.cache_settled).filter_by(site_id=site_id))


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
        _unsettle(connection, site_id, [one.evening for one in said])


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
    _unsettle(connection, site_id, [evening])


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
    _forget_settled(connection, site_id)
    return connection.execute(undone).rowcount


def spend(connection: Connection, site_id: str, token: str, evening: date) -> bool:
    """Spends the token of an answer; False when it was spent before."""
    row = {"site_id": site_id, "token": token, "evening": evening}
    spent = insert(tables.spent_answer).prefix_with("OR IGNORE")
    return connection.execute(spent, row).rowcount == 1
