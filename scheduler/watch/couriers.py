"""Hands claimed deliveries to the channels, one courier a server, and writes outcomes down.

A slow or dead server holds up no other and never the tick. Outcomes are committed by one thread,
as many together as have come in while the last commit was under way.
"""

import logging
import queue
import threading
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from functools import partial
from time import monotonic
from typing import get_args

from scheduler.alerts.delivery import ChannelName, Delivery, Operation, Outcome, Outgoing
from scheduler.alerts.outcome import after
from scheduler.channels.port import Channel
from scheduler.journal import deliveries
from scheduler.journal.deliveries import Claimed
from scheduler.journal.store import Journal, JournalFault, Writing
from scheduler.machine.clock import Clock
from scheduler.watch.without_journal import Unwritten

_CHANNELS: tuple[ChannelName, ...] = get_args(ChannelName)
MOST_CLAIMS = 25  # under way to one server
MOST_COURIERS = 8  # of one channel; whoever comes after them shares one
_SEND_ROOM = timedelta(seconds=45)  # a send is bounded to 40 s
_JOURNAL_PAUSE_S = 5.0
_LINGER_S = 0.05
_REST_S = 300.0
_log = logging.getLogger(__name__)

AddressOf = Callable[[Claimed], tuple[str, str] | None]  # name and address of the person
Destination = tuple[ChannelName, str]  # the server that a delivery goes to
RelaysOf = Callable[[Claimed, Outcome, datetime], Iterable[Delivery]]


@dataclass(frozen=True, slots=True, kw_only=True)
class FromMemory:
    """A delivery that is sent without a claim, because the journal cannot be written."""

    delivery: Delivery
    person_name: str
    address: str | None


Parcel = Claimed | FromMemory


