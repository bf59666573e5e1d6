"""What this process alone may send now: claimed, given back.

A claim commits `sending` with its attempt and lease before anything is sent, so that a second
process, or this one after a crash, cannot send the same attempt again.
"""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from datetime import datetime
from typing import Any

from sqlalchemy import (
    BigInteger,
    Connection,
    Integer,
    Row,
    Text,
    bindparam,
    delete,
    insert,
    select,
    update,
)

from scheduler.alerts.delivery import (
    AS_IT_STANDS,
    USUAL,
    ChannelName,
    Delivery,
    Key,
    Matter,
    Message,
    Operation,
    Outcome,
    Priority,
    State,
)
from scheduler.alerts.outcome import LEASE
from scheduler.alerts.step import decode
from scheduler.journal import tables
from scheduler.journal.deliveries import (
    LEASED,
    NOW,
    WAITING,
    WENT,
    add,
    matter_of,
    priority_of,
    rings_at_of,
)
from scheduler.journal.given import among_given, columns_given, rows_given
from scheduler.journal.rows import columns_of, key_of, named

_TABLE = tables.delivery
_LOOKED_AT = 1000
_TRIED: Mapping[str, State] = {"sent": "sent", "unknown": "perhaps sent"}
_EXPIRED = select(_TABLE.c.id, _TABLE.c.step, _TABLE.c.operation, _TABLE.c.due_at).where(
    LEASED,
    (_TABLE.c.lease_until <= NOW) | (_TABLE.c.lease_until > bindparam("far")),
)
_TO_CLAIM = (
    select(_TABLE)
    .where(WAITING, _TABLE.c.channel == bindparam("channel"))
    .where(_TABLE.c.next_at <= NOW, _TABLE.c.useful_until > NOW)
    .order_by(_TABLE.c.urgency.desc(), _TABLE.c.due_at, _TABLE.c.id)
    .limit(bindparam("most"))
    .offset(bindparam("skipped"))
    .with_for_update(skip_locked=True)  # another host's claim is under way: SQLite has none beside
)
# Once for all that are claimed together: a way to a server and back costs the most.
_ROW, _BEFORE, _ADDRESS, _MARK, _LINKS = columns_given(
    Integer(), Integer(), Text(), Text(), Integer()
)
_SENDING = (
    update(_TABLE)
    .where(among_given(_TABLE.c.id))
    .where(_TABLE.c.id == _ROW, _TABLE.c.attempts == _BEFORE, _TABLE.c.state == "pending")
    .values(
        state="sending",
        attempts=_BEFORE + 1,
        lease_until=bindparam("lease"),
        address=_ADDRESS,
        mark=_MARK,
        generation=_LINKS,
    )
    .returning(_TABLE.c.id)
)
_BEGUN = ("delivery_id", "number", "site_id", "channel", "began_at")
_BEGIN = insert(tables.attempt).from_select(
    _BEGUN, select(*columns_given(Integer(), Integer(), Text(), Text(), BigInteger()))
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """A delivery that this process alone may send now, once.

    `say` makes its words of what its claim has read: called when it is sent. `mark` is of what they
    tell of the doors, `generation` of the links and buttons in them. `second`: it goes out once
    more, under an id of its own.
    """

    row_id: int
    key: Key
    operation: Operation
    priority: Priority = USUAL
    matter: Matter = AS_IT_STANDS
    rings_at: datetime | None = None
    second: bool = False
    attempt: int
    maybe_before: bool
    began_at: datetime
    due_at: datetime
    useful_until: datetime
    lease_until: datetime
    address: str | None = field(default=None, repr=False)
    person_name: str = field(default="", repr=False)
    say: Callable[[], Message] | None = field(default=None, repr=False, compare=False)
    mark: str = ""
    generation: int | None = None


Pick = Callable[[Claimed], Claimed | None]


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
    taken: list[Claimed] = []
    for row in _waiting(connection, site_id, channel, now, most):
        one: Claimed | None = _claimed(row, now)
        if one and pick:
            one = pick(one)
        if one:
            taken.append(one)
        if len(taken) == most:
            break
    return _begin(connection, taken, now) if taken else []


def _waiting(
    connection: Connection, site_id: str, channel: ChannelName, now: datetime, most: int
) -> Iterator[Row[Any]]:
    """What waits, locked for this transaction: hardly more of it than is looked at."""
    seen: set[int] = set()  # what another host gives back meanwhile moves the others on by one
    page, skipped = most, 0
    while skipped < _LOOKED_AT:
        asked = {"site": site_id, "channel": channel, "now": now, "most": page, "skipped": skipped}
        found = connection.execute(_TO_CLAIM, asked).all()
        yield from (row for row in found if row.id not in seen)
        if len(found) < page:
            return
        seen.update(row.id for row in found)
        skipped, page = skipped + page, 2 * page


def _begin(connection: Connection, picked: Sequence[Claimed], now: datetime) -> list[Claimed]:
    """Those that nobody else was faster with, in their order; where each goes is written down."""
    rows = rows_given(
        (one.row_id, one.attempt - 1, one.address, one.mark, one.generation) for one in picked
    )
    sending = {"lease": picked[0].lease_until, **rows}
    mine = frozenset(connection.execute(_SENDING, sending).scalars().all())
    taken = [one for one in picked if one.row_id in mine]
    if taken:
        at = int(now.timestamp())
        connection.execute(
            _BEGIN,
            rows_given(
                (one.row_id, one.attempt, one.key.site_id, one.key.channel, at) for one in taken
            ),
        )
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


def add_tried(connection: Connection, one: Delivery, outcome: Outcome, now: datetime) -> None:
    """Writes down a delivery that went out past the journal, and what came of it."""
    add(connection, [one])
    row = connection.execute(select(_TABLE).filter_by(**columns_of(one.key))).one()
    if row.state == "sent":
        return
    state, number = _TRIED.get(outcome.kind, "dead"), row.attempts + 1
    told = named(one, ("mark", "generation"))
    tried = told | {"state": state, "attempts": number, "maybe": int(state in WENT)}
    connection.execute(update(_TABLE).filter_by(id=row.id).values(**tried))
    begun = _begun(one.key, row.id, number, now)
    ended = {"ended_at": now, "outcome": outcome.kind, "reason": outcome.reason}
    connection.execute(insert(tables.attempt), begun | ended)


def _claimed(row: Row[Any], now: datetime) -> Claimed:
    return Claimed(
        **named(row, ("operation", "due_at", "useful_until", "address")),
        row_id=row.id,
        key=key_of(row),
        priority=priority_of(row),
        matter=matter_of(row),
        rings_at=rings_at_of(row),
        second=bool(row.second),
        attempt=row.attempts + 1,
        maybe_before=bool(row.maybe),
        began_at=now,
        lease_until=now + LEASE,
    )


def _begun(key: Key, row_id: int, number: int, at: datetime) -> dict[str, Any]:
    tried = {"delivery_id": row_id, "number": number, "began_at": at}
    return named(key, ("site_id", "channel")) | tried
