"""The messages about a way to a person: it is broken, lacks its secret, works again, is tried."""

from collections.abc import Mapping, Sequence
from dataclasses import replace

from scheduler.alerts.delivery import LOUD, QUIET, ChannelName, Message
from scheduler.messages.phrases import TITLE_LENGTH, short
from scheduler.wording.channels.ways import channel_words
from scheduler.wording.messages.ways_out import Deaf, Undelivered, WaysOut
from scheduler.wording.spoken import listed
from scheduler.wording.told_later import told
from scheduler.wording.words import Words

_UNDELIVERED: Mapping[ChannelName, Words] = {
    "mail": Undelivered.mail,
    "phone": Undelivered.phone,
    "push": Undelivered.push,
    "service": Undelivered.service,
}


def relayed(message: Message, person_name: str, way: ChannelName) -> Message:
    """A reminder for somebody else, because it did not get to its person by that way."""
    body = WaysOut.relayed(who=short(person_name), way=channel_words(way), body=message.body)
    return replace(message, body=body, buttons=())


def trouble(person_name: str | None, channel: str, reason: str) -> Message:
    """A way out is broken: whose address, or all of a channel."""
    way = channel_words(channel)
    title = WaysOut.way_broken(way=way)
    if person_name:
        title = WaysOut.address_broken(way=way, who=short(person_name))
    title = title[:TITLE_LENGTH]
    return Message(title, WaysOut.broken_body(title=title, reason=told(reason)), priority=LOUD)


def lacks_secret(
    names: Sequence[str], channel: ChannelName, why: str, *, in_file: bool = False
) -> Message:
    """A way out cannot be used, because a secret is missing: whom it does not reach meanwhile."""
    way = channel_words(channel)
    title = WaysOut.nothing_goes_out(way=way, why=told(why))[:TITLE_LENGTH]
    says = WaysOut.not_reached_file if in_file else WaysOut.not_reached
    return Message(title, says(names=listed(names), count=len(names)), priority=LOUD)


def undelivered(person_name: str, channel: ChannelName, count: int) -> str:
    """So many messages to a person did not arrive by that way: "2 emails to Kim did not arrive"."""
    return _UNDELIVERED[channel](count=count, who=person_name)


def deaf(since: str, reason: str, link: str) -> Message:
    """Buttons under messages are not heard; the pages still are."""
    body = (Deaf.by_link if link else Deaf.at_the_machine)(reason=told(reason))
    return Message(Deaf.since(since=since), body, stem=Deaf.stem(), link=link)


def heard_again() -> Message:
    """Buttons under messages are heard again."""
    return Message(Deaf.again(), Deaf.again_body(), stem=Deaf.stem(), priority=QUIET)


def test(person_name: str) -> Message:
    """Sent by `test-alert`."""
    return Message(WaysOut.test(), WaysOut.test_body(who=short(person_name)))