class Post:
    """The couriers of all channels and the scribe that writes down what they bring back."""

    def __init__(  # noqa: PLR0913 - what the tick knows and the post asks
        self,
        channels: Mapping[ChannelName, Channel],
        clock: Clock,
        *,
        site_id: str,
        address_of: AddressOf,
        relays_of: RelaysOf,
        for_cancels: Callable[[ChannelName], Channel | None] = lambda _: None,
    ) -> None:
        """Starts nothing yet; `address_of` and `relays_of` are asked on the couriers' threads.

        `for_cancels` gives a channel that is not set up any more: what lies there is taken back.
        """
        self.channels = dict(channels)
        self._for_cancels = for_cancels
        self.site_id = site_id
        self.changed = threading.Event()  # an outcome was written down
        self.urgent = threading.Event()  # a message could not be delivered: others are to be told
        self._journal: Journal | None = None
        self._clock = clock
        self._address_of = address_of
        self._relays_of = relays_of
        self._bags: dict[Destination, queue.SimpleQueue[Parcel | None]] = {}
        self._couriers: dict[Destination, threading.Thread] = {}
        self._back: queue.SimpleQueue[tuple[Claimed, Outcome, datetime] | None] = (
            queue.SimpleQueue()
        )
        self._in_flight: dict[int, Destination] = {}
        self.unwritten = Unwritten()
        self._rest: dict[Destination, tuple[float, Outcome]] = {}
        self._sending_since_s: dict[Destination, float] = {}
        self._unwritten = ""  # why outcomes cannot be written down
        self._lock = threading.Lock()
        self._stopping = threading.Event()
        self._scribe: threading.Thread | None = None

    def start(self, journal: Journal) -> None:
        """Starts the scribe; a courier begins with the first delivery to its server."""
        self._journal = journal
        self._scribe = _spawned(self._write_outcomes, "scribe")

    def use(self, journal: Journal) -> None:
        """Goes on with another journal: the old file is gone."""
        self._journal = journal

    def claim(self, writing: Writing, now: datetime) -> list[Claimed]:
        """Claims what is due for every server whose courier stands idle."""
        self._employ()
        with self._lock:
            busy = set(self._in_flight.values())
        return self._claimed(writing, now, lambda destination: destination not in busy)

    def _claimed(
        self,
        writing: Writing,
        now: datetime,
        may_go_to: Callable[[Destination], bool],
        names: Iterable[ChannelName] | None = None,
    ) -> list[Claimed]:
        if not deliveries.is_due(writing.connection, self.site_id, now):
            return []
        counts: Counter[Destination] = Counter()

        def pick(one: Claimed) -> Claimed | None:
            if self.unwritten.has_tried(one.key):
                return None  # its copy in memory is on its way, or has arrived
            addressed = self._addressed(one)
            destination = self._destination(addressed)
            if not may_go_to(destination) or counts[destination] >= MOST_CLAIMS:
                return None
            counts[destination] += 1
            return addressed

        most = MOST_CLAIMS * MOST_COURIERS
        found: list[Claimed] = []
        for name in names or _CHANNELS:
            found += deliveries.claim(writing.connection, self.site_id, name, now, most, pick)
        return found

    def _addressed(self, one: Claimed) -> Claimed:
        """The delivery with where it goes; what is held is put off or taken back where it lies."""
        if one.operation != "send" and one.address:
            return one
        name, address = self._address_of(one) or ("", None)
        return replace(one, person_name=name, address=address)

    def destination(self, name: ChannelName, address: str) -> str:
        """Which server of the channel that address is on."""
        channel = self.channels.get(name)
        return channel.destination(address) if channel and address else ""

    def _destination(self, parcel: Parcel) -> Destination:
        name = parcel.key.channel if isinstance(parcel, Claimed) else parcel.delivery.key.channel
        server = self.destination(name, parcel.address or "")
        with self._lock:
            served = {place for way, place in self._bags if way == name}
            if server not in served and len(served) >= MOST_COURIERS:
                server = min(served)
        return name, server

    def hand_over(self, parcels: Sequence[Parcel]) -> None:
        """Puts parcels into the couriers' bags; returns at once."""
        for parcel in parcels:
            destination = self._destination(parcel)
            with self._lock:
                if isinstance(parcel, Claimed):
                    self._in_flight[parcel.row_id] = destination
                bag = self._bags.setdefault(destination, queue.SimpleQueue())
            bag.put(parcel)
        self._employ()

    def _employ(self) -> None:
        """Sees to it that every bag has its courier; one that cannot begin now begins later."""
        with self._lock:
            alone = [one for one in self._bags if one not in self._couriers]
            for destination in alone:
                try:
                    courier = _spawned(partial(self._carry, destination), destination[0])
                except RuntimeError:  # no room for another thread
                    _log.warning("courier.not_begun channel=%s", destination[0])
                else:
                    self._couriers[destination] = courier

    @property
    def in_flight(self) -> frozenset[int]:
        """Rows that this process is sending or about to."""
        with self._lock:
            return frozenset(self._in_flight)

    def fault(self, longest_s: float) -> str:
        """Why messages or their outcomes do not get on, for a send that takes `longest_s`."""
        if self._scribe and not self._scribe.is_alive():
            return "a courier has died"
        with self._lock:
            if not all(courier.is_alive() for courier in self._couriers.values()):
                return "a courier has died"
            if len(self._couriers) < len(self._bags):
                return "a courier cannot begin"
            since_s = min(self._sending_since_s.values(), default=float("inf"))
        if self._clock.read().monotonic_s - since_s > longest_s:
            return "a send does not come back"
        return self._unwritten

    def stop(self, wait_s: float) -> bool:
        """Finishes the send under way and gives the rest back; False when it takes longer."""
        self._stopping.set()
        with self._lock:
            bags, couriers = list(self._bags.values()), list(self._couriers.values())
        for bag in bags:
            bag.put(None)
        ends = monotonic() + wait_s
        for courier in couriers:
            courier.join(max(0.0, ends - monotonic()))
        self._back.put(None)
        if self._scribe:
            self._scribe.join(max(1.0, ends - monotonic()))
            couriers.append(self._scribe)
        return not any(thread.is_alive() for thread in couriers)

    def _carry(self, destination: Destination) -> None:
        bag = self._bags[destination]
        while (parcel := bag.get()) is not None:
            if isinstance(parcel, FromMemory):
                with self._timed(destination):
                    self._send_from_memory(destination, parcel)
            elif self._may_send(parcel):
                with self._timed(destination):
                    self._send(destination, parcel)
            else:
                self._give_back(parcel)
            if bag.empty() and not self._stopping.is_set():
                self._fetch_more(destination)

    @contextmanager
    def _timed(self, destination: Destination) -> Iterator[None]:
        with self._lock:
            self._sending_since_s[destination] = self._clock.read().monotonic_s
        try:
            yield
        finally:
            with self._lock:
                del self._sending_since_s[destination]

    def _fetch_more(self, destination: Destination) -> None:
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
                more = self._claimed(
                    writing, now, lambda other: other == destination, destination[:1]
                )
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
        if self._addressed(parcel).address != parcel.address:
            return False  # the person is reached somewhere else meanwhile, or nowhere
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

    def _send(self, destination: Destination, parcel: Claimed) -> None:
        name = destination[0]
        outcome = self._outcome(destination, parcel, parcel.operation)
        _log.info(
            "delivery.attempted channel=%s step=%s attempt=%d outcome=%s",
            name,
            parcel.key.step,
            parcel.attempt,
            outcome.kind,
        )
        self._back.put((parcel, outcome, self._clock.read().wall))

    def _outcome(self, destination: Destination, parcel: Parcel, operation: Operation) -> Outcome:
        name = destination[0]
        channel = self.channels.get(name)
        if channel is None and operation == "cancel":
            channel = self._for_cancels(name)
        if parcel.address is None or channel is None:
            reason = "no address, or the channel is not set up any more"
            return Outcome(kind="permanent", reason=reason)
        if rested := self._resting(destination):
            return rested
        outcome = delivered(channel, outgoing(parcel))
        if name == "mail" and outcome.kind == "misconfigured":
            self._rest[destination] = (self._clock.read().boot_s + _REST_S, outcome)
        return outcome

    def _resting(self, destination: Destination) -> Outcome | None:
        """What a mail server answered a short while ago, about our side and not one address.

        A wrong password is not tried for every person: some servers lock the account.
        """
        until_s, outcome = self._rest.get(destination, (0.0, None))
        return outcome if self._clock.read().boot_s < until_s else None

    def use_channels(self, channels: Mapping[ChannelName, Channel]) -> None:
        """Goes on with other channels: the profile has changed."""
        self.channels = dict(channels)
        self._rest.clear()

    def _send_from_memory(self, destination: Destination, parcel: FromMemory) -> None:
        one = parcel.delivery
        outcome = self._outcome(destination, parcel, one.operation)
        _log.warning("delivery.from_memory channel=%s outcome=%s", destination[0], outcome.kind)
        at = self._clock.read().wall
        self.unwritten.settle(one, outcome, at, partial(self._relays, parcel))
        self.changed.set()  # to be written down, or tried again

    def _relays(
        self, parcel: FromMemory, one: Delivery, outcome: Outcome, at: datetime
    ) -> Iterable[Delivery]:
        failed = Claimed(
            row_id=0,
            key=one.key,
            operation=one.operation,
            message=one.message,
            attempt=1,
            maybe_before=False,
            began_at=at,
            due_at=one.due_at,
            useful_until=one.useful_until,
            lease_until=at,
            address=parcel.address,
            person_name=parcel.person_name,
        )
        self.urgent.set()
        return self._relays_of(failed, outcome, at)

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
            _judged(parcel, outcome),
            attempt=parcel.attempt,
            message_id=parcel.key.message_id,
            maybe_before=parcel.maybe_before,
            now=at,
            useful_until=parcel.useful_until,
            copies=1 + deliveries.copies(writing.connection, parcel),
        )
        deliveries.settle(writing.connection, parcel, outcome, follows, at)
        given_up = {"bad address", "misconfigured", "permanent"}
        if outcome.kind in given_up and parcel.operation == "send":
            deliveries.add(writing.connection, self._relays_of(parcel, outcome, at))
            self.urgent.set()


