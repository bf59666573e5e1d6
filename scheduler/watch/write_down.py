"""The scribe: one thread that commits what came of each delivery.

As many together as have come in while the last commit was under way.
"""

import logging
import queue
import threading
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime

from sqlalchemy import Connection

from scheduler.alerts.delivery import Outcome
from scheduler.alerts.outcome import Next, after
from scheduler.journal import deliveries, outcomes, phones
from scheduler.journal.claims import Claimed
from scheduler.journal.fault import JournalFault
from scheduler.journal.outcomes import CameOf
from scheduler.journal.store import Journal
from scheduler.watch.claim import UnderWay
from scheduler.watch.parcel import RelaysOf

GIVEN_UP = frozenset({"bad address", "misconfigured", "permanent"})
_JOURNAL_PAUSE_S = 5.0
_LINGER_S = 0.05
_log = logging.getLogger(__name__)

Back = tuple[Claimed, Outcome, datetime]


@dataclass(slots=True)
class Scribe:
    """Takes what couriers bring back and writes it down, and who is told instead."""

    journal: Callable[[], Journal | None]
    under_way: UnderWay
    relays_of: RelaysOf  # asked on the scribe's thread
    changed: threading.Event = field(default_factory=threading.Event)  # an outcome was written down
    # A message could not be delivered: others are to be told.
    urgent: threading.Event = field(default_factory=threading.Event)
    fault: str = ""  # why outcomes cannot be written down
    back: queue.SimpleQueue[Back | None] = field(default_factory=queue.SimpleQueue)

    def take(self, parcel: Claimed, outcome: Outcome, at: datetime) -> None:
        """Takes what came of a delivery; returns at once."""
        self.back.put((parcel, outcome, at))

    def end(self) -> None:
        """Nothing more comes."""
        self.back.put(None)

    def run(self) -> None:
        """Writes until the end; what cannot be written by then is left to its lease."""
        waiting: list[Back] = []
        last = False
        while not last or waiting:
            if not waiting:
                item = self.back.get()
                last = last or item is None
                waiting += [item] if item else []
            # With a backlog, one commit for several outcomes: each alone costs a sync of the disk.
            while len(waiting) < len(self.under_way.rows) and not last:
                try:
                    item = self.back.get(timeout=_LINGER_S)
                except queue.Empty:
                    break
                last = item is None
                waiting += [item] if item else []
            if self.settle(waiting):
                waiting = []
            elif last:
                return  # the leases run out
            else:
                last = self._pause(waiting)

    def _pause(self, waiting: list[Back]) -> bool:
        """Waits before the next try, for what still comes in; True when nothing more will."""
        try:
            item = self.back.get(timeout=_JOURNAL_PAUSE_S)
        except queue.Empty:
            return False
        waiting += [item] if item else []
        return item is None

    def settle(self, waiting: Sequence[Back]) -> bool:
        """Writes these down in one commit; False when the journal cannot be written."""
        journal = self.journal()
        if not waiting or journal is None:
            return True
        try:
            with journal.writing(beside=True) as writing:
                self._settle_all(writing.connection, waiting)
        except JournalFault as fault:
            _log.warning("outcomes.not_written count=%d reason=%s", len(waiting), fault.reason)
            self.fault = fault.reason
            return False
        self.fault = ""
        self.under_way.end(parcel.row_id for parcel, _, _ in waiting)
        self.changed.set()
        return True

    def _settle_all(self, connection: Connection, waiting: Sequence[Back]) -> None:
        before = outcomes.copies(connection, [parcel for parcel, _, _ in waiting])
        came = [
            CameOf(parcel, outcome, _follows(parcel, outcome, at, before[parcel.row_id]), at)
            for parcel, outcome, at in waiting
        ]
        outcomes.settle(connection, came)
        for parcel, outcome, at in waiting:
            phones.follow_outcome(connection, parcel.key, outcome, at)
        for parcel, outcome, at in waiting:
            # Of somebody's several phones the last that fails passes it on.
            is_told = phones.goes_to_another(connection, parcel.key)
            if outcome.kind in GIVEN_UP and parcel.operation == "send" and not is_told:
                deliveries.add(connection, self.relays_of(parcel, outcome, at))
                self.urgent.set()


def _follows(parcel: Claimed, outcome: Outcome, at: datetime, copies_before: int) -> Next:
    return after(
        _judged(parcel, outcome),
        attempt=parcel.attempt,
        message_id=parcel.key.message_id,
        maybe_before=parcel.maybe_before,
        now=at,
        useful_until=parcel.useful_until,
        copies=1 + copies_before,
    )


def _judged(parcel: Claimed, outcome: Outcome) -> Outcome:
    """What is to ring is taken back until it is gone: asking once more does no harm."""
    to_ring = parcel.operation == "cancel" and parcel.rings_at
    if to_ring and outcome.kind in {"unknown", "bad address", "misconfigured"}:
        return replace(outcome, kind="transient")
    return outcome
