"""The messages about who is let in: sign-in links, devices, renewed addresses."""

from collections.abc import Sequence

from scheduler.alerts.delivery import QUIET, Message
from scheduler.messages.phrases import ENTRY, TITLE_LENGTH, is_are, joined, short, titled


def signed_in(name: str, device: str, by: str) -> Message:
    """Somebody has used a sign-in link that `by` had made; empty: made at the terminal."""
    title = f"{short(name)} is signed in on another device: {device}"[:TITLE_LENGTH]
    made = f"{short(by)} had made the link. " if by else ""
    body = f"{made}If that was not meant, end it on the page People."
    return Message(title, body, stem=ENTRY, priority=QUIET)


def signed_out(names: Sequence[str], by: Sequence[str]) -> Message:
    """Who is signed out because those who had let them in have left the profile."""
    who = joined(by)
    after = f" {is_are(len(names))} signed out where {short(who)} had let them in"
    body = (
        f"{who} {is_are(len(by))} no longer in the profile, and every device they let in is signed "
        "out. Links and buttons in messages work as before. To get in again, ask for a sign-in "
        "link: it is made on the page People, or on Duskfold's machine."
    )
    title = titled("", names, after, "people")
    return Message(title, body, stem=ENTRY, priority=QUIET)


def invited(name: str, by: str) -> Message:
    """Somebody signed in has made a sign-in link."""
    title = f"{short(by)} has made a sign-in link for {short(name)}"[:TITLE_LENGTH]
    body = (
        "It signs one device in, within 15 minutes. If that was not meant, take it back on the "
        "page People; once somebody has used it, sign that device out there."
    )
    return Message(title, body, stem=ENTRY, priority=QUIET)


def renewed(name: str) -> Message:
    """All that lets somebody in has ended and begun anew."""
    who = short(name)
    title = f"The addresses and links of {who} are new"[:TITLE_LENGTH]
    body = (
        f"The old ones have ended, with the buttons of earlier messages to {who}, and {who} is "
        "signed out everywhere. The new ones are on the page Subscribe."
    )
    return Message(title, body, stem=ENTRY, priority=QUIET)


def answers_renewed() -> Message:
    """The buttons of every earlier message lead nowhere."""
    title = "The buttons of earlier messages count no more"
    body = "Use those of the next message, its link, or the pages."
    return Message(title, body, stem=ENTRY, priority=QUIET)
