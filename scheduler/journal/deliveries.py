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
    ColumnElement,
    Connection,
    Row,
    Select,
    and_,
    bindparam,
    delete,
    func,
    insert,
    select,
    update,
)

from scheduler.alerts import decide
from scheduler.alerts.delivery import ChannelName, Delivery, Key, Message, Operation, Outcome, State
from scheduler.alerts.outcome import LEASE, Next
from scheduler.alerts.reminded_evening import Evening
from scheduler.alerts.step import decode
from scheduler.journal import tables
from scheduler.journal.delivery_key import KEY, columns_of, key_of
from scheduler.journal.history import newest_tries

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
_EVENINGS = (
    select(tables.evening.c.snapshot)
    .where(tables.evening.c.site_id == bindparam("site"))
    .where(tables.evening.c.day >= bindparam("since"))
    .order_by(tables.evening.c.day, tables.evening.c.subject_id)
)
_TO_CLAIM = (
    select(_TABLE)
    .where(_WAITING, _TABLE.c.channel == bindparam("channel"))
    .where(_TABLE.c.next_at <= _NOW, _TABLE.c.useful_until > _NOW)
    .order_by(_TABLE.c.urgency.desc(), _TABLE.c.due_at, _TABLE.c.id)
    .limit(bindparam("most"))
)
_WANTED = select(_TABLE.c.id).where(
    _TABLE.c.id == bindparam("row"),
    _TABLE.c.attempts == bindparam("attempt"),
    _TABLE.c.state == "sending",
)
_KNOWN = select(_TABLE.c.id).where(
    _TABLE.c.id == bindparam("row"), *(column == bindparam(column.name) for column in KEY)
)
_TRIES = tables.attempt.c
_ENDED = update(tables.attempt).where(
    _TRIES.delivery_id == bindparam("row"), _TRIES.number == bindparam("attempt")
)
_COPIES = (
    select(func.count())
    .select_from(tables.attempt)
    .where(_TRIES.delivery_id == bindparam("row"), _TRIES.number < bindparam("attempt"))
    .where(_TRIES.outcome.is_(None) | (_TRIES.outcome == "unknown"))
)
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
    row = {
        "site_id": evening.site_id,
        "subject_id": evening.subject_id,
        "day": evening.day,
        "snapshot": _EVENING.dump_json(evening).decode(),
    }
    connection.execute(insert(tables.evening).prefix_with("OR IGNORE"), row)


def rows_since(connection: Connection, site_id: str, since: date) -> tuple[decide.Row, ...]:
    """What is written down of the deliveries from that date on, in the order of writing."""
    return tuple(
        decide.Row(
            key=key_of(row),
            operation=row.operation,
            state=row.state,
            attempts=row.attempts,
            message=_message(row.message),
            address=row.address,
        )
        for row in connection.execute(_SINCE, {"site": site_id, "since": since}).all()
    )


def waiting(
    connection: Connection, site_id: str, now: datetime, in_flight: frozenset[int]
) -> tuple[Delivery, ...]:
    """The messages that wait to be sent, or whose lease ran out, each due when it is tried next."""
    table = tables.delivery
    expired = (table.c.state == "sending") & (table.c.lease_until <= now)
    mine = select(table).where(
        table.c.site_id == site_id,
        table.c.operation == "send",
        (table.c.state == "pending") | expired,
        table.c.id.not_in(in_flight),
    )
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
            "operation": one.operation,
            "message": _MESSAGE.dump_json(one.message).decode(),
            "urgency": _urgency(one),
            "due_at": one.due_at,
            "useful_until": one.useful_until,
            "state": one.state,
            "attempts": 0,
            "maybe": 0,
            "next_at": one.due_at,
            "address": one.address,
        }
        for one in deliveries
    ]
    connection.execute(insert(tables.delivery).prefix_with("OR IGNORE"), rows)


