"""The message that every door is shut: when, by whom, how many are in."""

from collections.abc import Iterator, Mapping, Sequence
from functools import partial

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
from scheduler.messages.phrases import TITLE_LENGTH, at_least, begun, by_whom, fitted, short
from scheduler.messages.who_said import (
    of_a_door_before,
    took_back,
    took_back_a_count,
    what_became,
)
from scheduler.profile.words import capitalized
from scheduler.wording.messages.all_clear import AllClear, BirdsIn
from scheduler.wording.messages.missing import Missing
from scheduler.wording.messages.reminders import Many
from scheduler.wording.spoken import in_a_row, sentence, short_day
from scheduler.wording.words import Words

_BECAME: Mapping[str, Words] = {
    "found": BirdsIn.found,
    "dead": BirdsIn.dead,
    "given-up": BirdsIn.given_up,
    "elsewhere": BirdsIn.elsewhere,
}


def all_clear(night: Night) -> Message:
    """Every door is shut: when, by whom, how many; nothing to do only when none is missing.

    And who said since then what became of birds, or took it back.
    """
    states, doors = night.states, shut_doors(night)
    late = _said_since(night, newest_said(doors, states))
    title = _title(night, doors)
    lines = [
        " ".join(_line(door, state)) for door in doors if not is_well(state := states[door.coop_id])
    ]
    body = "\n".join([*late, *lines]) or title
    return Message(title, body, stem=stem(night), priority=QUIET)


def _title(night: Night, doors: Sequence[RemindedDoor]) -> str:
    states = night.states
    newest = newest_said(doors, states)
    rest = _rest([states[door.coop_id] for door in doors])
    if newest and is_of_next_morning(newest, night):
        return _next_morning(night.evening, states[newest.coop_id], newest, rest)
    last = max((said for d in doors if (said := states[d.coop_id].said)), key=lambda one: one.at)
    at = local_time(last.at, night)
    if len(doors) == 1:
        state = states[doors[0].coop_id]
        says = partial(_one_door, at=at, rest=rest, state=state)
        without_fates = partial(_one_door, at=at, rest=rest, state=state, fates=False)
    else:
        each = [
            AllClear.house_birds(house=door.name, birds=_birds_in(states[door.coop_id]))
            for door in doors
        ]
        says = without_fates = partial(_doors, at=at, rest=rest, each=each)
        if len(says(short(last.who))) > TITLE_LENGTH:
            houses = [Many.houses(count=len(doors))]
            says = without_fates = partial(_doors, at=at, rest=rest, each=houses)
    title = by_whom(says, last.who)
    if len(title) > TITLE_LENGTH:
        title = by_whom(without_fates, last.who)  # the body says it
    return title[:TITLE_LENGTH]


def _one_door(who: str, *, at: str, rest: str, state: Door, fates: bool = True) -> str:
    birds = _birds_in(state, whole=is_well(state) and state.are_all_in, fates=fates)
    return _then(AllClear.one_door(who=begun(who), at=at, birds=birds), rest)


def _doors(who: str, *, at: str, rest: str, each: Sequence[str]) -> str:
    return _then(AllClear.doors(who=begun(who), at=at, each=in_a_row(each)), rest)


def _then(said: str, rest: str) -> str:
    return f"{said} {rest}" if rest else said


def _rest(states: Sequence[Door]) -> str:
    """How the title ends: that there is nothing to do, or who is missing."""
    harmed = any(state.last and state.last.kind in HARMED for state in states)
    if not harmed and all(is_well(state) for state in states):
        return AllClear.nothing()
    return _not_all_in(states[0]) if len(states) == 1 else _at_large(states)


def _next_morning(evening: Evening, state: Door, last: Closing, rest: str) -> str:
    """Says it as "Ben says 1 was found. Walnut, Mon 21 Dec: 12 in. Nothing to do."."""
    house = next(door.name for door in evening.doors if door.coop_id == last.coop_id)
    who, ended = short(last.who), what_became(last.kind, last.count)
    day, birds = short_day(evening.day), _count_in(state)

    def says(where: str) -> str:
        said = AllClear.next_morning(who=who, ended=ended, names=where, day=day, birds=birds)
        return _then(said, rest)

    return fitted(says, [house])[:TITLE_LENGTH]


def _said_since(night: Night, last: Closing | None) -> list[str]:
    """What the house's own line does not say: who took an ending back, or said one late."""
    if last is None:
        return []
    at = local_time(last.at, night)
    if before := of_a_door_before(last, night):
        return [sentence(before)]
    if last.took_back_an_ending:
        return [sentence(took_back(last, at))]
    if last.was == "closed":
        return [sentence(took_back_a_count(last, at))]
    if ended := what_became(last.kind, last.count):
        return [AllClear.said_that(who=short(last.who), at=at, what=ended)]
    return []


def _line(door: RemindedDoor, state: Door) -> Iterator[str]:
    yield AllClear.line(house=door.name, birds=_birds_in(state))
    yield from filter(None, (_not_all_in(state), which_number(state)))


def _birds_in(state: Door, *, whole: bool = False, fates: bool = True) -> str:
    """Says it as "all 12 in, 1 of them found since"."""
    return in_a_row([_count_in(state, whole=whole), *(_fates(state) if fates else ())])


def _fates(state: Door) -> Iterator[str]:
    """What became of birds since the count: "1 dead", or "1 of them found since"."""
    told = became(state)
    for kind, says in _BECAME.items():
        if told[kind]:
            of_them = kind == "found" and state.counted is not None
            yield (BirdsIn.found_of_them if of_them else says)(birds=told[kind])


def _at_large(states: Sequence[Door]) -> str:
    birds = sum(state.at_large for state in states)
    if not birds:
        return ""
    more = any(state.is_at_least for state in states)
    missing = Missing.birds(birds=at_least(birds, more=more))
    return sentence(capitalized(missing))


def _not_all_in(state: Door) -> str:
    text = not_all_in(state)
    return sentence(capitalized(text)) if text else ""


def _count_in(state: Door, *, whole: bool = False) -> str:
    if state.counted is not None:
        return (BirdsIn.all_counted if whole else BirdsIn.counted)(birds=state.counted)
    return BirdsIn.looks_like_all() if looks_like_all(state) else BirdsIn.not_counted()
