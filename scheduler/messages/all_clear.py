"""The message that every door is shut: when, by whom, how many are in."""

from collections.abc import Sequence

from scheduler.alerts.delivery import QUIET, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.marks import (
    HARMED,
    became,
    is_of_next_morning,
    is_well,
    looks_like_all,
    shut_doors,
)
from scheduler.alerts.reminded_evening import Evening, RemindedDoor
from scheduler.alerts.search_call import newest_said
from scheduler.cares.closing import Closing
from scheduler.cares.door_state import Door
from scheduler.messages.doors import local_time, stem
from scheduler.messages.missing import not_all_in, which_number
from scheduler.messages.phrases import (
    SHORTEST_NAME,
    TITLE_LENGTH,
    at_least,
    begun,
    short,
    titled,
)
from scheduler.messages.who_said import (
    of_a_door_before,
    took_back,
    took_back_a_count,
    what_became,
)
from scheduler.profile.words import capitalized, day_words


def all_clear(night: Night) -> Message:
    """Every door is shut: when, by whom, how many; nothing to do only when none is missing.

    And who said since then what became of birds, or took it back.
    """
    states, doors = night.states, shut_doors(night)
    late = _said_since(night, newest_said(doors, states))
    title = _title(night, doors)
    lines = [
        f"{door.name}: {_in_and_became(state)}.{_not_all_in(state)}{which_number(state)}"
        for door in doors
        if not is_well(state := states[door.coop_id])
    ]
    body = "\n".join([*late, *lines]) or title
    return Message(title, body, stem=stem(night), priority=QUIET)


def _title(night: Night, doors: Sequence[RemindedDoor]) -> str:
    states = night.states
    last = max((said for d in doors if (said := states[d.coop_id].said)), key=lambda one: one.at)
    newest = newest_said(doors, states)
    door = "door" if len(doors) == 1 else "doors"
    shut = f"{begun(short(last.who))} shut the {door} at {local_time(last.at, night)}"
    rest = _rest([states[door.coop_id] for door in doors])
    if newest and is_of_next_morning(newest, night):
        title = _next_morning(night.evening, states[newest.coop_id], newest, rest)
    elif len(doors) == 1:
        title = f"{shut}, {_all_in_or(states[doors[0].coop_id])}.{rest}"
    else:
        each = (f"{door.name} {_in_and_became(states[door.coop_id])}" for door in doors)
        title = f"{shut}: {', '.join(each)}.{rest}"
        if len(title) > TITLE_LENGTH:
            title = f"{shut}: {len(doors)} houses.{rest}"
    if len(title) > TITLE_LENGTH:
        who = short(last.who, max(24 - (len(title) - TITLE_LENGTH), SHORTEST_NAME))
        title = title.replace(begun(short(last.who)), begun(who), 1)
    if len(title) > TITLE_LENGTH:
        title = title.replace(_became(states[doors[0].coop_id]), "", 1)  # the body says it
    return title[:TITLE_LENGTH]


def _rest(states: Sequence[Door]) -> str:
    """How the title ends: that there is nothing to do, or who is missing."""
    harmed = any(state.last and state.last.kind in HARMED for state in states)
    if not harmed and all(is_well(state) for state in states):
        return " Nothing to do."
    return _not_all_in(states[0]) if len(states) == 1 else _at_large(states)


def _next_morning(evening: Evening, state: Door, last: Closing, rest: str) -> str:
    """Says it as "Ben: 1 was found. Walnut, Mon 21 Dec: 12 in. Nothing to do."."""
    house = next(door.name for door in evening.doors if door.coop_id == last.coop_id)
    ended = what_became(last.kind, last.count)
    after = f", {day_words(evening.day)}: {_count_in(state)}.{rest}"
    return titled(f"{short(last.who)}: {ended}. ", [house], after)[:TITLE_LENGTH]


def _said_since(night: Night, last: Closing | None) -> list[str]:
    """What the house's own line does not say: who took an ending back, or said one late."""
    if last is None:
        return []
    at = local_time(last.at, night)
    if before := of_a_door_before(last, night):
        return [f"{before}."]
    if last.took_back_an_ending:
        return [f"{took_back(last, at)}."]
    if last.was == "closed":
        return [f"{took_back_a_count(last, at)}."]
    if ended := what_became(last.kind, last.count):
        return [f"{short(last.who)} said at {at} that {ended}."]
    return []


def _all_in_or(state: Door) -> str:
    """Says it as "all 12 in, 1 of them found since"."""
    whole = "all " if is_well(state) and state.expected > 1 else ""
    return f"{whole}{_in_and_became(state)}"


def _in_and_became(state: Door) -> str:
    return f"{_count_in(state)}{_became(state)}"


def _became(state: Door) -> str:
    """What became of birds since the count: ", 1 dead", or ", 1 of them found since"."""
    words = {
        "found": "of them found since" if state.counted is not None else "found since",
        "dead": "dead",
        "given-up": "given up for lost",
        "elsewhere": "elsewhere",
    }
    told = became(state)
    return "".join(f", {told[kind]} {said}" for kind, said in words.items() if told[kind])


def _at_large(states: Sequence[Door]) -> str:
    birds = sum(state.at_large for state in states)
    more = any(state.is_at_least for state in states)
    return f" {at_least(birds, more=more).capitalize()} missing." if birds else ""


def _not_all_in(state: Door) -> str:
    text = not_all_in(state)
    return f" {capitalized(text)}." if text else ""


def _count_in(state: Door) -> str:
    if state.counted is not None:
        return f"{state.counted} in"
    return "looks like all" if looks_like_all(state) else "not counted"
