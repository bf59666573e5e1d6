"""Deliveries: written down, claimed, settled. Every change asks for the state it knows.

A claim commits `sending` with its attempt and lease before anything is sent, so that a second
process, or this one after a crash, cannot send the same attempt again.
"""

import logging
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import lru_cache
from typing import Any

from pydantic import TypeAdapter, ValidationError
from sqlalchemy import (
    BindParameter,
    Connection,
    Row,
    Select,
    bindparam,
    delete,
    func,
    insert,
    select,
    update,
)

from scheduler.alerts import evening_so_far
from scheduler.alerts.delivery import ChannelName, Delivery, Key, Message, Operation, Outcome, State
from scheduler.alerts.outcome import LEASE, Next
from scheduler.alerts.reminded_evening import Evening
from scheduler.alerts.step import decode
from scheduler.journal import tables
from scheduler.journal.history import newest_tries
from scheduler.journal.rows import KEY, columns_of, key_of, named

_log = logging.getLogger(__name__)
_UNREADABLE = "Duskfold: look at the hen house. This reminder cannot be read."
_EVENING = TypeAdapter(Evening)
_MESSAGE = TypeAdapter(Message)
_LONGEST_WAIT = timedelta(minutes=20)  # the longest pause is 16, see alerts.outcome
_LOOKED_AT = 1000
_DAY = timedelta(days=1)
_NOTICE_USEFUL = _DAY
_STILL_STANDS = timedelta(hours=1)  # who was told so little too early has not forgotten it
_WENT = ("sent", "perhaps sent")
_TRIED: Mapping[str, State] = {"sent": "sent", "unknown": "perhaps sent"}

# What every look asks is put together once: that costs more than the asking.
_TABLE = tables.delivery
_READ = [*KEY, *(_TABLE.c[one] for one in ("operation", "state", "attempts", "message", "address"))]
_SITE_IS = _TABLE.c.site_id == bindparam("site")
_WAITING = _SITE_IS & (_TABLE.c.state == "pending")
_LEASED = _SITE_IS & (_TABLE.c.state == "sending")
_NOW: BindParameter[datetime] = bindparam("now")
_NEXT_WAITING = select(func.min(_TABLE.c.next_at)).where(_WAITING)
_NEXT_LEASE = select(func.min(_TABLE.c.lease_until)).where(_LEASED)
_DUE = select(_TABLE.c.id).where(_WAITING, _TABLE.c.next_at <= _NOW, _TABLE.c.useful_until > _NOW)
_STALE = select(_TABLE.c.id).where(_WAITING, _TABLE.c.useful_until <= _NOW)
_EXPIRED = select(_TABLE.c.id, _TABLE.c.step, _TABLE.c.operation, _TABLE.c.due_at).where(
    _LEASED, (_TABLE.c.lease_until <= _NOW) | (_TABLE.c.lease_until > bindparam("far"))
)
_OF_EVENING = tables.evening.c
_EVENINGS = (
    select(_OF_EVENING.snapshot)
    .where(_OF_EVENING.site_id == bindparam("site"), _OF_EVENING.day >= bindparam("since"))
    .order_by(_OF_EVENING.day, _OF_EVENING.subject_id)
)
_TO_CLAIM = (
    select(_TABLE)
    .where(_WAITING, _TABLE.c.channel == bindparam("channel"))
    .where(_TABLE.c.next_at <= _NOW, _TABLE.c.useful_until > _NOW)
    .order_by(_TABLE.c.urgency.desc(), _TABLE.c.due_at, _TABLE.c.id)
    .limit(bindparam("most"))
)
_TRIES = tables.attempt.c
_SINCE = select(*_READ).where(_SITE_IS, _TABLE.c.day >= bindparam("since")).order_by(_TABLE.c.id)


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """A delivery that this process alone may send now, once."""

    row_id: int
    key: Key
    operation: Operation
    message: Message
    attempt: int
    maybe_before: bool
    began_at: datetime
    due_at: datetime
    useful_until: datetime
    lease_until: datetime
    address: str | None = field(default=None, repr=False)
    person_name: str = field(default="", repr=False)


Pick = Callable[[Claimed], Claimed | None]


def evenings(connection: Connection, site_id: str, since: date) -> tuple[Evening, ...]:
    """The snapshots of evenings from `since` on."""
    texts = connection.execute(_EVENINGS, {"site": site_id, "since": since}).scalars().all()
    return tuple(evening for text in texts if (evening := _evening(text)))


