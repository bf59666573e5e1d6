"""The message that every door is shut: when, by whom, how many are in."""

from collections.abc import Sequence

from scheduler.alerts.delivery import QUIET, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import Evening, RemindedDoor
from scheduler.alerts.words.doors import local_time, stem
from scheduler.alerts.words.missing import not_all_in, which_number
from scheduler.alerts.words.phrases import (
    SHORTEST_NAME,
    TITLE_LENGTH,
    at_least,
    short,
    titled,
)
from scheduler.alerts.words.who_said import (
    newest_said,
    of_a_door_before,
    took_back,
    took_back_a_count,
    what_became,
)
from scheduler.cares.closing import MANY_BIRDS, Closing
from scheduler.cares.door_state import Door
from scheduler.profile.words import capitalized, day_words

_HARMED = frozenset({"dead", "given-up"})


def all_clear(night: Night, *, how: bool = True) -> Message:
    """Every door is shut: when, by whom, how many; nothing to do only when none is missing.

    `how`: and who said since then what became of birds, or took it back.
    """
    states = night.states
    doors = [door for door in night.evening.doors if states[door.coop_id].said]
    late = _said_since(night, newest_said(doors, states)) if how else []
    title = _title(night, doors)
    lines = [
        f"{door.name}: {_in_and_became(state)}.{_not_all_in(state)}{which_number(state)}"
        for door in doors
        if not _is_well(state := states[door.coop_id])
    ]
    body = "\n".join([*late, *lines]) or title
    return Message(title, body, stem=stem(night), priority=QUIET)


def _title(night: Night, doors: Sequence[RemindedDoor]) -> str:
    states = night.states
    last = max((said for d in doors if (said := states[d.coop_id].said)), key=lambda one: one.at)
    newest = newest_said(doors, states)
    shut = f"Shut {local_time(last.at, night)} by {short(last.who)}"
    rest = _rest([states[door.coop_id] for door in doors])
    if newest and _is_next_morning(newest, night):
        title = _next_morning(night.evening, states[newest.coop_id], newest, rest)
    elif len(doors) == 1:
        title = f"{shut}, {_in_and_became(states[doors[0].coop_id])}.{rest}"
    else:
        each = (f"{door.name} {_in_and_became(states[door.coop_id])}" for door in doors)
        title = f"{shut}: {', '.join(each)}.{rest}"
        if len(title) > TITLE_LENGTH:
            title = f"{shut}: {len(doors)} houses.{rest}"
    if len(title) > TITLE_LENGTH:
        who = short(last.who, max(24 - (len(title) - TITLE_LENGTH), SHORTEST_NAME))
        title = title.replace(short(last.who), who, 1)
    if len(title) > TITLE_LENGTH:
        title = title.replace(_became(states[doors[0].coop_id]), "", 1)  # the body says it
    return title[:TITLE_LENGTH]


def _rest(states: Sequence[Door]) -> str:
    """How the title ends: that there is nothing to do, or who is missing."""
    harmed = any(state.last and state.last.kind in _HARMED for state in states)
    if not harmed and all(_is_well(state) for state in states):
        return " Nothing to do."
    return _not_all_in(states[0]) if len(states) == 1 else _at_large(states)


def _is_next_morning(last: Closing, night: Night) -> bool:
    """Whether something was said of the evening's birds when its date was over."""
    of_birds = bool(what_became(last.kind, last.count)) and last.evening == night.evening.day
    return of_birds and last.at.astimezone(night.zone).date() > night.evening.day


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


def _is_well(state: Door) -> bool:
    """Whether all that belong there are in, and none came to harm tonight."""
    return state.is_all_in and not any(one.kind in _HARMED for one in state.endings)


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
    told = {kind: sum(one.birds for one in state.endings if one.kind == kind) for kind in words}
    told["elsewhere"] = min(told["elsewhere"], state.away)  # some may have come home since
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
    many = state.expected >= MANY_BIRDS
    return "looks like all" if many and not state.at_large and not state.unsure else "not counted"
