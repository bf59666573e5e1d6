"""What goes out while the journal cannot be written: with the same people, pauses and caps."""

import threading
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime

from scheduler.alerts.delivery import Delivery, Key, Outcome, State
from scheduler.alerts.evening_so_far import Row
from scheduler.alerts.outcome import after
from scheduler.journal.claims import Claimed

_ARRIVED: Mapping[str, State] = {"sent": "sent", "unknown": "perhaps sent"}
Relays = Callable[[Delivery, Outcome, datetime], Iterable[Delivery]]


@dataclass(slots=True)
class _Entry:
    delivery: Delivery
    state: State
    next_at: datetime
    attempts: int = 0
    copies: int = 0  # attempts of which nobody knows what came
    gone: list[tuple[Outcome, datetime]] = field(default_factory=list)  # what may have arrived

    @property
    def row(self) -> Row:
        """As the journal would have it."""
        one = self.delivery
        return Row(
            key=one.key,
            operation=one.operation,
            state=self.state,
            attempts=self.attempts,
            priority=one.priority,
            matter=one.matter,
            rings_at=one.rings_at,
            mark=one.mark,
            generation=one.generation,
            due_at=one.due_at if one.key.channel == "phone" else None,
        )


@dataclass(slots=True)
class HandedOver:
    """What this process sends or has sent, until a look has seen it written down.

    A look is fifteen seconds old when the journal fails, and what it did not see was told all the
    same.
    """

    _rows: dict[Key, Row] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def begin(self, one: Claimed) -> None:
        """It is on its way."""
        row = Row(
            key=one.key,
            operation=one.operation,
            state="sending",
            attempts=one.attempt,
            priority=one.priority,
            matter=one.matter,
            rings_at=one.rings_at,
            mark=one.mark,
            generation=one.generation,
            address=one.address,
        )
        with self._lock:
            self._rows[one.key] = row

    def end(self, key: Key, outcome: Outcome) -> None:
        """What came of it; what has not arrived is told anew."""
        state = _ARRIVED.get(outcome.kind)
        with self._lock:
            if state is None:
                self._rows.pop(key, None)
            elif row := self._rows.get(key):
                self._rows[key] = replace(row, state=state)

    def rows(self) -> tuple[Row, ...]:
        """As the journal would have them."""
        with self._lock:
            return tuple(self._rows.values())

    def seen(self, rows: Iterable[Row]) -> None:
        """Forgets what a look has read of as many attempts."""
        with self._lock:
            for row in rows:
                mine = self._rows.get(row.key)
                if mine and row.attempts >= mine.attempts and row.state != "sending":
                    del self._rows[row.key]


@dataclass(slots=True)
class Unwritten:
    """The deliveries that stand in memory alone; asked by the tick and by every courier."""

    _entries: dict[Key, _Entry] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def add(self, deliveries: Iterable[Delivery]) -> None:
        """Keeps them; those whose key is known stay as they are."""
        with self._lock:
            self._add(deliveries)

    def _add(self, deliveries: Iterable[Delivery]) -> None:
        for one in deliveries:
            if one.operation == "send":
                entry = _Entry(delivery=one, state=one.state, next_at=one.due_at)
                self._entries.setdefault(one.key, entry)

    def drop(self, keys: Iterable[Key]) -> None:
        """Gives up what waits; what may have arrived ends as perhaps sent."""
        with self._lock:
            for key in keys:
                entry = self._entries.get(key)
                if entry and entry.state == "pending":
                    entry.state = "perhaps sent" if entry.copies else "dropped"

    def rows(self, *, under_way: bool = False) -> tuple[Row, ...]:
        """As the journal would have them; those `under_way` alone, or all."""
        with self._lock:
            found = [entry.row for entry in self._entries.values()]
        return tuple(row for row in found if not under_way or row.state == "sending")

    def has_tried(self, key: Key) -> bool:
        """Whether that delivery is being sent or may have arrived, and the journal lacks it."""
        with self._lock:
            entry = self._entries.get(key)
            return entry is not None and (entry.state == "sending" or bool(entry.gone))

    def take(self, now: datetime) -> tuple[Delivery, ...]:
        """What is due now and of use; it counts as under way until `settle`."""
        taken = []
        with self._lock:
            for entry in self._entries.values():
                if entry.state == "pending" and entry.delivery.useful_until <= now:
                    entry.state = "perhaps sent" if entry.copies else "missed"
                elif entry.state == "pending" and entry.next_at <= now:
                    entry.state, entry.attempts = "sending", entry.attempts + 1
                    taken.append(entry.delivery)
        return tuple(taken)

    def said(self, key: Key, mark: str, generation: int | None) -> None:
        """Keeps what it tells, as the journal would."""
        with self._lock:
            if entry := self._entries.get(key):
                entry.delivery = replace(entry.delivery, mark=mark, generation=generation)

    def settle(self, one: Delivery, outcome: Outcome, at: datetime, relays: Relays) -> None:
        """Keeps what came of an attempt, and what follows from it, as the journal would."""
        with self._lock:
            entry = self._entries.get(one.key)
            if entry is None:
                return
            maybe_before = bool(entry.copies)
            entry.copies += outcome.kind == "unknown"
            follows = after(
                outcome,
                attempt=entry.attempts,
                message_id=one.key.message_id,
                maybe_before=maybe_before,
                now=at,
                useful_until=one.useful_until,
                copies=entry.copies,
            )
            entry.state, entry.next_at = follows.state, follows.at or entry.next_at
            if outcome.kind in {"sent", "unknown"}:
                entry.gone.append((outcome, at))
            if outcome.kind in {"bad address", "misconfigured", "permanent"}:
                self._add(relays(one, outcome, at))

    def gone(self) -> list[tuple[Delivery, Outcome, datetime]]:
        """Each attempt that may have arrived, to be written down."""
        with self._lock:
            return [
                (entry.delivery, outcome, at)
                for entry in self._entries.values()
                if entry.state != "sending"
                for outcome, at in entry.gone
            ]

    def forget(self, written: Iterable[tuple[Delivery, Outcome, datetime]]) -> None:
        """The journal can be written again and has these: it decides of all that is not under way.

        What came back since they were asked for is kept, to be written down next.
        """
        known = {(one.key, at) for one, _, at in written}
        with self._lock:
            for key, entry in list(self._entries.items()):
                entry.gone = [(outcome, at) for outcome, at in entry.gone if (key, at) not in known]
                if entry.state != "sending" and not entry.gone:
                    del self._entries[key]
