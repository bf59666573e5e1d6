"""The messages about who is let in: sign-in links, devices, renewed addresses."""

from collections.abc import Sequence

from scheduler.alerts.delivery import QUIET, Message
from scheduler.messages.phrases import TITLE_LENGTH, fitted, short
from scheduler.wording.messages.let_in import LetIn
from scheduler.wording.messages.reminders import Many
from scheduler.wording.service.devices import device_words
from scheduler.wording.spoken import listed


def signed_in(name: str, device: str, by: str) -> Message:
    """Somebody has used a sign-in link that `by` had made; empty: made at the terminal."""
    title = LetIn.signed_in(who=short(name), device=device_words(device))
    body = LetIn.signed_in_by(who=short(by)) if by else LetIn.signed_in_body()
    return _quiet(title, body)


def signed_out(names: Sequence[str], by: Sequence[str]) -> Message:
    """Who is signed out because those who had let them in have left the profile."""
    who, count = listed(by), len(names)
    title = fitted(
        lambda where: LetIn.signed_out(names=where, count=count, who=short(who)),
        names,
        Many.people,
    )
    return _quiet(title, LetIn.signed_out_body(who=who, count=len(by)))


def invited(name: str, by: str) -> Message:
    """Somebody signed in has made a sign-in link."""
    return _quiet(LetIn.invited(by=short(by), who=short(name)), LetIn.invited_body())


def renewed(name: str) -> Message:
    """All that lets somebody in has ended and begun anew."""
    who = short(name)
    return _quiet(LetIn.renewed(who=who), LetIn.renewed_body(who=who))


def answers_renewed() -> Message:
    """The buttons of every earlier message lead nowhere."""
    return _quiet(LetIn.answers_renewed(), LetIn.answers_renewed_body())


def _quiet(title: str, body: str) -> Message:
    return Message(title[:TITLE_LENGTH], body, stem=LetIn.stem(), priority=QUIET)
