"""What takes a thing out of the profile, and what ends with it."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Any

from scheduler.profile.change import Change, Set, Unset
from scheduler.profile.difference import Difference
from scheduler.profile.raw_tables import Where, names_of, things
from scheduler.web.change.cards import Card, Tables
from scheduler.wording.spoken import in_a_row
from scheduler.wording.web.change import EndSays, EndTitles
from scheduler.wording.words import by_code

_THING = 2  # parts of ("coop", "walnut")


def end_title(card: Card) -> str:
    """What the button says."""
    named = {"name": card.title} if card.where[0] == "person" else {}
    return by_code(EndTitles, _kind(card.where))(**named)


def end_changes(card: Card, tables: Tables) -> tuple[Change, ...]:
    """What leaves the profile: the thing, and what cannot be without it."""
    if card.where[0] not in {"coop", "person"} or len(card.where) > _THING:
        return (Unset(card.where),)
    if _is_thing(card.where, "person"):
        duty = tables.get("duty")
        days = duty.items() if isinstance(duty, Mapping) else ()
        theirs = (Unset(("duty", day)) for day, who in days if who == card.where[1])
        return (*theirs, Unset(card.where))
    within = _within(tables, str(card.where[1]), ("flock", "sensor"))
    return (*within, Unset(card.where))


def end_says(card: Card, tables: Tables) -> list[str]:
    """What whoever ends it should know before."""
    return list(_says(card.where, tables))


def _says(where: Where, tables: Tables) -> Iterator[str]:
    if _is_thing(where, "coop"):
        house = str(where[1])
        if birds := _names(tables, "flock", house):
            yield EndSays.birds_of_coop(birds=in_a_row(birds))
        if sensors := _names(tables, "sensor", house):
            yield EndSays.sensors_of_coop(sensors=in_a_row(sensors))
        yield EndSays.coop()
    elif _is_thing(where, "person"):
        yield EndSays.person()
    elif _is_thing(where, "flock"):
        yield EndSays.flock()


def emptied(tables: Tables, changes: Iterable[Change]) -> tuple[Change, ...]:
    """What ends the houses in which no birds live any more once these have moved."""
    moved = {
        str(one.where[1]): str(one.value)
        for one in changes
        if isinstance(one, Set) and one.where[0] == "flock" and one.where[-1] == "coop"
    }
    left = {str(one["id"]): str(one.get("coop")) for one in things(tables, "flock")}
    houses = {left[flock] for flock in moved if flock in left} - {*(left | moved).values()}
    ends = ((*_within(tables, house, ("sensor",)), Unset(("coop", house))) for house in houses)
    return tuple(one for each in ends for one in each)


def emptied_says(tables: Tables, differences: Iterable[Difference]) -> list[str]:
    """What is said of the houses that end because their last birds have moved."""
    ended = {one.where[1] for one in differences if _is_thing(one.where, "coop") and not one.after}
    names = [name for house, name in names_of(tables, "coop").items() if house in ended]
    return [EndSays.emptied(house=name) for name in names]


def _within(tables: Tables, house: str, kinds: Iterable[str]) -> Iterator[Change]:
    for kind in kinds:
        for one in _of_house(tables, kind, house):
            yield Unset((kind, str(one["id"])))


def _is_thing(where: Where, kind: str) -> bool:
    return len(where) == _THING and where[0] == kind


def _names(tables: Tables, kind: str, house: str) -> list[str]:
    named = names_of(tables, kind)
    return [named[str(one["id"])] for one in _of_house(tables, kind, house)]


def _of_house(tables: Tables, kind: str, house: str) -> list[Mapping[str, Any]]:
    return [one for one in things(tables, kind) if one.get("coop") == house]


def _kind(where: Where) -> str:
    """Of a part the part, of everything else what it is."""
    parts = [part for part in where[_THING:] if isinstance(part, str)]
    return parts[-1] if parts else str(where[0])
