"""The messages of the day: let out, heat, free-range time, eggs."""

from collections.abc import Sequence

from scheduler.alerts.delivery import LOUD, QUIET, USUAL, Message
from scheduler.messages.phrases import TITLE_LENGTH, titled


def let_out(names: Sequence[str], at: str, *, hot: bool, loud: bool) -> Message:
    """The door is to be opened; on a hot day a shut house can kill."""
    title = titled("Let out ", names, f" at {at}" + (": heat today" if hot else ""))
    body = "A shut house in the sun can kill: open it now." if hot else "Good morning."
    priority = LOUD if loud else (USUAL if hot else QUIET)
    return Message(title, body, priority=priority)


def kept_in_the_heat(name: str) -> Message:
    """A housing order keeps them in on a hot day, when a shut house can kill."""
    title = titled("Heat today, and they stay in: open every vent of ", [name], "")
    body = (
        "A shut house in the sun can kill. Open every vent, shade the roof, give cool water, and "
        "look again at midday. If it cannot be kept cool, ask a vet or whoever gave the order."
    )
    return Message(title, body)


def free_range(names: Sequence[str], call_in: str, lock_up: str) -> Message:
    """Free-range time begins."""
    title = titled("Free range now: ", names, f", call in {call_in}")
    return Message(title, f"Stay in sight. Call them in at {call_in}, lock up at {lock_up}.")


def eggs(title: str, body: str, link: str) -> Message:
    """Whether eggs may be eaten, for everybody of the household."""
    body = body if len(title) <= TITLE_LENGTH else f"{title}. {body}"
    return Message(title[:TITLE_LENGTH], body, stem="Eggs", link=link)
