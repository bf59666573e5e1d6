"""Deliveries: written down, claimed, settled. Every change asks for the state it knows.

A claim commits `sending` with its attempt and lease before anything is sent, so that a second
process, or this one after a crash, cannot send the same attempt again.
"""

import logging
from collections.abc import Collection, Iterable, Sequence
from dataclasses import replace
from datetime import date, datetime
from functools import lru_cache
from typing import Any

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import (
    BindParameter,
    Column,
    Connection,
    Row,
    Select,
    bindparam,
    delete,
    func,
    select,
    update,
)

from scheduler.alerts import evening_so_far
from scheduler.alerts.delivery import (
    AS_IT_STANDS,
    PRIORITIES,
    QUIET,
    Delivery,
    Key,
    Matter,
    Message,
    Priority,
)
from scheduler.alerts.reminded_evening import Evening
from scheduler.journal import phones, tables
from scheduler.journal.history import newest_tries
from scheduler.journal.rows import KEY, columns_of, insert_unknown, key_of, named

_log = logging.getLogger(__name__)
_EVENING = TypeAdapter(Evening)
_MATTER = TypeAdapter(Matter)
_MESSAGE = TypeAdapter(Message)
WENT = ("sent", "perhaps sent")

# What every look asks is put together once: that costs more than the asking.
_TABLE = tables.delivery
_AS_WRITTEN = ("operation", "state", "attempts", "mark", "generation", "address", "shown_at")
_READ: list[Column[Any]] = [
    *KEY,
    *(
        _TABLE.c[one]
        for one in (*_AS_WRITTEN, "id", "due_at", "urgency", "matter", "rings_at", "message")
    ),
]
_SITE_IS = _TABLE.c.site_id == bindparam("site")
WAITING = _SITE_IS & (_TABLE.c.state == "pending")
LEASED = _SITE_IS & (_TABLE.c.state == "sending")
NOW: BindParameter[datetime] = bindparam("now")
_NEXT_WAITING = select(func.min(_TABLE.c.next_at)).where(WAITING)
_NEXT_LEASE = select(func.min(_TABLE.c.lease_until)).where(LEASED)
_ANY_THAT_WAITS = select(_TABLE.c.id).where(WAITING).limit(1)
_DUE = _ANY_THAT_WAITS.where(_TABLE.c.next_at <= NOW, _TABLE.c.useful_until > NOW)
_STALE = _ANY_THAT_WAITS.where(_TABLE.c.useful_until <= NOW)
_OF_EVENING = tables.evening.c
_EVENINGS = (
    select(_OF_EVENING.snapshot)
    .where(_OF_EVENING.site_id == bindparam("site"), _OF_EVENING.day >= bindparam("since"))
    .order_by(_OF_EVENING.day, _OF_EVENING.subject_id)
)
_SINCE = select(*_READ).where(_SITE_IS, _TABLE.c.day >= bindparam("since")).order_by(_TABLE.c.id)


def evenings(connection: Connection, site_id: str, since: date) -> tuple[Evening, ...]:
    """The snapshots of evenings from `since` on."""
    texts = connection.execute(_EVENINGS, {"site": site_id, "since": since}).scalars().all()
    return tuple(evening for text in texts if (evening := read_evening(text)))


def open_evening(connection: Connection, evening: Evening) -> None:
    """Keeps the snapshot of an evening whose first step is due; the first one stays."""
    row = named(evening, ("site_id", "subject_id", "day"))
    row["snapshot"] = _EVENING.dump_json(evening).decode()
    insert_unknown(connection, tables.evening, row)


def rows_since(connection: Connection, site_id: str, since: date) -> tuple[evening_so_far.Row, ...]:
    """What is written down of the deliveries from that date on, in the order of writing."""
    rows = connection.execute(_SINCE, {"site": site_id, "since": since}).all()
    to_phones = any(row.channel == "phone" for row in rows)
    handed = phones.handed_over(connection, site_id, since) if to_phones else {}
    return tuple(
        evening_so_far.Row(
            **named(row, _AS_WRITTEN),
            key=key_of(row),
            priority=priority_of(row),
            matter=matter_of(row),
            rings_at=rings_at_of(row),
            due_at=row.due_at if row.channel == "phone" else None,
            handed_at=handed.get(row.id),
        )
        for row in rows
    )


def waiting(
    connection: Connection, site_id: str, now: datetime, in_flight: frozenset[int]
) -> tuple[Delivery, ...]:
    """The messages that wait to be sent, or whose lease ran out, each due when it is tried next."""
    of = _TABLE.c
    waits = (of.state == "pending") | ((of.state == "sending") & (of.lease_until <= now))
    messages = select(_TABLE).filter_by(site_id=site_id, operation="send")
    mine = messages.where(waits, of.id.not_in(in_flight))
    return tuple(
        Delivery(
            key=key_of(row),
            priority=priority_of(row),
            matter=matter_of(row),
            due_at=row.next_at if row.state == "pending" else now,
            useful_until=row.useful_until,
        )
        for row in connection.execute(mine).all()
    )


def add(connection: Connection, deliveries: Iterable[Delivery]) -> None:
    """Writes deliveries down; those whose key is known stay as they are.

    What was sent too early, by a clock that ran ahead, is to be sent once more.
    """
    deliveries = list(deliveries)
    if not deliveries:
        return
    _revive(connection, deliveries)
    rows = [
        {
            **columns_of(one.key),
            **named(one, ("operation", "due_at", "useful_until", "state", "address", "rings_at")),
            "message": "",
            "matter": _kept(one.matter),
            "urgency": _urgency(one),
            "attempts": 0,
            "maybe": 0,
            "next_at": one.due_at,
        }
        for one in deliveries
    ]
    insert_unknown(connection, _TABLE, rows)


