"""Hands claimed deliveries over to couriers, one thread a server, and never waits for a send.

A slow or dead server holds up no other and never the tick.
"""

import logging
import queue
import threading
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import partial
from time import monotonic

from scheduler.alerts.delivery import ChannelName
from scheduler.channels.port import Channel
from scheduler.journal import deliveries
from scheduler.journal.claims import Claimed
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal, Writing
from scheduler.machine.clock import Clock
from scheduler.watch.claim import CHANNELS, MOST_CLAIMS, MOST_SERVERS, Claims, UnderWay, WordedBy
from scheduler.watch.parcel import AddressOf, Destination, Parcel, RelaysOf
from scheduler.watch.send import Sender
from scheduler.watch.without_journal import HandedOver, Unwritten
from scheduler.watch.write_down import Scribe
from scheduler.wording.journal.why_unusable import WhyPost
from scheduler.wording.told_later import for_later

_log = logging.getLogger(__name__)


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
        worded_by: WordedBy,
        for_cancels: Callable[[ChannelName], Channel | None] = lambda _: None,
    ) -> None:
        """Starts nothing yet; `address_of` and `relays_of` are asked on the couriers' threads.

        So is `worded_by`, in the transaction of a claim: what it says is made of that.

        `for_cancels` gives a channel that is not set up any more: what lies there is taken back.
        """
        self.unwritten, self.handed = Unwritten(), HandedOver()
        self._clock = clock
        self._journal: Journal | None = None
        self._stopping = threading.Event()
        self._under_way = UnderWay()
        self._scribe = Scribe(lambda: self._journal, self._under_way, relays_of)
        self.changed, self.urgent = self._scribe.changed, self._scribe.urgent
        self._claims = Claims(
            site_id=site_id,
            unwritten=self.unwritten,
            handed=self.handed,
            address_of=address_of,
            destination_of=self._destination,
            worded_by=worded_by,
        )
        self._sender = Sender(
            channels=dict(channels),
            clock=clock,
            claims=self._claims,
            scribe=self._scribe,
            for_cancels=for_cancels,
            is_stopping=self._stopping.is_set,
        )
        self._bags: dict[Destination, queue.SimpleQueue[Parcel | None]] = {}
        self._couriers: dict[Destination, threading.Thread] = {}
        self._sending_since_s: dict[Destination, float] = {}
        self._lock = threading.Lock()  # of these three
        self._writes: threading.Thread | None = None

    def start(self, journal: Journal) -> None:
        """Starts the scribe; a courier begins with the first delivery to its server."""
        self._journal = journal
        self._writes = _spawned(self._scribe.run, "scribe")

    def use(self, journal: Journal) -> None:
        """Goes on with another journal: the old file is gone."""
        self._journal = journal

    def use_channels(self, channels: Mapping[ChannelName, Channel]) -> None:
        """Goes on with other channels: the profile has changed."""
        self._sender.use_channels(channels)

    def claim(self, writing: Writing, now: datetime) -> list[Claimed]:
        """Claims what is due for every server whose courier stands idle."""
        self._employ()
        busy = self._under_way.destinations
        # Of several hosts one that cannot ring phones leaves them to the others.
        names = [one for one in CHANNELS if one != "phone" or one in self._sender.channels]
        return self._claims.claim(writing, now, lambda destination: destination not in busy, names)

    def destination(self, name: ChannelName, address: str) -> str:
        """Which server of the channel that address is on."""
        channel = self._sender.channels.get(name)
        return channel.destination(address) if channel and address else ""

    def _destination(self, parcel: Parcel) -> Destination:
        name = parcel.key.channel if isinstance(parcel, Claimed) else parcel.delivery.key.channel
        server = self.destination(name, parcel.address or "")
        with self._lock:
            served = {place for way, place in self._bags if way == name}
            if server not in served and len(served) >= MOST_SERVERS:
                server = min(served)
        return name, server

    def hand_over(self, parcels: Sequence[Parcel]) -> None:
        """Puts parcels into the couriers' bags; returns at once."""
        for parcel in parcels:
            destination = self._destination(parcel)
            if isinstance(parcel, Claimed):
                self._under_way.begin(parcel.row_id, destination)
                self.handed.begin(parcel)
            with self._lock:
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
        return self._under_way.rows

    def fault(self, longest_s: float) -> str:
        """Why messages or their outcomes do not get on, for a send that takes `longest_s`."""
        if self._writes and not self._writes.is_alive():
            return for_later(WhyPost.died)
        with self._lock:
            if not all(courier.is_alive() for courier in self._couriers.values()):
                return for_later(WhyPost.died)
            if len(self._couriers) < len(self._bags):
                return for_later(WhyPost.not_begun)
            since_s = min(self._sending_since_s.values(), default=float("inf"))
        if self._clock.read().monotonic_s - since_s > longest_s:
            return for_later(WhyPost.hangs)
        return self._scribe.fault

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
        self._scribe.end()
        if self._writes:
            self._writes.join(max(1.0, ends - monotonic()))
            couriers.append(self._writes)
        return not any(thread.is_alive() for thread in couriers)

    def _carry(self, destination: Destination) -> None:
        bag = self._bags[destination]
        while (parcel := bag.get()) is not None:
            self._carry_one(destination, parcel)
            if bag.empty() and not self._stopping.is_set():
                self._fetch_more(destination)

    def _carry_one(self, destination: Destination, parcel: Parcel) -> None:
        if not self._sender.is_wanted(parcel):
            self._sender.give_back(parcel)
            return
        with self._lock:
            self._sending_since_s[destination] = self._clock.read().monotonic_s
        try:
            self._sender.send(destination, parcel)
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
                if not deliveries.is_due(connection, self._claims.site_id, now):
                    return
            with journal.writing(beside=True) as writing:
                more = self._claims.claim(
                    writing,
                    now,
                    lambda other: other == destination,
                    destination[:1],
                    MOST_CLAIMS,
                )
        except JournalFault:
            return  # the tick tells of it
        if self._stopping.is_set():
            for parcel in more:
                self._sender.give_back(parcel)
            return
        self.hand_over(more)


def _spawned(run: Callable[[], None], name: str) -> threading.Thread:
    thread = threading.Thread(target=run, name=f"duskfold-{name}", daemon=True)
    thread.start()
    return thread
