"""What came of attempts, written down many together; an attempt that is not the last changes none.

Each statement is made once for all of them: a way to a server and back costs the most.
"""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from sqlalchemy import BigInteger, Column, Connection, Integer, Text, Update, func, select, update

from scheduler.alerts.delivery import Outcome
from scheduler.alerts.outcome import Next
from scheduler.journal import tables
from scheduler.journal.claims import Claimed
from scheduler.journal.given import among_given, columns_given, rows_given
from scheduler.journal.rows import KEY, key_of

_TABLE = tables.delivery
_READ: list[Column[Any]] = [*KEY, *(_TABLE.c[one] for one in ("id", "state", "attempts"))]
_DELIVERIES = update(_TABLE).where(among_given(_TABLE.c.id))
_TRIES = tables.attempt.c
_PERHAPS = select(_TRIES.delivery_id, _TRIES.number).where(
    among_given(_TRIES.delivery_id), _TRIES.outcome.is_(None) | (_TRIES.outcome == "unknown")
)
# Locked in one order, so that two processes that believe the same rows theirs wait in turn.
_KEPT = select(*_READ).where(among_given(_TABLE.c.id)).order_by(_TABLE.c.id).with_for_update()


def _ended() -> Update:
    """Ends the attempts."""
    row, attempt, at, came, why = columns_given(Integer(), Integer(), BigInteger(), Text(), Text())
    mine = update(tables.attempt).where(among_given(_TRIES.delivery_id))
    mine = mine.where(_TRIES.delivery_id == row, _TRIES.number == attempt)
    return mine.values(ended_at=at, outcome=came, reason=why)


def _followed() -> Update:
    """Says what follows of the deliveries that are under way by those attempts."""
    row, attempt, state, maybe, again_at = columns_given(
        Integer(), Integer(), Text(), Integer(), BigInteger()
    )
    mine = _DELIVERIES.where(_TABLE.c.id == row, _TABLE.c.attempts == attempt)
    next_at = func.coalesce(again_at, _TABLE.c.next_at)
    return mine.where(_TABLE.c.state == "sending").values(
        state=state, maybe=maybe, lease_until=None, next_at=next_at
    )


def _arrived() -> Update:
    """Says that deliveries which were dropped on their way are known to have arrived."""
    row, attempt = columns_given(Integer(), Integer())
    mine = _DELIVERIES.where(_TABLE.c.id == row, _TABLE.c.attempts == attempt)
    return mine.where(_TABLE.c.state == "perhaps sent").values(state="sent")


_ENDED, _FOLLOWED, _ARRIVED = _ended(), _followed(), _arrived()


@dataclass(frozen=True, slots=True)
class CameOf:
    """What came of an attempt, what follows from it, and when it came."""

    claimed: Claimed
    outcome: Outcome
    follows: Next
    at: datetime

    @property
    def attempted(self) -> tuple[int, int]:
        """Which attempt it was."""
        return self.claimed.row_id, self.claimed.attempt

    @property
    def ended(self) -> tuple[int | str | None, ...]:
        """The attempt as it is written down."""
        reason = self.outcome.reason.replace("\0", "\N{REPLACEMENT CHARACTER}")  # no engine's text
        return *self.attempted, int(self.at.timestamp()), self.outcome.kind, reason

    @property
    def followed(self) -> tuple[int | str | None, ...]:
        """The delivery as it is written down."""
        maybe, again = self.claimed.maybe_before or self.outcome.kind == "unknown", self.follows.at
        again_at = int(again.timestamp()) if again else None
        return *self.attempted, self.follows.state, int(maybe), again_at


def copies(connection: Connection, tried: Sequence[Claimed]) -> Counter[int]:
    """How many attempts at each before this one may have handed it over, nobody knows; by row."""
    again = {one.row_id: one.attempt for one in tried if one.attempt > 1}
    if not again:
        return Counter()
    found = connection.execute(_PERHAPS, rows_given((one,) for one in again)).all()
    return Counter(row_id for row_id, number in found if number < again[row_id])


def settle(connection: Connection, came: Sequence[CameOf]) -> frozenset[int]:
    """Writes down what came of attempts; the rows of which no other process knows better."""
    if not came:
        return frozenset()
    asked = rows_given((one.claimed.row_id,) for one in came)
    kept = {row.id: row for row in connection.execute(_KEPT, asked).all()}
    # By key as well: a journal that was lost meanwhile counts its rows from one again.
    known = [
        one
        for one in came
        if (row := kept.get(one.claimed.row_id)) and key_of(row) == one.claimed.key
    ]
    if not known:
        return frozenset()
    connection.execute(_ENDED, rows_given(one.ended for one in known))
    latest = [one for one in known if kept[one.claimed.row_id].attempts == one.claimed.attempt]
    under_way = [one for one in latest if kept[one.claimed.row_id].state == "sending"]
    # Dropped while it was on its way: now it is known to have arrived.
    dropped = [
        one
        for one in latest
        if one.outcome.kind == "sent" and kept[one.claimed.row_id].state == "perhaps sent"
    ]
    if under_way:
        connection.execute(_FOLLOWED, rows_given(one.followed for one in under_way))
    if dropped:
        connection.execute(_ARRIVED, rows_given(one.attempted for one in dropped))
    return frozenset(one.claimed.row_id for one in (*under_way, *dropped))
