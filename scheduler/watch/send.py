"""Sends one parcel: asks whether it is still wanted, gives it to its channel, says what came of it.

What came of it goes to the scribe, or is kept in memory while the journal cannot be written.
"""

import logging
from collections.abc import Callable, Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from functools import partial

from scheduler.alerts.delivery import ChannelName, Delivery, Outcome
from scheduler.channels.port import Channel
from scheduler.journal import claims
from scheduler.journal.claims import Claimed
from scheduler.journal.fault import JournalFault
from scheduler.machine.clock import Clock
from scheduler.watch.claim import Claims
from scheduler.watch.parcel import Destination, FromMemory, Parcel, delivered, outgoing
from scheduler.watch.write_down import Scribe
from scheduler.wording.channels.why_not_sent import WhyNotTried
from scheduler.wording.told_later import for_later

_SEND_ROOM = timedelta(seconds=45)  # a send is bounded to 40 s
_REST_S = 300.0
_log = logging.getLogger(__name__)


@dataclass(slots=True, kw_only=True)
class Sender:
    """Sends over the channels of the profile in force; asked on the couriers' threads.

    `for_cancels` gives a channel that is not set up any more, to take back what lies there.
    """

    channels: Mapping[ChannelName, Channel]
    clock: Clock
    claims: Claims
    scribe: Scribe
    for_cancels: Callable[[ChannelName], Channel | None]
    is_stopping: Callable[[], bool]
    _rest: dict[Destination, tuple[float, Outcome]] = field(default_factory=dict)

    def use_channels(self, channels: Mapping[ChannelName, Channel]) -> None:
        """Goes on with other channels: the profile has changed."""
        self.channels = dict(channels)
        self._rest.clear()

    def is_wanted(self, parcel: Parcel) -> bool:
        """Whether it is to be sent now; what goes from memory is asked about by nobody."""
        if isinstance(parcel, FromMemory):
            return True
        if self.is_stopping() or self.clock.read().wall + _SEND_ROOM > parcel.lease_until:
            return False
        if self.claims.addressed(parcel).address != parcel.address:
            return False  # the person is reached somewhere else meanwhile, or nowhere
        journal = self.scribe.journal()
        if journal is None:
            return False
        try:
            with journal.reading() as connection:
                return claims.is_wanted(connection, parcel)
        except JournalFault:
            return True  # when in doubt, send

    def give_back(self, parcel: Parcel) -> None:
        """It is not sent after all: whoever claims it next may."""
        if isinstance(parcel, FromMemory):
            return
        self.claims.handed.end(parcel.key, Outcome("transient"))
        if journal := self.scribe.journal():
            # Where it cannot be written, its lease runs out.
            with suppress(JournalFault), journal.writing(beside=True) as writing:
                claims.give_back(writing.connection, [parcel])
        self.scribe.under_way.end([parcel.row_id])

    def send(self, destination: Destination, parcel: Parcel) -> None:
        """Sends it; returns once its server has answered, or the time for that is over."""
        if isinstance(parcel, FromMemory):
            self._send_from_memory(destination, parcel)
            return
        outcome = self._outcome(destination, parcel)
        self.claims.handed.end(parcel.key, outcome)
        _log.info(
            "delivery.attempted channel=%s step=%s attempt=%d outcome=%s",
            destination[0],
            parcel.key.step,
            parcel.attempt,
            outcome.kind,
        )
        self.scribe.take(parcel, outcome, self.clock.read().wall)

    def _outcome(self, destination: Destination, parcel: Parcel) -> Outcome:
        name = destination[0]
        one = outgoing(parcel)
        channel = self.channels.get(name)
        if channel is None and one.operation == "cancel":
            channel = self.for_cancels(name)
        if parcel.address is None or channel is None:
            return Outcome("permanent", for_later(WhyNotTried.no_way))
        if rested := self._resting(destination):
            return rested
        outcome = delivered(channel, one)
        if name == "mail" and outcome.kind == "misconfigured":
            self._rest[destination] = (self.clock.read().boot_s + _REST_S, outcome)
        return outcome

    def _resting(self, destination: Destination) -> Outcome | None:
        """What a mail server answered a short while ago, about our side and not one address.

        A wrong password is not tried for every person: some servers lock the account.
        """
        until_s, outcome = self._rest.get(destination, (0.0, None))
        return outcome if self.clock.read().boot_s < until_s else None

    def _send_from_memory(self, destination: Destination, parcel: FromMemory) -> None:
        outcome = self._outcome(destination, parcel)
        _log.warning(
            "delivery.from_memory channel=%s outcome=%s step=%s",
            destination[0],
            outcome.kind,
            parcel.delivery.key.step,
        )
        at = self.clock.read().wall
        relays = partial(self._relays, parcel)
        self.claims.unwritten.settle(parcel.delivery, outcome, at, relays)
        self.scribe.changed.set()  # to be written down, or tried again

    def _relays(
        self, parcel: FromMemory, one: Delivery, outcome: Outcome, at: datetime
    ) -> Iterable[Delivery]:
        failed = Claimed(
            row_id=0,
            key=one.key,
            operation=one.operation,
            priority=one.priority,
            matter=one.matter,
            rings_at=one.rings_at,
            attempt=1,
            maybe_before=False,
            began_at=at,
            due_at=one.due_at,
            useful_until=one.useful_until,
            lease_until=at,
            address=parcel.address,
            person_name=parcel.person_name,
        )
        self.scribe.urgent.set()
        return self.scribe.relays_of(failed, outcome, at)
