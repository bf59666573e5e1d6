"""Who said what of a door and its birds, and when."""

from collections.abc import Iterable

from scheduler.alerts.evening_so_far import Night
from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.door_state import Door
from scheduler.messages.doors import local_time
from scheduler.messages.phrases import is_are, short, was_were
from scheduler.profile.words import day_words


def said_last(night: Night, state: Door) -> str:
    """Says it as "Kim said at 16:30 that 2 are missing"; empty when nothing was said.

    Of a door of an evening before as "Kim said at 09:10 that 11 were in on Sun 20 Dec".
    """
    last = state.last
    if last is None:
        return ""
    who, at = short(last.who), local_time(last.at, night)
    if before := of_a_door_before(last, night):
        return before
    if last.took_back_an_ending:
        return took_back(last, at)
    if last.was == "closed" and state.state != "open":  # another count stands before it
        return f"{took_back_a_count(last, at)}; {_stands(state, last)}"
    if last.was == "closed":
        return f"{who} took back at {at} that it is shut"
    birds = last.count
    if birds is None and state.endings and state.endings[-1].kind == last.kind:
        birds = state.endings[-1].birds
    return f"{who} said at {at} that {what_became(last.kind, birds) or _stands(state, last)}"


def said_since(said: Iterable[Closing]) -> str:
    """Says it as "Kim said on Tue 22 Dec that 1 was found", of later evenings; the last three."""
    return "; ".join(
        f"{short(one.who)} said on {day_words(one.evening)} that "
        + (what_became(one.kind, one.count) or was_in(one))
        for one in list(said)[-3:]
    )


def two_counts(night: Night, state: Door) -> str:
    """Says it as "Ana counted 12 at 16:20, Ben 11 at 16:24"; empty where no other count stands."""
    first, second = state.other, state.said
    if state.state != "searching" or first is None or second is None:
        return ""
    then, now = (local_time(one.at, night) for one in (first, second))
    return (
        f"{short(first.who)} counted {first.count} at {then}, "
        f"{short(second.who)} {second.count} at {now}"
    )


def of_a_door_before(last: Closing, night: Night) -> str:
    """What was said, or taken back, of a door of an evening before; empty for anything else."""
    if not last.is_of_shutting or last.evening >= night.evening.day:
        return ""
    who, day = short(last.who), day_words(last.evening)
    at = local_time(last.known_at, night)
    if last.was:
        return f"{who} took back at {at} what was said of {day}"
    return f"{who} said at {at} that {was_in(last)} on {day}"


def was_in(said: Closing) -> str:
    """What was said of a door that was shut: "11 were in"."""
    if said.count is not None:
        return f"{said.count} {was_were(said.count)} in"
    return "some were missing" if said.some_missing else "it was shut"


def _stands(state: Door, last: Closing) -> str:
    if state.state == "open":
        return "the door is open again"
    if state.state == "searching":
        missing = "some are" if state.vague else f"{state.missing} {is_are(state.missing)}"
        return f"{missing} missing"
    if last.kind == "closed" and state.counted is not None:
        return f"{state.counted} {is_are(state.counted)} in"
    return "it is still shut" if last.was == "closed" else "it is shut"


def what_became(kind: ClosingKind, count: int | None) -> str:
    """What became of birds: "1 was found"; empty for what is said of a door."""
    birds = "the missing" if count is None else str(count)
    was, sleeps = ("was", "sleeps") if count == 1 else ("were", "sleep")
    return {
        "found": f"{birds} {was} found",
        "not-found": f"{birds} {was} not found",
        "dead": f"{birds} died",
        "given-up": f"{birds} {was} given up for lost",
        "elsewhere": f"{birds} {sleeps} elsewhere",
        "back": f"{birds} came back home",
    }.get(kind, "")


def took_back(last: Closing, at: str) -> str:
    what = "that birds came home" if last.was == "back" else "what was said of the missing"
    if last.was and last.count is not None and last.was != "back":
        what = f"that {what_became(last.was, last.count)}"
    return f"{short(last.who)} took back at {at} {what}"


def took_back_a_count(last: Closing, at: str) -> str:
    return f"{short(last.who)} took back at {at} that {was_in(last)}"