def _revive(connection: Connection, deliveries: Sequence[Delivery]) -> None:
    table = tables.delivery
    days = {one.key.day for one in deliveries}
    early = table.c.day.in_(days) & (table.c.state == "early")
    if connection.execute(select(table.c.id).where(early)).first() is None:
        return
    for one in deliveries:
        message = one.message
        if one.key.channel == "mail":
            # Many mailboxes drop a second mail of the same id; a phone shows it in place of the
            # first.
            message = replace(message, target_id=one.key.id_of_second)
        again = {
            "message": _MESSAGE.dump_json(message).decode(),
            "due_at": one.due_at,
            "next_at": one.due_at,
            "useful_until": one.useful_until,
            "state": one.state,
            "maybe": 0,
        }
        mine = _is(one.key) & (table.c.state == "early")
        connection.execute(update(table).where(mine).values(**again))


def _urgency(one: Delivery) -> int:
    """Messages go first, by loudness; then what is to ring or not; last what phones still show."""
    if one.operation == "send":
        return one.message.priority
    return 0 if one.message.rings_at else -1


def reword(connection: Connection, key: Key, message: Message) -> None:
    """Gives a delivery that has not gone out yet other words."""
    table = tables.delivery
    mine = _is(key) & (table.c.state == "pending")
    connection.execute(
        update(table).where(mine).values(message=_MESSAGE.dump_json(message).decode())
    )


def drop(connection: Connection, keys: Iterable[Key]) -> None:
    """Gives up deliveries. What may be on its way already ends as perhaps sent."""
    table = tables.delivery
    for key in keys:
        mine = _is(key)
        perhaps = mine & (
            (table.c.state == "sending") | ((table.c.state == "pending") & (table.c.maybe == 1))
        )
        connection.execute(update(table).where(perhaps).values(state="perhaps sent"))
        waiting = mine & (table.c.state == "pending")
        connection.execute(update(table).where(waiting).values(state="dropped"))


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
    table = tables.delivery
    asked = {"site": site_id, "now": now, "far": max(now, shown or now) + 2 * LEASE}
    expired = [row for row in connection.execute(_EXPIRED, asked).all() if row.id not in in_flight]
    for row in expired:
        has_its_time = row.operation == "send" and decode(row.step).has_its_time
        next_at = max(now, row.due_at) if has_its_time else now
        again = {"state": "pending", "maybe": 1, "next_at": next_at, "lease_until": None}
        connection.execute(update(table).where(table.c.id == row.id).values(**again))
    return len(expired)


def hurry(connection: Connection, site_id: str, now: datetime) -> None:
    """After the clock was set back: no second try waits for a time that the old clock showed.

    What is less than 20 minutes away stays: a clock that goes back and forth must not call for
    one try after the other.
    """
    table = tables.delivery
    waiting = (table.c.site_id == site_id) & (table.c.state == "pending") & (table.c.attempts > 0)
    again = update(table).where(waiting, table.c.next_at > now + _LONGEST_WAIT)
    connection.execute(again.where(table.c.due_at <= now).values(next_at=now))
    connection.execute(again.where(table.c.due_at > now).values(next_at=table.c.due_at))


def forget_ahead(
    connection: Connection, site_id: str, now: datetime, shown: datetime, since: datetime
) -> None:
    """Forgets what was written down for instants to come: a clock that ran ahead called them due.

    What was never tried comes once more at its time; so does, being `early`, what went out more
    than an hour before it. What it overtook is due after all. A notice of something that has
    happened goes out now. An evening whose first step is to come is planned anew. The clock has
    shown `shown` since it went wrong, at `since` or later: by that much it was ahead.
    """
    table = tables.delivery
    told_at = _told_at(connection, site_id, now, shown, min(since, now))
    of_use = (table.c.due_at > now) | (table.c.state.in_(_WENT) & (table.c.useful_until > now))
    rows = select(table).where(table.c.site_id == site_id, of_use)
    for row in connection.execute(rows).all():
        mine = table.c.id == row.id
        is_to_come = row.due_at > now
        step, is_sent = decode(row.step), row.operation == "send"
        is_step, has_its_time = is_sent and step.is_reminder, is_sent and step.has_its_time
        early_by = row.due_at - told_at.get(row.id, min(now, row.due_at))
        if is_to_come and row.subject_id == site_id and not has_its_time:
            moved = {"due_at": now, "next_at": now, "useful_until": now + _NOTICE_USEFUL}
            waits = table.c.state == "pending"
            connection.execute(update(table).where(mine, waits).values(**moved))
        elif is_to_come and not row.attempts:
            connection.execute(delete(table).where(mine))
        elif early_by > _STILL_STANDS and (is_step or (is_to_come and has_its_time)):
            connection.execute(update(table).where(mine).values(state="early", lease_until=None))
        elif not is_to_come:
            continue
        if is_step:
            same = (table.c.site_id == site_id) & (table.c.subject_id == row.subject_id)
            overtaken = same & (table.c.day == row.day) & (table.c.state == "missed")
            connection.execute(delete(table).where(overtaken, table.c.attempts == 0))
    _plan_anew(connection, site_id, now)


