"""Hands claimed deliveries to the channels, each on a thread of its own, and writes outcomes down.

A slow or dead channel holds up no other and never the tick. Outcomes are committed by one thread,
as many together as have come in while the last commit was under way.
"""

import logging
import queue
import threading
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from time import monotonic
from typing import get_args

from scheduler.alerts.delivery import ChannelName, Delivery, Key, Outcome, Outgoing
from scheduler.alerts.outcome import after
from scheduler.channels.port import Channel
from scheduler.journal import deliveries
from scheduler.journal.deliveries import Claimed
from scheduler.journal.store import Journal, JournalFault, Writing
from scheduler.service.clock import Clock

MOST_CLAIMS = 25
CHANNELS: tuple[ChannelName, ...] = get_args(ChannelName)
_SEND_ROOM = timedelta(seconds=45)  # a send is bounded to 40 s
_JOURNAL_PAUSE_S = 5.0
_LINGER_S = 0.05
_REST_S = 300.0
_log = logging.getLogger(__name__)

AddressOf = Callable[[Claimed], tuple[str, str] | None]  # name and address of the person
Failed = Callable[[Writing, Claimed, Outcome, datetime], None]


@dataclass(frozen=True, slots=True, kw_only=True)
class FromMemory:
    """A delivery that is sent without a claim, because the journal cannot be written."""

    delivery: Delivery
    person_name: str
    address: str


Parcel = Claimed | FromMemory


