"""The messages about a way to a person: it is broken, lacks its secret, works again, is tried."""

from collections.abc import Sequence
from dataclasses import replace

from scheduler.alerts.delivery import LOUD, QUIET, ChannelName, Message
from scheduler.messages.phrases import TITLE_LENGTH, is_are, joined, short

_BUTTONS = "Buttons on messages"


def relayed(message: Message, person_name: str, way: ChannelName) -> Message:
    """A reminder for somebody else, because it did not get to its person by that way."""
    who = short(person_name)
    body = f"It did not get through to {who} by {way}, so it comes to you too.\n{message.body}"
    return replace(message, body=body, buttons=())


def trouble(person_name: str | None, channel: str, reason: str) -> Message:
    """A way out is broken: whose address, or all of a channel."""
    what = f"{channel} to {short(person_name)}" if person_name else f"all {channel}"
    title = f"Reminders by {what} do not arrive"[:TITLE_LENGTH]
    body = f"{title}: {reason}. Look at the address, then send a test from the page Status."
    return Message(title, body, priority=LOUD)


def give_it(*, in_file: bool) -> str:
    """What to do about a missing secret; `in_file` where Duskfold knows a file to read it from."""
    if in_file:
        return (
            "See that its file on Duskfold's machine holds it and can be read; it is looked at "
            "again within a minute"
        )
    return "Give it to Duskfold on its machine, and start Duskfold again"


def lacks_secret(
    names: Sequence[str], channel: ChannelName, why: str, *, in_file: bool = False
) -> Message:
    """A way out cannot be used, because a secret is missing: whom it does not reach meanwhile."""
    title = f"Nothing goes out by {channel}: {why}"[:TITLE_LENGTH]
    who = f"{joined(names)} {is_are(len(names))} not reached in that way until it is there."
    return Message(title, f"{who} {give_it(in_file=in_file)}.", priority=LOUD)


def undelivered(person_name: str, channel: ChannelName, count: int) -> str:
    """So many messages to a person did not arrive by that way: "2 mails to Kim did not arrive"."""
    what, by = {
        "mail": ("mail", ""),
        "push": ("push message", ""),
        "service": ("message", " by their other service"),
    }[channel]
    return f"{count} {what}{'' if count == 1 else 's'} to {person_name}{by} did not arrive."


def deaf(since: str, reason: str, link: str) -> Message:
    """Buttons under messages are not heard; the pages still are."""
    way = "Say it on the page: this link opens it." if link else "Say it on Duskfold's own machine."
    title = f"Buttons on messages have not worked since {since}"
    body = f"{way} Answers from phones cannot be heard ({reason})."
    return Message(title, body, stem=_BUTTONS, link=link)


def heard_again() -> Message:
    """Buttons under messages are heard again."""
    title = "Buttons on messages work again"
    body = "Answers from phones are heard again. Nothing to do."
    return Message(title, body, stem=_BUTTONS, priority=QUIET)


def test(person_name: str) -> Message:
    """Sent by `test-alert`."""
    title = "Duskfold test: this is how a reminder reaches you"
    return Message(title, f"For {short(person_name)}. Nothing to do.")