def open_evening(connection: Connection, evening: Evening) -> None:
    """Keeps the snapshot of an evening whose first step is due; the first one stays."""
    row = named(evening, ("site_id", "subject_id", "day"))
    row["snapshot"] = _EVENING.dump_json(evening).decode()
    connection.execute(insert(tables.evening).prefix_with("OR IGNORE"), row)


def rows_since(connection: Connection, site_id: str, since: date) -> tuple[evening_so_far.Row, ...]:
    """What is written down of the deliveries from that date on, in the order of writing."""
    return tuple(
        evening_so_far.Row(
            **named(row, ("operation", "state", "attempts", "address")),
            key=key_of(row),
            message=_message(row.message),
        )
        for row in connection.execute(_SINCE, {"site": site_id, "since": since}).all()
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
            message=_message(row.message),
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
            **named(one, ("operation", "due_at", "useful_until", "state", "address")),
            "message": _MESSAGE.dump_json(one.message).decode(),
            "urgency": _urgency(one),
            "attempts": 0,
            "maybe": 0,
            "next_at": one.due_at,
        }
        for one in deliveries
    ]
    connection.execute(insert(_TABLE).prefix_with("OR IGNORE"), rows)


def _revive(connection: Connection, deliveries: Sequence[Delivery]) -> None:
    days = {one.key.day for one in deliveries}
    early = select(_TABLE.c.id).filter_by(state="early").where(_TABLE.c.day.in_(days))
    if connection.execute(early).first() is None:
        return
    for one in deliveries:
        message = one.message
        if one.key.channel == "mail":
            # Many mailboxes drop a second mail of the same id; a phone shows it in place of the
            # first.
            message = replace(message, target_id=one.key.id_of_second)
        again = named(one, ("due_at", "useful_until", "state")) | {
            "message": _MESSAGE.dump_json(message).decode(),
            "next_at": one.due_at,
            "maybe": 0,
        }
        mine = update(_TABLE).filter_by(**columns_of(one.key), state="early")
        connection.execute(mine.values(**again))


def _urgency(one: Delivery) -> int:
    """Messages go first, by loudness; then what is to ring or not; last what phones still show."""
    if one.operation == "send":
        return one.message.priority
    return 0 if one.message.rings_at else -1


def reword(connection: Connection, key: Key, message: Message) -> None:
    """Gives a delivery that has not gone out yet other words."""
    waits = update(_TABLE).filter_by(**columns_of(key), state="pending")
    connection.execute(waits.values(message=_MESSAGE.dump_json(message).decode()))


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


def rescue(
    connection: Connection,
    site_id: str,
    now: datetime,
    in_flight: frozenset[int],
    shown: datetime | None = None,
) -> int:
    """Puts deliveries whose lease ran out back among the waiting: nobody knows what came of them.

    `in_flight` are those that this very process is sending, whatever the clock says. A lease that
    ends later than any can was given by a clock that ran ahead; then what has a time of its own
    waits for that. `shown` is what the clock shows by now: it may have been set forward while this
    waited for another process, whose leases are good.
    """
    asked = {"site": site_id, "now": now, "far": max(now, shown or now) + 2 * LEASE}
    expired = [row for row in connection.execute(_EXPIRED, asked).all() if row.id not in in_flight]
    for row in expired:
        has_its_time = row.operation == "send" and decode(row.step).has_its_time
        next_at = max(now, row.due_at) if has_its_time else now
        again = {"state": "pending", "maybe": 1, "next_at": next_at, "lease_until": None}
        connection.execute(update(_TABLE).filter_by(id=row.id).values(**again))
    return len(expired)


def hurry(connection: Connection, site_id: str, now: datetime) -> None:
    """After the clock was set back: no second try waits for a time that the old clock showed.

    What is less than 20 minutes away stays: a clock that goes back and forth must not call for
    one try after the other.
    """
    of, waits = _TABLE.c, update(_TABLE).filter_by(site_id=site_id, state="pending")
    again = waits.where(of.attempts > 0, of.next_at > now + _LONGEST_WAIT)
    connection.execute(again.where(of.due_at <= now).values(next_at=now))
    connection.execute(again.where(of.due_at > now).values(next_at=of.due_at))


