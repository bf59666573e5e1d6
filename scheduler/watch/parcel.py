"""A delivery on its way: what a courier carries to a server, and what the channel gets of it."""

import logging
from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import datetime

from scheduler.alerts.delivery import ChannelName, Delivery, Key, Message, Outcome, Outgoing
from scheduler.channels.port import Channel
from scheduler.journal.claims import Claimed
from scheduler.wording.channels.why_not_sent import WhyNotTried
from scheduler.wording.told_later import for_later

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class FromMemory:
    """A delivery that is sent without a claim, because the journal cannot be written."""

    delivery: Delivery
    person_name: str
    address: str | None
    say: Callable[[], Message]


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
        return Outcome("unknown", for_later(WhyNotTried.own_fault))


def outgoing(parcel: Parcel) -> Outgoing:
    """What a channel gets of it."""
    one = parcel if isinstance(parcel, Claimed) else parcel.delivery
    message = parcel.say() if parcel.say else Message("", "")
    target = "" if one.operation == "send" else _target_of(one.key)
    return Outgoing(
        operation=one.operation,
        message=replace(message, rings_at=one.rings_at, target_id=target),
        address=parcel.address or "",
        person_name=parcel.person_name,
        message_id=_id_of(one),
        thread_id=one.key.thread_id,
        of_evening=one.key.subject_id != one.key.site_id,
    )


def _target_of(key: Key) -> str:
    """What is held, or taken back."""
    return replace(key, step=key.step.of).message_id if key.step.of else key.id_of_held


def _id_of(one: Claimed | Delivery) -> str:
    """A held message keeps its id when it is put off, so that the new one replaces it."""
    if one.operation == "hold":
        return one.key.id_of_held
    is_second = isinstance(one, Claimed) and one.second
    return one.key.id_of_second if is_second else one.key.message_id