def _told_at(
    connection: Connection, site_id: str, now: datetime, shown: datetime, since: datetime
) -> dict[int, datetime]:
    """By the right clock, when each delivery was last tried of those since then, or before it."""
    table = tables.attempt
    mine = (table.c.site_id == site_id) & (table.c.began_at >= since)
    last = select(table.c.delivery_id, func.max(table.c.began_at)).where(mine)
    began = connection.execute(last.group_by(table.c.delivery_id)).all()
    ahead = max([now, shown, *(at for _, at in began)]) - now
    return {row_id: at - ahead for row_id, at in began}


def _plan_anew(connection: Connection, site_id: str, now: datetime) -> None:
    """Forgets the evenings whose first step is to come."""
    evenings_ = tables.evening
    mine = (evenings_.c.site_id == site_id) & (evenings_.c.day >= now.date() - _DAY)
    for row in connection.execute(select(evenings_).where(mine)).all():
        kept = _evening(row.snapshot)
        if kept and all(step.at > now for step in kept.steps):
            this = mine & (evenings_.c.day == row.day) & (evenings_.c.subject_id == row.subject_id)
            connection.execute(delete(evenings_).where(this))


def expire(connection: Connection, site_id: str, now: datetime) -> None:
    """Ends what is of no use any more: perhaps sent, dead, or missed if it was never tried."""
    if not _is_any(connection, _STALE, site_id, now):
        return
    table = tables.delivery
    mine = table.c.site_id == site_id
    stale = mine & (table.c.state == "pending") & (table.c.useful_until <= now)
    for state, which in (
        ("perhaps sent", table.c.maybe == 1),
        ("dead", table.c.attempts > 0),
        ("missed", table.c.attempts == 0),
    ):
        connection.execute(update(table).where(stale, which).values(state=state))


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
    table = tables.delivery
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
        known = (
            (table.c.id == one.row_id)
            & (table.c.attempts == one.attempt - 1)
            & (table.c.state == "pending")
        )
        changed = connection.execute(
            update(table)
            .where(known)
            .values(
                state="sending",
                attempts=one.attempt,
                lease_until=one.lease_until,
                address=one.address,
            )
        )
        if changed.rowcount:  # nobody else was faster
            taken.append(one)
    if taken:
        connection.execute(insert(tables.attempt), [_begun(one, site_id) for one in taken])
    return taken


def give_back(connection: Connection, claimed: Sequence[Claimed]) -> None:
    """Undoes claims that were not begun, as if they had never been made."""
    table, attempts = tables.delivery, tables.attempt
    for one in claimed:
        known = (table.c.id == one.row_id) & (table.c.attempts == one.attempt)
        undone = 0
        for was, becomes in (("sending", "pending"), ("perhaps sent", "dropped")):
            state = becomes if becomes == "pending" or not one.maybe_before else "perhaps sent"
            undone += connection.execute(
                update(table)
                .where(known, table.c.state == was)
                .values(state=state, attempts=one.attempt - 1, lease_until=None)
            ).rowcount
        if undone:
            begun = (attempts.c.delivery_id == one.row_id) & (attempts.c.number == one.attempt)
            connection.execute(delete(attempts).where(begun))


def is_wanted(connection: Connection, one: Claimed) -> bool:
    """Whether the claimed delivery may still be sent: nobody has dropped it since."""
    asked = {"row": one.row_id, "attempt": one.attempt}
    return connection.execute(_WANTED, asked).first() is not None


