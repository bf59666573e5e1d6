"""Which of what was said of doors long ago still matters: most of it left everything as it was."""

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby

from scheduler.cares.closing import Closing, evening_of, found_when_said
from scheduler.cares.door_fold import after_evening
from scheduler.cares.door_state import Door
from scheduler.cares.emptied import EMPTIES

_CLEAN = "clean"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Evening:
    """What was said of one evening, and at which places it stands in the whole."""

    day: date
    said: tuple[Closing, ...]
    places: tuple[int, ...]


def still_matter(closings: Sequence[Closing], before: date) -> list[int]:
    """The places of those of evenings before that date that every later evening needs.

    By them and what was said of the evenings since, `door`, `is_count_due` and `emptied` tell of
    each evening from that date on what they tell by everything.
    """
    by_house: dict[str, list[int]] = defaultdict(list)
    for place, one in enumerate(closings):
        by_house[one.coop_id].append(place)
    kept: list[int] = []
    for places in by_house.values():
        kept += _of_house(closings, places, before)
    return sorted(kept)


def _of_house(closings: Sequence[Closing], places: Sequence[int], before: date) -> Iterator[int]:
    evenings = list(_evenings(closings, places))
    earlier = [one for one in evenings if one.day < before]
    # Said of an evening before, and of a count since.
    for one in evenings[len(earlier) :]:
        yield from (place for place in one.places if closings[place].evening < before)
    fixed = _fixed(earlier, before)
    kept: list[_Evening] = []
    state = Door(state="open", expected=earlier[0].said[0].flock if earlier else 0)
    seen: dict[Hashable, int] = {_key(state): 0}  # by how many evenings the door stands so
    for number, one in enumerate(earlier):
        state = after_evening(state, one.day, one.said)
        if number in fixed:
            kept.append(one)
            seen = {}
        elif (reached := seen.get(_key(state))) is not None:
            del kept[reached:]
            seen = {key: length for key, length in seen.items() if length <= reached}
            continue
        else:
            kept.append(one)
        seen[_key(state)] = len(kept)
    for one in kept:
        yield from one.places


def _key(state: Door) -> Hashable:
    # The profile's number of such a house is taken over with whatever is said next.
    return _CLEAN if state == Door(state="open", expected=state.expected) else state


def _fixed(evenings: Sequence[_Evening], before: date) -> set[int]:
    """Those that are asked for by themselves: the last counted, shut or emptied, and late news."""

    def with_any(fits: Callable[[Closing], bool]) -> list[int]:
        return [n for n, one in enumerate(evenings) if any(map(fits, one.said))]

    shut = with_any(lambda said: said.kind == "closed")
    counted = with_any(lambda said: said.kind == "closed" and said.count is not None)
    emptied = with_any(lambda said: said.kind in EMPTIES)
    late = with_any(lambda said: said.known_at.date() >= before)
    return {*counted[-1:], *shut[-1:], *emptied[-1:], *late}


def _evenings(closings: Sequence[Closing], places: Sequence[int]) -> Iterator[_Evening]:
    """What was said by the evenings that it counts for, each with its places in the whole."""
    mine: dict[Closing, list[int]] = defaultdict(list)
    for place in places:
        mine[_undated(closings[place])].append(place)
    told = found_when_said(closings[place] for place in places)
    for day, group in groupby(told, evening_of):
        said = tuple(group)
        found = [_place(closings, mine[_undated(one)], day) for one in said]
        yield _Evening(day=day, said=said, places=tuple(found))


def _place(closings: Sequence[Closing], places: list[int], day: date) -> int:
    """Takes the place of one of them: of that very evening, or that was said of one before it."""
    place = next((one for one in places if closings[one].evening == day), places[0])
    places.remove(place)
    return place


def _undated(one: Closing) -> Closing:
    return replace(one, evening=date.min)
