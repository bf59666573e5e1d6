"""What a message told of the doors, as a short mark: where two are equal, so were the words."""

from datetime import datetime
from hashlib import sha256
from typing import get_args

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import RemindedDoor
from scheduler.alerts.search_call import SearchCall, is_dark, newest_said, searched
from scheduler.cares.closing import MANY_BIRDS, Closing, EndingKind
from scheduler.cares.door_state import Door

HARMED = frozenset({"dead", "given-up"})
ENDINGS = ("found", "dead", "given-up", "elsewhere")
_Values = tuple[object, ...]


def of_all_clear(night: Night) -> str:
    """Of how every door stands, without who said last what became of birds."""
    states = night.states
    doors = shut_doors(night)
    last = max((said for one in doors if (said := states[one.coop_id].said)), key=_when)
    newest, each = newest_said(doors, states), {one.coop_id: states[one.coop_id] for one in doors}
    if newest and is_of_next_morning(newest, night):
        of = newest.coop_id
        told = {one: state for one, state in each.items() if one == of or not is_well(state)}
        late = (newest.who, newest.kind, newest.count, of)
        return _mark("late", late, *(_in_and_missing(*one) for one in told.items()))
    return _mark(
        "shut", _minute(last.at), last.who, *(_in_and_missing(*one) for one in each.items())
    )


def of_search(night: Night, call: SearchCall) -> str:
    """Of a call to search for birds that are missing."""
    states, told = night.states, call.told
    doors = searched(night)
    each = [(one.coop_id, *_missing(states[one.coop_id])) for one in doors]
    shut = [said for one in doors if (said := states[one.coop_id].said)]
    last, newest = max(shut, key=_when), newest_said(doors, states)
    by: _Values = (_minute(last.at), last.who) if told == "search-first" else ()
    by = (newest.who,) if told == "again" and newest else by
    others = [(one.coop_id, *_beside(states[one.coop_id])) for one in night.evening.doors]
    dark = is_dark(night, call)
    return _mark(told, *each, by, *others, dark, night.is_open, bool(night.base_url))


def shut_doors(night: Night) -> list[RemindedDoor]:
    """The evening's doors that somebody has shut."""
    return [one for one in night.evening.doors if night.states[one.coop_id].said]


def is_of_next_morning(last: Closing, night: Night) -> bool:
    """Whether something was said of the evening's birds when its date was over."""
    of_birds = last.kind in get_args(EndingKind)
    is_late = last.at.astimezone(night.zone).date() > night.evening.day
    return of_birds and last.evening == night.evening.day and is_late


def is_well(state: Door) -> bool:
    """Whether all that belong there are in, and none came to harm tonight."""
    return state.is_all_in and not any(one.kind in HARMED for one in state.endings)


def became(state: Door) -> dict[str, int]:
    """Of how many birds it was said that evening what became of them, by what that was."""
    told = {kind: sum(one.birds for one in state.endings if one.kind == kind) for kind in ENDINGS}
    told["elsewhere"] = min(told["elsewhere"], state.away)  # some may have come home since
    return told


def looks_like_all(state: Door) -> bool:
    """Whether nobody counts so many, and none is known to be missing."""
    return state.expected >= MANY_BIRDS and not state.at_large and not state.unsure


def _in_and_missing(coop_id: str, state: Door) -> _Values:
    counted = state.counted if state.counted is not None else looks_like_all(state)
    more = (state.expected, state.away, state.given_up, state.gone, state.died_on)
    return (
        coop_id,
        (state.counted is not None, counted),
        *became(state).values(),
        (state.missing, state.vague, state.lost, state.before),
        more if state.over else (),
        is_well(state),
        bool(state.last and state.last.kind in HARMED),
    )


def _missing(state: Door) -> _Values:
    return (state.missing, state.vague, state.lost, state.expected, state.before)


def _beside(state: Door) -> _Values:
    return (state.over, state.expected == 1, state.state == "shut", _counts(state))


def _counts(state: Door) -> _Values:
    """Two counts that differ: by whom, when, how many."""
    if state.state != "searching" or not (state.other and state.said):
        return ()
    return tuple((one.who, _minute(one.at), one.count) for one in (state.other, state.said))


def _when(said: Closing) -> datetime:
    return said.at


def _minute(at: datetime) -> str:
    return at.isoformat(timespec="minutes")


def _mark(*told: object) -> str:
    return sha256(repr(told).encode()).hexdigest()[:16]