def forget_ahead(
    connection: Connection, site_id: str, now: datetime, shown: datetime, since: datetime
) -> None:
    """Forgets what was written down for instants to come: a clock that ran ahead called them due.

    What was never tried comes once more at its time; so does, being `early`, what went out more
    than an hour before it. What it overtook is due after all. A notice of something that has
    happened goes out now. An evening whose first step is to come is planned anew. The clock has
    shown `shown` since it went wrong, at `since` or later: by that much it was ahead.
    """
    of, told_at = _TABLE.c, _told_at(connection, site_id, now, shown, min(since, now))
    of_use = (of.due_at > now) | (of.state.in_(_WENT) & (of.useful_until > now))
    rows = select(_TABLE).filter_by(site_id=site_id).where(of_use)
    for row in connection.execute(rows).all():
        mine = update(_TABLE).filter_by(id=row.id)
        is_to_come = row.due_at > now
        step, is_sent = decode(row.step), row.operation == "send"
        is_step, has_its_time = is_sent and step.is_reminder, is_sent and step.has_its_time
        early_by = row.due_at - told_at.get(row.id, min(now, row.due_at))
        if is_to_come and row.subject_id == site_id and not has_its_time:
            moved = {"due_at": now, "next_at": now, "useful_until": now + _NOTICE_USEFUL}
            connection.execute(mine.where(of.state == "pending").values(**moved))
        elif is_to_come and not row.attempts:
            connection.execute(delete(_TABLE).filter_by(id=row.id))
        elif early_by > _STILL_STANDS and (is_step or (is_to_come and has_its_time)):
            connection.execute(mine.values(state="early", lease_until=None))
        elif not is_to_come:
            continue
        if is_step:
            same = named(row, ("site_id", "subject_id", "day"))
            overtaken = delete(_TABLE).filter_by(**same, state="missed", attempts=0)
            connection.execute(overtaken)
    _plan_anew(connection, site_id, now)


def _told_at(
    connection: Connection, site_id: str, now: datetime, shown: datetime, since: datetime
) -> dict[int, datetime]:
    """By the right clock, when each delivery was last tried of those since then, or before it."""
    last = select(_TRIES.delivery_id, func.max(_TRIES.began_at)).filter_by(site_id=site_id)
    late = last.where(_TRIES.began_at >= since).group_by(_TRIES.delivery_id)
    began = connection.execute(late).all()
    ahead = max([now, shown, *(at for _, at in began)]) - now
    return {row_id: at - ahead for row_id, at in began}


def _plan_anew(connection: Connection, site_id: str, now: datetime) -> None:
    mine = select(tables.evening).filter_by(site_id=site_id)
    for row in connection.execute(mine.where(_OF_EVENING.day >= now.date() - _DAY)).all():
        kept = _evening(row.snapshot)
        if kept and all(step.at > now for step in kept.steps):
            this = named(row, ("site_id", "subject_id", "day"))
            connection.execute(delete(tables.evening).filter_by(**this))


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


def claim(  # noqa: PLR0913, PLR0917 - one claim in parts
    connection: Connection,
    site_id: str,
    channel: ChannelName,
    now: datetime,
    most: int,
    pick: Pick | None = None,
) -> list[Claimed]:
    """Claims waiting deliveries of the channel that are due, the most urgent first.

    `pick` gives each with where it goes, which is written down before it goes, or None when it
    has to wait: what is on its way to one server holds up nobody on another.
    """
    looked_at = _LOOKED_AT if pick else most
    asked = {"site": site_id, "channel": channel, "now": now, "most": looked_at}
    taken: list[Claimed] = []
    for row in connection.execute(_TO_CLAIM, asked).all():
        if len(taken) == most:
            break
        one: Claimed | None = _claimed(row, now)
        if one and pick:
            one = pick(one)
        if one is None:
            continue
        known = update(_TABLE).filter_by(id=one.row_id, attempts=row.attempts, state="pending")
        sending = {"state": "sending", "attempts": one.attempt}
        sending |= named(one, ("lease_until", "address"))
        if connection.execute(known.values(**sending)).rowcount:  # nobody else was faster
            taken.append(one)
    if taken:
        begun = [_begun(one.key, one.row_id, one.attempt, now) for one in taken]
        connection.execute(insert(tables.attempt), begun)
    return taken