class Post:
    """The couriers of all channels and the scribe that writes down what they bring back."""

    def __init__(
        self,
        channels: Mapping[ChannelName, Channel],
        clock: Clock,
        *,
        site_id: str,
        address_of: AddressOf,
        failed: Failed,
    ) -> None:
        """Starts nothing yet; `address_of` and `failed` are asked on the couriers' threads."""
        self.channels = dict(channels)
        self.site_id = site_id
        self.changed = threading.Event()  # an outcome was written down
        self.urgent = threading.Event()  # a message could not be delivered: others are to be told
        self._journal: Journal | None = None
        self._clock = clock
        self._address_of = address_of
        self._failed = failed
        self._bags: dict[ChannelName, queue.SimpleQueue[Parcel | None]] = {}
        self._back: queue.SimpleQueue[tuple[Claimed, Outcome, datetime] | None] = (
            queue.SimpleQueue()
        )
        self._in_flight: dict[int, ChannelName] = {}
        self._from_memory: list[tuple[Delivery, Outcome, datetime]] = []
        self._memory_keys: set[Key] = set()
        self._rest: tuple[float, Outcome | None] = (0.0, None)
        self._sending_since_s: dict[ChannelName, float] = {}
        self._unwritten = ""  # why outcomes cannot be written down
        self._lock = threading.Lock()
        self._stopping = threading.Event()
        self._threads: list[threading.Thread] = []

    def start(self, journal: Journal) -> None:
        """Starts one thread a channel, and the scribe."""
        self._journal = journal
        self._spawn(self._write_outcomes, "scribe")
        for name in CHANNELS:
            self._bags[name] = queue.SimpleQueue()
            self._spawn(partial(self._carry, name), name)

    def use(self, journal: Journal) -> None:
        """Goes on with another journal: the old file is gone."""
        self._journal = journal

    def _spawn(self, run: Callable[[], None], name: str) -> None:
        thread = threading.Thread(target=run, name=f"duskfold-{name}", daemon=True)
        thread.start()
        self._threads.append(thread)

    def claim(self, writing: Writing, now: datetime) -> list[Claimed]:
        """Claims what is due for every channel whose courier stands idle."""
        with self._lock:
            busy = set(self._in_flight.values())
        claimed: list[Claimed] = []
        for name in self.channels:
            if name not in busy:
                claimed += deliveries.claim(
                    writing.connection, self.site_id, name, now, MOST_CLAIMS
                )
        return claimed

    def hand_over(self, parcels: Sequence[Parcel]) -> None:
        """Puts parcels into the couriers' bags; returns at once."""
        for parcel in parcels:
            if isinstance(parcel, Claimed):
                with self._lock:
                    self._in_flight[parcel.row_id] = parcel.key.channel
                self._bags[parcel.key.channel].put(parcel)
            else:
                with self._lock:
                    self._memory_keys.add(parcel.delivery.key)
                self._bags[parcel.delivery.key.channel].put(parcel)

    @property
    def in_flight(self) -> frozenset[int]:
        """Rows that this process is sending or about to."""
        with self._lock:
            return frozenset(self._in_flight)

    @property
    def gone_from_memory(self) -> frozenset[Key]:
        """Deliveries that went out or are on their way without a record."""
        with self._lock:
            return frozenset(self._memory_keys | {one.key for one, _, _ in self._from_memory})

    def fault(self, longest_s: float) -> str:
        """Why messages or their outcomes do not get on, for a send that takes `longest_s`."""
        if not all(thread.is_alive() for thread in self._threads):
            return "a courier has died"
        with self._lock:
            since_s = min(self._sending_since_s.values(), default=float("inf"))
        if self._clock.read().monotonic_s - since_s > longest_s:
            return "a send does not come back"
        return self._unwritten

    def sent_from_memory(self) -> list[tuple[Delivery, Outcome, datetime]]:
        """What was sent without a record and is not written down yet."""
        with self._lock:
            return list(self._from_memory)

    def written_down(self, count: int) -> None:
        """Forgets the first `count` of them: their record is committed."""
        with self._lock:
            del self._from_memory[:count]

    def stop(self, wait_s: float) -> bool:
        """Finishes the send under way and gives the rest back; False when it takes longer."""
        self._stopping.set()
        for bag in self._bags.values():
            bag.put(None)
        ends = monotonic() + wait_s
        scribe, *couriers = self._threads
        for thread in couriers:
            thread.join(max(0.0, ends - monotonic()))
        self._back.put(None)
        scribe.join(max(1.0, ends - monotonic()))
        return not any(thread.is_alive() for thread in self._threads)

    def _carry(self, name: ChannelName) -> None:
        while (parcel := self._bags[name].get()) is not None:
            if isinstance(parcel, FromMemory):
                with self._timed(name):
                    self._send_from_memory(name, parcel)
            elif self._may_send(parcel):
                with self._timed(name):
                    self._send(name, parcel)
            else:
                self._give_back(parcel)
            if self._bags[name].empty() and not self._stopping.is_set():
                self._fetch_more(name)

    @contextmanager
    def _timed(self, name: ChannelName) -> Iterator[None]:
        with self._lock:
            self._sending_since_s[name] = self._clock.read().monotonic_s
        try:
            yield
        finally:
            with self._lock:
                del self._sending_since_s[name]

    def _fetch_more(self, name: ChannelName) -> None:
        """A backlog does not wait for the tick: who has nothing left claims the next ones."""
        journal = self._journal
        if journal is None:
            return
        try:
            now = self._clock.read().wall
            with journal.reading() as connection:
                due = deliveries.next_due(connection, self.site_id)
            if due is None or due > now:
                return
            with journal.writing() as writing:
                more = deliveries.claim(writing.connection, self.site_id, name, now, MOST_CLAIMS)
        except JournalFault:
            return  # the tick tells of it
        if self._stopping.is_set():
            for parcel in more:
                self._give_back(parcel)
            return
        self.hand_over(more)

    def _may_send(self, parcel: Claimed) -> bool:
        if self._stopping.is_set():
            return False
        if self._clock.read().wall + _SEND_ROOM > parcel.lease_until:
            return False
        journal = self._journal
        try:
            if journal is None:
                return False
            with journal.reading() as connection:
                return deliveries.is_wanted(connection, parcel)
        except JournalFault:
            return True  # when in doubt, send

    def _give_back(self, parcel: Claimed) -> None:
        try:
            if self._journal is not None:
                with self._journal.writing() as writing:
                    deliveries.give_back(writing.connection, [parcel])
        except JournalFault:
            pass  # its lease runs out
        with self._lock:
            self._in_flight.pop(parcel.row_id, None)

    def _send(self, name: ChannelName, parcel: Claimed) -> None:
        found = self._address_of(parcel)
        channel = self.channels.get(name)
        if found is None or channel is None:
            reason = "no address, or the channel is not set up any more"
            outcome = Outcome(kind="permanent", reason=reason)
        else:
            rested = self._resting() if name == "mail" else None
            outcome = rested or _delivered(channel, _outgoing(parcel, *found))
            if name == "mail" and outcome.kind == "misconfigured" and not rested:
                self._rest = (self._clock.read().boot_s + _REST_S, outcome)
        _log.info(
            "delivery.attempted channel=%s step=%s attempt=%d outcome=%s",
            name,
            parcel.key.step,
            parcel.attempt,
            outcome.kind,
        )
        self._back.put((parcel, outcome, self._clock.read().wall))

    def _resting(self) -> Outcome | None:
        """What mail answered a short while ago, when it was about our side and not one address.

        A wrong password is not tried for every person: some servers lock the account.
        """
        until_s, outcome = self._rest
        return outcome if self._clock.read().boot_s < until_s else None

    def use_channels(self, channels: Mapping[ChannelName, Channel]) -> None:
        """Goes on with other channels: the profile has changed."""
        self.channels = dict(channels)
        self._rest = (0.0, None)

    def _send_from_memory(self, name: ChannelName, parcel: FromMemory) -> None:
        channel = self.channels.get(name)
        outcome = Outcome(kind="permanent", reason="the channel is not set up any more")
        if channel is not None:
            outgoing = _outgoing(parcel.delivery, parcel.person_name, parcel.address)
            outcome = _delivered(channel, outgoing)
        _log.warning("delivery.from_memory channel=%s outcome=%s", name, outcome.kind)
        with self._lock:
            self._memory_keys.discard(parcel.delivery.key)
            if outcome.kind in {"sent", "unknown"}:
                self._from_memory.append((parcel.delivery, outcome, self._clock.read().wall))
        self.changed.set()  # to be written down, or tried again

    def _write_outcomes(self) -> None:
        waiting: list[tuple[Claimed, Outcome, datetime]] = []
        last = False
        while not last or waiting:
            if not waiting:
                item = self._back.get()
                last = last or item is None
                waiting += [item] if item else []
            # With a backlog, one commit for several outcomes: each alone costs a sync of the disk.
            while len(waiting) < len(self.in_flight) and not last:
                try:
                    item = self._back.get(timeout=_LINGER_S)
                except queue.Empty:
                    break
                last = item is None
                waiting += [item] if item else []
            if self._settle(waiting):
                waiting = []
            elif last:
                return  # the leases run out
            else:
                last = self._pause(waiting)

    def _pause(self, waiting: list[tuple[Claimed, Outcome, datetime]]) -> bool:
        """Waits before the next try, for what still comes in; True when nothing more will."""
        try:
            item = self._back.get(timeout=_JOURNAL_PAUSE_S)
        except queue.Empty:
            return False
        waiting += [item] if item else []
        return item is None

    def _settle(self, waiting: Sequence[tuple[Claimed, Outcome, datetime]]) -> bool:
        journal = self._journal
        if not waiting or journal is None:
            return True
        try:
            with journal.writing() as writing:
                for parcel, outcome, at in waiting:
                    self._settle_one(writing, parcel, outcome, at)
        except JournalFault as fault:
            _log.warning("outcomes.not_written count=%d reason=%s", len(waiting), fault.reason)
            self._unwritten = fault.reason
            return False
        self._unwritten = ""
        with self._lock:
            for parcel, _, _ in waiting:
                self._in_flight.pop(parcel.row_id, None)
        self.changed.set()
        return True

    def _settle_one(
        self, writing: Writing, parcel: Claimed, outcome: Outcome, at: datetime
    ) -> None:
        follows = after(
            outcome,
            attempt=parcel.attempt,
            message_id=parcel.key.message_id,
            maybe_before=parcel.maybe_before,
            now=at,
            useful_until=parcel.useful_until,
        )
        deliveries.settle(writing.connection, parcel, outcome, follows, at)
        given_up = {"bad address", "misconfigured", "permanent"}
        if outcome.kind in given_up and parcel.operation == "send":
            self._failed(writing, parcel, outcome, at)
            self.urgent.set()


def _delivered(channel: Channel, outgoing: Outgoing) -> Outcome:
    try:
        return channel.deliver(outgoing)
    except Exception as error:  # noqa: BLE001 - a courier that dies silences its channel for good
        _log.error("channel.raised error=%s", type(error).__name__)
        return Outcome(kind="unknown", reason="a fault of the program")


def _outgoing(parcel: Claimed | Delivery, person_name: str, address: str) -> Outgoing:
    held = parcel.operation == "hold"
    return Outgoing(
        operation=parcel.operation,
        message=parcel.message,
        address=address,
        person_name=person_name,
        # A held message keeps its id when it is put off, so that the new one replaces it.
        message_id=parcel.message.target_id if held else parcel.key.message_id,
        thread_id=parcel.key.thread_id,
    )