def _judged(parcel: Claimed, outcome: Outcome) -> Outcome:
    """What is to ring is taken back until it is gone: asking once more does no harm."""
    to_ring = parcel.operation == "cancel" and parcel.message.rings_at
    if to_ring and outcome.kind in {"unknown", "bad address", "misconfigured"}:
        return replace(outcome, kind="transient")
    return outcome


def delivered(channel: Channel, one: Outgoing) -> Outcome:
    """What came of it, whatever the channel raises."""
    try:
        return channel.deliver(one)
    except Exception as error:  # noqa: BLE001 - a courier that dies silences its channel for good
        _log.error("channel.raised error=%s", type(error).__name__)
        return Outcome(kind="unknown", reason="a fault of the program")


def outgoing(parcel: Parcel) -> Outgoing:
    """What a channel gets of it."""
    one = parcel if isinstance(parcel, Claimed) else parcel.delivery
    by_target = one.operation != "cancel" and one.message.target_id
    return Outgoing(
        operation=one.operation,
        message=one.message,
        address=parcel.address or "",
        person_name=parcel.person_name,
        # A held message keeps its id when it is put off, so that the new one replaces it.
        message_id=by_target or one.key.message_id,
        thread_id=one.key.thread_id,
    )


def _spawned(run: Callable[[], None], name: str) -> threading.Thread:
    thread = threading.Thread(target=run, name=f"duskfold-{name}", daemon=True)
    thread.start()
    return thread
