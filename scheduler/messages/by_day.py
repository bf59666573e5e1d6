"""The messages of the day: let out, heat, free-range time, eggs."""

from collections.abc import Sequence

from scheduler.alerts.delivery import LOUD, QUIET, USUAL, Message
from scheduler.messages.phrases import TITLE_LENGTH, fitted
from scheduler.wording.messages.by_day import Eggs, FreeRange, LetOut


def let_out(names: Sequence[str], at: str, *, hot: bool, loud: bool) -> Message:
    """The door is to be opened; on a hot day a shut house can kill."""
    says = LetOut.hot if hot else LetOut.at
    title = fitted(lambda where: says(names=where, at=at), names)
    body = LetOut.open_now() if hot else LetOut.good_morning()
    priority = LOUD if loud else (USUAL if hot else QUIET)
    return Message(title, body, priority=priority)


def kept_in_the_heat(name: str) -> Message:
    """A housing order keeps them in on a hot day, when a shut house can kill."""
    title = fitted(lambda where: LetOut.kept_in(names=where), [name])
    return Message(title, LetOut.kept_in_body())


def free_range(names: Sequence[str], call_in: str, lock_up: str) -> Message:
    """Free-range time begins."""
    title = fitted(lambda where: FreeRange.now(names=where, call_in=call_in), names)
    return Message(title, FreeRange.body(call_in=call_in, lock_up=lock_up))


def eggs(title: str, body: str, link: str) -> Message:
    """Whether eggs may be eaten, for everybody of the household."""
    body = body if len(title) <= TITLE_LENGTH else Eggs.long_body(title=title, body=body)
    return Message(title[:TITLE_LENGTH], body, stem=Eggs.stem(), link=link)