def _revive(connection: Connection, deliveries: Sequence[Delivery]) -> None:
    days = {one.key.day for one in deliveries}
    early = select(_TABLE.c.id).filter_by(state="early").where(_TABLE.c.day.in_(days))
    if connection.execute(early).first() is None:
        return
    for one in deliveries:
        again = named(one, ("due_at", "useful_until", "state")) | {
            "matter": _kept(one.matter),
            # Many mailboxes drop a second mail of the same id; a phone shows it in place of the
            # first.
            "second": int(one.key.channel == "mail"),
            "next_at": one.due_at,
            "maybe": 0,
        }
        mine = update(_TABLE).filter_by(**columns_of(one.key), state="early")
        connection.execute(mine.values(**again))


def _urgency(one: Delivery) -> int:
    """Messages go first, by loudness; then what is to ring or not; last what phones still show."""
    if one.operation == "send":
        return one.priority
    return 0 if one.rings_at else -1


def drop(connection: Connection, keys: Iterable[Key]) -> None:
    """Gives up deliveries. What may be on its way already ends as perhaps sent."""
    of = _TABLE.c
    perhaps = (of.state == "sending") | ((of.state == "pending") & (of.maybe == 1))
    for key in keys:
        mine = update(_TABLE).filter_by(**columns_of(key))
        connection.execute(mine.where(perhaps).values(state="perhaps sent"))
        connection.execute(mine.where(of.state == "pending").values(state="dropped"))


def next_due(connection: Connection, site_id: str) -> datetime | None:
    """When the next waiting delivery or expiring lease wants the tick; None when none does."""
    mine = {"site": site_id}
    found = [connection.execute(one, mine).scalar_one() for one in (_NEXT_WAITING, _NEXT_LEASE)]
    return min((at for at in found if at), default=None)


def is_due(connection: Connection, site_id: str, now: datetime) -> bool:
    """Whether there is anything to claim, over whatever channel."""
    return _is_any(connection, _DUE, site_id, now)


def _is_any(connection: Connection, asked: Select[tuple[int]], site_id: str, now: datetime) -> bool:
    return connection.execute(asked, {"site": site_id, "now": now}).first() is not None


def expire(connection: Connection, site_id: str, now: datetime) -> None:
    """Ends what is of no use any more: perhaps sent, dead, or missed if it was never tried."""
    if not _is_any(connection, _STALE, site_id, now):
        return
    of, waits = _TABLE.c, update(_TABLE).filter_by(site_id=site_id, state="pending")
    stale = waits.where(of.useful_until <= now)
    for state, which in (
        ("perhaps sent", of.maybe == 1),
        ("dead", of.attempts > 0),
        ("missed", of.attempts == 0),
    ):
        connection.execute(stale.where(which).values(state=state))


def prune(connection: Connection, before: date, site_id: str, people: Collection[str]) -> None:
    """Forgets deliveries, evenings and spent answers of dates before `before`.

    What shows that one of the `people` is not reached over a way stays until a later try.
    """
    newest = newest_tries(site_id)
    evidence = select(newest.c.id).where(newest.c.outcome != "sent", newest.c.person_id.in_(people))
    old = select(_TABLE.c.id).where(_TABLE.c.day < before, _TABLE.c.id.not_in(evidence))
    mine = [{"row": row_id} for row_id in connection.execute(old).scalars().all()]
    if mine:
        tries = delete(tables.attempt).filter_by(delivery_id=bindparam("row"))
        connection.execute(tries, mine)
        connection.execute(delete(_TABLE).filter_by(id=bindparam("row")), mine)
    connection.execute(delete(tables.evening).where(_OF_EVENING.day < before))
    spent = tables.spent_answer
    connection.execute(delete(spent).where(spent.c.evening < before))


def priority_of(row: Row[Any]) -> Priority:
    """How loud it is told; what is held or taken back is not told."""
    return next((one for one in PRIORITIES if one == row.urgency), QUIET)


def rings_at_of(row: Row[Any]) -> datetime | None:
    """When a held one rings, or would have."""
    rings_at: datetime | None = row.rings_at
    return rings_at if rings_at or not row.message else _of_older(row.message)[1]


def matter_of(row: Row[Any]) -> Matter:
    """What it tells of that its step does not say."""
    if row.matter is not None:
        return _read_matter(row.matter)
    is_of_older = row.message and row.subject_id == row.site_id
    return _of_older(row.message)[0] if is_of_older else AS_IT_STANDS


def _kept(matter: Matter) -> str | None:
    return (
        None
        if matter == AS_IT_STANDS
        else _MATTER.dump_json(matter, exclude_defaults=True).decode()
    )


@lru_cache(maxsize=1024)
def _read_matter(text: str) -> Matter:
    """Read once: every tick may ask for it again."""
    try:
        return _MATTER.validate_json(text)
    except ValidationError:
        _log.error("matter.unreadable")
        return AS_IT_STANDS


@lru_cache(maxsize=1024)
def _of_older(message: str) -> tuple[Matter, datetime | None]:
    """The same of words that an older program, which runs beside this one, has written down."""
    try:
        said = _MESSAGE.validate_json(message)
    except ValidationError:
        _log.error("message.unreadable")
        return AS_IT_STANDS, None
    # Its buttons answer for a turn that may be over.
    return Matter(words=replace(said, buttons=(), rings_at=None, target_id="")), said.rings_at


@lru_cache(maxsize=64)
def read_evening(text: str) -> Evening | None:
    """None for one that is unreadable: the evening is then planned anew."""
    try:
        return _EVENING.validate_json(text)
    except ValidationError:
        _log.error("evening.unreadable")
        return None
