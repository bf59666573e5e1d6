"""What keepers said of their doors, and which signed answers are spent."""

import json
from collections.abc import Iterable, Sequence
from datetime import date, datetime

from sqlalchemy import Connection, bindparam, delete, func, insert, select

from scheduler.cares.closing import Closing
from scheduler.cares.diary.door_entries import DoorShut
from scheduler.cares.diary.entry import Entry
from scheduler.cares.diary.of_doors import NumberedClosing, closings_of, said_of_door
from scheduler.cares.settled import still_matter
from scheduler.journal import diary, tables
from scheduler.journal.store import Journal

_OF = tables.entry.c
_SETTLED = select(tables.cache_settled).where(tables.cache_settled.c.site_id == bindparam("site"))
_TURNS = (  # put together once: every page asks it
    select(_OF.about, _OF.day, func.count())
    .filter_by(site_id=bindparam("site"), family="door")
    .where(_OF.day >= bindparam("since"))
    .group_by(_OF.about, _OF.day)
)


def closings(connection: Connection, site_id: str) -> tuple[Closing, ...]:
    """What was said, in the order of saying; what was taken back is "undone".

    Of evenings that are long over only what still matters to one that is not.
    """
    return tuple(one.closing for one in _numbered(connection, site_id))


def _numbered(connection: Connection, site_id: str) -> list[NumberedClosing]:
    settled = connection.execute(_SETTLED, {"site": site_id}).mappings().first()
    if settled is None:
        return closings_of(diary.of_family(connection, site_id, "door"))
    old = diary.by_number(connection, site_id, json.loads(settled["numbers"]))
    since = diary.of_family(connection, site_id, "door", settled["before"])
    return closings_of([*old, *since])


def settle(journal: Journal, site_id: str, before: date) -> None:
    """Finds what still matters of the evenings before that date; the next look reads no more."""
    with journal.reading() as connection:
        said = _numbered(connection, site_id)
        newest = diary.last_number(connection, site_id, "door")
    numbers = [said[place].number for place in still_matter([o.closing for o in said], before)]
    with journal.writing() as writing:
        if diary.last_number(writing.connection, site_id, "door") != newest:
            return  # something was said meanwhile: the next night will do
        _forget_settled(writing.connection, site_id)
        row = {"site_id": site_id, "before": before, "numbers": json.dumps(numbers)}
        writing.connection.execute(insert(tables.cache_settled), row)


def _unsettle(connection: Connection, site_id: str, evenings: Iterable[date]) -> None:
    """Reads everything again where something changes of an evening that was settled."""
    settled = connection.execute(_SETTLED, {"site": site_id}).mappings().first()
    if settled and min(evenings, default=date.max) < settled["before"]:
        _forget_settled(connection, site_id)


def _forget_settled(connection: Connection, site_id: str) -> None:
    connection.execute(delete(tables.cache_settled).filter_by(site_id=site_id))


def add(connection: Connection, site_id: str, said: Sequence[Closing], now: datetime) -> None:
    """Keeps what was said, in this order."""
    entries = [
        Entry(
            what=said_of_door(
                one.kind, flock=one.flock, count=one.count, some_missing=one.some_missing
            ),
            about=one.coop_id,
            day=one.evening,
            who=one.who,
            said_at=now,
            happened_at=one.at,
        )
        for one in said
    ]
    diary.keep(connection, site_id, entries)
    _unsettle(connection, site_id, [one.evening for one in said])


def turns(connection: Connection, site_id: str, since: date) -> dict[tuple[str, date], int]:
    """How much was said of each coop and evening from `since` on: a number that only grows."""
    rows = connection.execute(_TURNS, {"site": site_id, "since": since}).all()
    return {(coop_id, evening): number for coop_id, evening, number in rows}


def take_back(  # noqa: PLR0913, PLR0917 - whose, when, by whom
    connection: Connection, site_id: str, coop_id: str, evening: date, now: datetime, who: str
) -> None:
    """Takes back what was said last of that coop and evening; the entry stays."""
    said = closings_of(diary.of_family(connection, site_id, "door", evening))
    mine = [one for one in said if (one.closing.coop_id, one.closing.evening) == (coop_id, evening)]
    last = [one.number for one in mine if one.closing.kind != "undone"][-1:]
    diary.take_back(connection, site_id, last, who, now)
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
    ahead = [
        one
        for one in diary.said_ahead(connection, site_id, "door", after)
        if shut_since is None or (isinstance(one.what, DoorShut) and one.day >= shut_since)
    ]
    _forget_settled(connection, site_id)
    return diary.undo_ahead(connection, site_id, ahead, now)


def spend(connection: Connection, site_id: str, token: str, evening: date) -> bool:
    """Spends the token of an answer; False when it was spent before."""
    row = {"site_id": site_id, "token": token, "evening": evening}
    spent = insert(tables.spent_answer).prefix_with("OR IGNORE")
    return connection.execute(spent, row).rowcount == 1
