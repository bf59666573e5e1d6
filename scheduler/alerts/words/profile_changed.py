"""The messages that a changed profile is refused, or what else it changes than was meant."""

from collections.abc import Sequence

from scheduler.alerts.delivery import Message, site_message
from scheduler.alerts.words.phrases import titled


def profile_refused(problems: int) -> Message:
    """The changed profile cannot be used."""
    count = f"{problems} problem{'' if problems == 1 else 's'}"
    title = f"The changed profile has {count}; the old one is in force"
    body = "Look at the machine that runs Duskfold: its check says what is wrong, and where."
    return site_message(title, body)


def profile_not_followed(why: str, remedy: str) -> Message:
    """The changed profile is right in itself, but cannot take over."""
    title = "The changed profile is not in force; the old one is"
    return site_message(title, f"The reason: {why}. {remedy}")


def no_more_reminders(names: Sequence[str]) -> Message:
    """The changed profile has no birds in these houses any more."""
    title = titled("No more reminders for ", names, ": the profile has no birds there")
    body = "If birds sleep there tonight, shut the door, and put them back into the profile."
    return site_message(title, body)


def renamed(asked: Sequence[str]) -> Message:
    """The changed profile has new ids where there may only be new names."""
    title = "Is it only a new name? The profile calls something by another id"
    return site_message(title, " ".join(asked))