def copies(connection: Connection, one: Claimed) -> int:
    """How many attempts at it before this one may have handed it over, nobody knows."""
    asked = {"row": one.row_id, "attempt": one.attempt}
    return int(connection.execute(_COPIES, asked).scalar_one())


def settle(
    connection: Connection, one: Claimed, outcome: Outcome, follows: Next, now: datetime
) -> bool:
    """Writes down what came of an attempt; False when another process knows better."""
    table = tables.delivery
    # By key as well: a journal that was lost meanwhile counts its rows from one again.
    known = {"row": one.row_id} | columns_of(one.key)
    if connection.execute(_KNOWN, known).first() is None:
        return False
    mine = (table.c.id == one.row_id) & (table.c.attempts == one.attempt)
    begun = {"row": one.row_id, "attempt": one.attempt}
    ended = {"ended_at": now, "outcome": outcome.kind, "reason": outcome.reason}
    connection.execute(_ENDED, begun | ended)
    values: dict[str, Any] = {
        "state": follows.state,
        "maybe": int(one.maybe_before or outcome.kind == "unknown"),
        "lease_until": None,
    }
    if follows.at:
        values["next_at"] = follows.at
    changed = connection.execute(
        update(table).where(mine, table.c.state == "sending").values(**values)
    ).rowcount
    if outcome.kind == "sent" and not changed:
        # Dropped while it was on its way: now it is known to have arrived.
        dropped = mine & (table.c.state == "perhaps sent")
        changed += connection.execute(update(table).where(dropped).values(state="sent")).rowcount
    return bool(changed)


def add_tried(connection: Connection, one: Delivery, outcome: Outcome, now: datetime) -> None:
    """Writes down a delivery that went out past the journal, and what came of it."""
    add(connection, [one])
    table = tables.delivery
    row = connection.execute(select(table).where(_is(one.key))).one()
    if row.state == "sent":
        return
    state, number = _TRIED.get(outcome.kind, "dead"), row.attempts + 1
    maybe = int(state in _WENT)
    connection.execute(
        update(table).where(table.c.id == row.id).values(state=state, attempts=number, maybe=maybe)
    )
    begun = {
        "site_id": one.key.site_id,
        "delivery_id": row.id,
        "number": number,
        "channel": one.key.channel,
        "began_at": now,
        "ended_at": now,
        "outcome": outcome.kind,
        "reason": outcome.reason,
    }
    connection.execute(insert(tables.attempt), begun)


def prune(connection: Connection, before: date, site_id: str, people: Collection[str]) -> None:
    """Forgets deliveries, evenings and spent answers of dates before `before`.

    What shows that one of the `people` is not reached over a way stays until a later try.
    """
    table = tables.delivery
    newest = newest_tries(site_id)
    evidence = select(newest.c.id).where(newest.c.outcome != "sent", newest.c.person_id.in_(people))
    old = (table.c.day < before) & table.c.id.not_in(evidence)
    ids = connection.execute(select(table.c.id).where(old)).scalars().all()
    mine = [{"row": row_id} for row_id in ids]
    if mine:
        tries = delete(tables.attempt).where(_TRIES.delivery_id == bindparam("row"))
        connection.execute(tries, mine)
        connection.execute(delete(table).where(table.c.id == bindparam("row")), mine)
    connection.execute(delete(tables.evening).where(tables.evening.c.day < before))
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


def _is(key: Key) -> ColumnElement[bool]:
    return and_(*(_TABLE.c[name] == value for name, value in columns_of(key).items()))


def _claimed(row: Row[Any], now: datetime) -> Claimed:
    return Claimed(
        row_id=row.id,
        key=key_of(row),
        operation=row.operation,
        message=_message(row.message),
        attempt=row.attempts + 1,
        maybe_before=bool(row.maybe),
        began_at=now,
        due_at=row.due_at,
        useful_until=row.useful_until,
        lease_until=now + LEASE,
        address=row.address,
    )


def _begun(one: Claimed, site_id: str) -> dict[str, Any]:
    return {
        "site_id": site_id,
        "delivery_id": one.row_id,
        "number": one.attempt,
        "channel": one.key.channel,
        "began_at": one.began_at,
    }
