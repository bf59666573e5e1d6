"""Claims what is due, so many for each server that may have more, and knows what is under way."""

import threading
from collections import Counter
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field, replace
from datetime import datetime
from typing import get_args

from sqlalchemy import Connection

from scheduler.alerts.delivery import ChannelName
from scheduler.journal import claims, deliveries
from scheduler.journal.claims import Claimed
from scheduler.journal.store import Writing
from scheduler.watch.parcel import AddressOf, Destination, Parcel
from scheduler.watch.without_journal import HandedOver, Unwritten
from scheduler.watch.worded import Worded

MOST_CLAIMS = 25  # under way to one server
MOST_SERVERS = 8  # of one channel; whoever comes after them shares one
WordedBy = Callable[[Connection, datetime], Callable[[Claimed], Worded]]
CHANNELS: tuple[ChannelName, ...] = get_args(ChannelName)


@dataclass(slots=True)
class UnderWay:
    """The rows that this process is sending or about to, and the server of each."""

    _rows: dict[int, Destination] = field(default_factory=dict)
    _lock: threading.Lock = field(default_factory=threading.Lock)

    def begin(self, row_id: int, destination: Destination) -> None:
        """It was handed over."""
        with self._lock:
            self._rows[row_id] = destination

    def end(self, row_ids: Iterable[int]) -> None:
        """What came of them is written down, or they were given back."""
        with self._lock:
            for row_id in row_ids:
                self._rows.pop(row_id, None)

    @property
    def rows(self) -> frozenset[int]:
        """All of them."""
        with self._lock:
            return frozenset(self._rows)

    @property
    def destinations(self) -> set[Destination]:
        """The servers that have some."""
        with self._lock:
            return set(self._rows.values())


@dataclass(frozen=True, slots=True, kw_only=True)
class Claims:
    """Claims for one site; `address_of` gives where the person is reached today.

    `worded_by` reads what those that are claimed are to say, of that transaction, once one asks.
    """

    site_id: str
    unwritten: Unwritten
    handed: HandedOver
    address_of: AddressOf
    destination_of: Callable[[Parcel], Destination]
    worded_by: WordedBy

    def claim(
        self,
        writing: Writing,
        now: datetime,
        may_go_to: Callable[[Destination], bool],
        names: Iterable[ChannelName] = CHANNELS,
        most: int = MOST_CLAIMS * MOST_SERVERS,
    ) -> list[Claimed]:
        """Claims what is due for the servers that may have more; `most` of each channel."""
        if not deliveries.is_due(writing.connection, self.site_id, now):
            return []
        counts: Counter[Destination] = Counter()
        worded = self.worded_by(writing.connection, now)

        def pick(one: Claimed) -> Claimed | None:
            if self.unwritten.has_tried(one.key):
                return None  # its copy in memory is on its way, or has arrived
            addressed = self.addressed(one)
            destination = self.destination_of(addressed)
            if not may_go_to(destination) or counts[destination] >= MOST_CLAIMS:
                return None
            counts[destination] += 1
            said = worded(addressed)
            return replace(addressed, say=said.say, mark=said.mark, generation=said.generation)

        connection = writing.connection
        return [
            one
            for name in names
            for one in claims.claim(connection, self.site_id, name, now, most, pick)
        ]

    def addressed(self, one: Claimed) -> Claimed:
        """The delivery with where it goes; what is held is put off or taken back where it lies."""
        if one.operation != "send" and one.address:
            return one
        name, address = self.address_of(one) or ("", None)
        return replace(one, person_name=name, address=address)