def give_back(connection: Connection, claimed: Sequence[Claimed]) -> None:
    """Undoes claims that were not begun, as if they had never been made."""
    for one in claimed:
        known = update(_TABLE).filter_by(id=one.row_id, attempts=one.attempt)
        undone = 0
        dropped = "perhaps sent" if one.maybe_before else "dropped"
        for was, state in (("sending", "pending"), ("perhaps sent", dropped)):
            before = {"state": state, "attempts": one.attempt - 1, "lease_until": None}
            undone += connection.execute(known.filter_by(state=was).values(**before)).rowcount
        if undone:
            begun = delete(tables.attempt).filter_by(delivery_id=one.row_id, number=one.attempt)
            connection.execute(begun)


def is_wanted(connection: Connection, one: Claimed) -> bool:
    """Whether the claimed delivery may still be sent: nobody has dropped it since."""
    mine = {"id": one.row_id, "attempts": one.attempt, "state": "sending"}
    return connection.execute(select(_TABLE.c.id).filter_by(**mine)).first() is not None


def copies(connection: Connection, one: Claimed) -> int:
    """How many attempts at it before this one may have handed it over, nobody knows."""
    perhaps = _TRIES.outcome.is_(None) | (_TRIES.outcome == "unknown")
    before = select(func.count(_TRIES.number)).filter_by(delivery_id=one.row_id)
    counted = before.where(_TRIES.number < one.attempt, perhaps)
    return int(connection.execute(counted).scalar_one())


def settle(
    connection: Connection, one: Claimed, outcome: Outcome, follows: Next, now: datetime
) -> bool:
    """Writes down what came of an attempt; False when another process knows better."""
    # By key as well: a journal that was lost meanwhile counts its rows from one again.
    known = select(_TABLE.c.id).filter_by(id=one.row_id, **columns_of(one.key))
    if connection.execute(known).first() is None:
        return False
    mine = update(_TABLE).filter_by(id=one.row_id, attempts=one.attempt)
    begun = update(tables.attempt).filter_by(delivery_id=one.row_id, number=one.attempt)
    ended = {"ended_at": now, "outcome": outcome.kind, "reason": outcome.reason}
    connection.execute(begun.values(**ended))
    values: dict[str, Any] = {
        "state": follows.state,
        "maybe": int(one.maybe_before or outcome.kind == "unknown"),
        "lease_until": None,
    }
    if follows.at:
        values["next_at"] = follows.at
    changed = connection.execute(mine.filter_by(state="sending").values(**values)).rowcount
    if outcome.kind == "sent" and not changed:
        # Dropped while it was on its way: now it is known to have arrived.
        dropped = mine.filter_by(state="perhaps sent")
        changed = connection.execute(dropped.values(state="sent")).rowcount
    return bool(changed)


def add_tried(connection: Connection, one: Delivery, outcome: Outcome, now: datetime) -> None:
    """Writes down a delivery that went out past the journal, and what came of it."""
    add(connection, [one])
    row = connection.execute(select(_TABLE).filter_by(**columns_of(one.key))).one()
    if row.state == "sent":
        return
    state, number = _TRIED.get(outcome.kind, "dead"), row.attempts + 1
    tried = {"state": state, "attempts": number, "maybe": int(state in _WENT)}
    connection.execute(update(_TABLE).filter_by(id=row.id).values(**tried))
    begun = _begun(one.key, row.id, number, now)
    ended = {"ended_at": now, "outcome": outcome.kind, "reason": outcome.reason}
    connection.execute(insert(tables.attempt), begun | ended)


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


@lru_cache(maxsize=1024)
def _message(text: str) -> Message:
    """Read once: every tick asks for it again. One that is unreadable still rings."""
    try:
        return _MESSAGE.validate_json(text)
    except ValidationError:
        _log.error("message.unreadable")
        return Message(title=_UNREADABLE, body=_UNREADABLE, stem=_UNREADABLE)


@lru_cache(maxsize=64)
def _evening(text: str) -> Evening | None:
    """None for one that is unreadable: the evening is then planned anew."""
    try:
        return _EVENING.validate_json(text)
    except ValidationError:
        _log.error("evening.unreadable")
        return None


def _claimed(row: Row[Any], now: datetime) -> Claimed:
    return Claimed(
        **named(row, ("operation", "due_at", "useful_until", "address")),
        row_id=row.id,
        key=key_of(row),
        message=_message(row.message),
        attempt=row.attempts + 1,
        maybe_before=bool(row.maybe),
        began_at=now,
        lease_until=now + LEASE,
    )


def _begun(key: Key, row_id: int, number: int, at: datetime) -> dict[str, Any]:
    tried = {"delivery_id": row_id, "number": number, "began_at": at}
    return named(key, ("site_id", "channel")) | tried
