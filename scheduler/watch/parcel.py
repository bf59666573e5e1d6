"""A delivery on its way: what a courier carries to a server, and what the channel gets of it."""

import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import datetime

from scheduler.alerts.delivery import ChannelName, Delivery, Outcome, Outgoing
from scheduler.channels.port import Channel
from scheduler.journal.claims import Claimed

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class FromMemory:
    """A delivery that is sent without a claim, because the journal cannot be written."""

    delivery: Delivery
    person_name: str
    address: str | None


Parcel = Claimed | FromMemory
Destination = tuple[ChannelName, str]  # the server that a delivery goes to
AddressOf = Callable[[Claimed], tuple[str, str] | None]  # name and address of the person
RelaysOf = Callable[[Claimed, Outcome, datetime], Iterable[Delivery]]


def delivered(channel: Channel, one: Outgoing) -> Outcome:
    """What came of it, whatever the channel raises."""
    try:
        return channel.deliver(one)
    except Exception as error:  # noqa: BLE001 - a courier that dies silences its channel for good
        _log.error("channel.raised error=%s", type(error).__name__)
        return Outcome("unknown", "a fault of the program")


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
