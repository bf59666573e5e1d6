"""What all that was said of a door adds up to, evening by evening.

Birds are neither made nor lost by it: those that belong in tonight, those still missing from
earlier evenings, those away, and those dead or given up are together the profile's birds, and those
that have come since.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date
from itertools import groupby

from scheduler.cares.birds_of_a_door import changed_hands, come_back, ended, numbering, taken
from scheduler.cares.closing import Closing, evening_of, found_when_said
from scheduler.cares.door_state import Door, Missing


def door(closings: Iterable[Closing], coop_id: str, evening: date, birds: int) -> Door:
    """The fold of everything said of that coop up to that evening, as it happened.

    `birds` is the profile's number. Who is dead or away is so until the profile's number changes:
    then the profile knows. Who is missing is missing until that is ended.
    """
    told = found_when_said(said for said in closings if said.coop_id == coop_id)
    told = [said for said in told if said.evening <= evening]
    state = Door(state="open", expected=told[0].flock if told else birds)
    for day, group in groupby(told, evening_of):
        said = list(group)
        if day == evening:
            for one in said:
                state = _after(numbering(state, one.flock), one)
            return replace(numbering(state, birds), last=_newest(said), evening=evening)
        state = after_evening(state, day, said)
    return replace(numbering(state, birds), evening=evening)


def after_evening(state: Door, day: date, said: Sequence[Closing]) -> Door:
    """The door as the next evening finds it, after all that was said of this one."""
    if _is_as_expected(state, said):
        return state
    for one in said:
        state = _after(numbering(state, one.flock), one)
    return _next_evening(state, day)


def _newest(said: Sequence[Closing]) -> Closing:
    """What was said last, or taken back, whenever it happened."""
    return max(reversed(said), key=lambda one: one.known_at)


def _is_as_expected(state: Door, said: Sequence[Closing]) -> bool:
    """Whether an evening of which that was said leaves everything as it was: most of them do."""
    counts = {None} if state.is_at_least or state.unsure else {None, state.expected}
    return (
        len(said) == 1
        and said[0].kind == "closed"
        and said[0].count in counts
        and not said[0].some_missing
        and said[0].flock == state.flock
    )


def _next_evening(state: Door, day: date) -> Door:
    """The door as the next evening finds it: whoever was not found is missing since `day`."""
    missing = state.missing + state.lost
    since = Missing(since=day, birds=missing, at_least=state.vague)
    before = (*state.before, since) if missing else state.before
    return Door(
        state="open",
        expected=state.expected - missing,
        before=before,
        away=state.away,
        gone=state.gone,
        given_up=state.given_up,
        died_on=state.died_on,
        come=state.come,
        unsure=state.unsure,
        surplus=state.surplus,
    )


def _after(state: Door, said: Closing) -> Door:
    match said.kind:
        case "closed":
            return _shut(state, said)
        case "reopened":
            opening = state.opening + 1
            return replace(state, state="open", counted=None, opening=opening, opened=said)
        case "undone":
            return _undone(state, said)
        case "back":
            return come_back(state, said)
        case "found" | "not-found" | "dead" | "given-up" | "elsewhere":
            return ended(state, said)
        case "arrived" | "hatched" | "moved-in" | "sold" | "moved-out":
            return changed_hands(state, said)


def _undone(state: Door, said: Closing) -> Door:
    """What is known is as if it had never been said; that it was told of it is not."""
    if said.was in {"closed", "reopened"}:
        return _door_undone(state, said)
    # Whoever was told that all are in hears that some are not.
    are_missing = state.at_large > 0
    again = state.state != "open" and are_missing
    return replace(state, searches=state.searches + again, news=state.news + 2 * are_missing)


def _door_undone(state: Door, said: Closing) -> Door:
    """The same, of what was said of the door: how often people were told of it stays."""
    if said.was == "reopened":
        # Whoever was told to shut it hears that it is shut.
        again = state.state == "searching"
        return replace(state, opening=state.opening + 1, searches=state.searches + again)
    told = _shut(state, said)
    fewer = state.state != "open" and told.at_large < state.at_large
    # The rows stand in the order of saying: the last was taken back first.
    is_newer = state.opened is None or state.opened.at <= said.at
    return replace(
        state,
        opening=state.opening + 1,
        opened=said if is_newer else state.opened,
        searches=told.searches + (fewer and state.state == "searching"),
        news=told.news + (fewer and state.state == "shut"),
    )


def _shut(state: Door, said: Closing) -> Door:
    if said.count is None:
        # Nobody is found by not being counted.
        vague = state.vague or (said.some_missing and not state.missing)
        missing = max(state.missing, min(int(said.some_missing), state.expected - state.lost))
        vague = vague and missing + state.lost > 0
        counted = None if vague else state.counted
        return _as_shut(replace(state, vague=vague, counted=counted), said, missing)
    # Whoever was told of another number hears of this one.
    is_news = state.state == "shut" and said.count != state.counted
    again = sum(one.birds for one in state.regained)
    if again and again <= state.expected:
        before = (*state.before, *state.regained)
        state = replace(state, expected=state.expected - again, before=before)
    known = tuple(replace(one, at_least=False) for one in state.before)
    left, regained = taken(known, said.count - state.expected)
    state = replace(
        state,
        expected=state.expected + sum(one.birds for one in regained),
        before=left,
        regained=regained,
        other=_other_count(state, said),
        vague=False,
        unsure=False,
        surplus=0,
        lost=0,
        news=state.news + is_news,
    )
    return _as_shut(replace(state, counted=said.count), said, max(state.expected - said.count, 0))


def _other_count(state: Door, said: Closing) -> Closing | None:
    """What somebody else counted of the shut door, where it was another number."""
    one = state.said
    if state.state == "open" or one is None or one.count in {None, said.count}:
        return None
    return one if one.who != said.who else state.other


def _as_shut(state: Door, said: Closing, missing: int) -> Door:
    more = missing > state.missing and not state.vague  # whoever searches looks for too few
    begins = missing > 0 and (state.state != "searching" or more)
    endings = state.endings
    if state.state == "open" or said.count is not None:  # who was found is among those in
        endings = tuple(one for one in endings if one.kind not in {"found", "not-found"})
    return replace(
        state,
        endings=endings,
        state="searching" if missing else "shut",
        missing=missing,
        searches=state.searches + begins,
        said=said,
    )
