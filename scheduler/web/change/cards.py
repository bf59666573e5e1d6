"""Which cards the page of a section has: one thing of the profile each, with its keys."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from scheduler.profile.changeable import Section, changeable
from scheduler.profile.raw_tables import Where, names_of, things
from scheduler.profile.units import Region
from scheduler.profile.words import words
from scheduler.web.change.addresses import NEW, PARTS, name_of, table_of
from scheduler.wording.web.change import AddTitles, CardTitles
from scheduler.wording.words import by_code

Tables = Mapping[str, Any]
Deed = Literal["change", "add"]
SECTIONS: tuple[Section, ...] = get_args(Section)
# What is asked of a thing before it is there; everything else can be said and measured later.
_FIRST: Mapping[tuple[str, ...], tuple[str, ...]] = {
    ("coop",): ("name", "type", "door", "ranging", "getting_there"),
    ("flock",): ("name", "coop", "hens", "roosters", "young", "others", "kind", "hatched", "age",
                 "arrived"),
    ("person",): ("name", "role", "push", "mail", "first_day", "last_day"),
}  # fmt: skip
# What few will ever change stands folded below the rest.
_LESSER: Mapping[str, frozenset[str]] = {
    "reminders": frozenset({"steps", "everybody"}),
    "lockup": frozenset({"basis", "angle", "after_sunset", "no_sun"}),
    "letout": frozenset({"basis", "after", "no_sun"}),
    "site": frozenset(
        {"latitude", "longitude", "timezone", "elevation", "west_horizon", "east_horizon"}
    ),
    "move": frozenset(
        {
            "latitude",
            "longitude",
            "timezone",
            "elevation",
            "west_horizon",
            "east_horizon",
            "region",
            "same_climate",
        }
    ),
    "flock": frozenset({"mass", "age", "raised_by", "arrived", "joined"}),
    "person": frozenset({"service", "brief", "range_reminder"}),
    "climate": frozenset({"lows", "highs", "humidity"}),
}
_NONE: frozenset[str] = frozenset()
_A_THING = 2  # parts of ("coop", "walnut")
_OF_SECTION: Mapping[Section, tuple[str, ...]] = {
    "birds": ("flock",),
    "people": ("person",),
    "weather": ("climate", "forecast"),
    "server": ("web", "mail"),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """One form: the keys below `where`, or those of a thing that it adds there.

    `thing` is what it is part of, which stands above it; `can_end`: it can be taken away.
    """

    where: Where
    title: str
    keys: tuple[str, ...]
    deed: Deed = "change"
    thing: str = ""
    can_end: bool = False
    is_open: bool = False

    @property
    def lesser(self) -> frozenset[str]:
        """Those of its keys that few will ever change."""
        parts = [part for part in self.where if isinstance(part, str)]
        table = "".join(parts[:1]) if len(parts) <= _A_THING else parts[-1]
        adds = self.deed == "add" and table != "move"
        return _NONE if adds or not parts else _LESSER.get(table, _NONE)

    @property
    def id(self) -> str:
        """By which a form and an address know it."""
        if not self.where:
            return self.keys[0]
        return name_of((*self.where, NEW) if self.deed == "add" else self.where)

    def input_at(self, key: str) -> Where:
        """What its input of that key changes, or would."""
        if self.deed == "change" or self.where == ("move",):
            return (*self.where, key)
        return (*self.where, 0, key) if self.where[-1] in PARTS else (*self.where, NEW, key)


def cards_of(
    section: Section, tables: Tables, region: Region, *, has_moved: bool = False
) -> tuple[Card, ...]:
    """Every card of the section, in a keeper's order; `has_moved`: a move in it is over."""
    if section == "place":
        return tuple(_of_the_place(tables, region, has_moved=has_moved))
    return tuple(_CARDS[section](section, tables, region))


def keys_of(section: Section, table: tuple[str, ...]) -> tuple[str, ...]:
    """The keys that a page of this section changes in that table."""
    return tuple(
        one.key[-1] for one in changeable() if one.section == section and one.key[:-1] == table
    )


def _card(section: Section, where: Where, title: str, **more: Any) -> Card:  # noqa: ANN401 - of a card
    return Card(where=where, title=title, keys=keys_of(section, table_of(where)), **more)


def _adding(section: Section, where: Where, region: Region, **more: Any) -> Card:  # noqa: ANN401 - of a card
    table = table_of(where)
    keys = _FIRST.get(table) or keys_of(section, table)
    title = by_code(AddTitles, table[-1])(**words(region))
    return Card(where=where, title=title, keys=keys, deed="add", **more)


def _of_things(section: Section, tables: Tables, region: Region) -> Iterator[Card]:
    (kind,) = _OF_SECTION[section]
    named = names_of(tables, kind)
    for thing_id, name in named.items():
        can_end = kind != "flock" or len(named) > 1
        yield _card(section, (kind, thing_id), name, can_end=can_end, is_open=len(named) == 1)
    yield _adding(section, (kind,), region, is_open=not named)


def _of_houses(section: Section, tables: Tables, region: Region) -> Iterator[Card]:
    named = names_of(tables, "coop")
    for house, thing in zip(named, things(tables, "coop"), strict=True):
        name = named[house]
        own = (section, ("coop", house), CardTitles.house())
        yield _card(*own, thing=name, can_end=len(named) > 1)
        for part in ("perches", "nests", "bedding", "light"):
            yield _card(section, ("coop", house, part), _title(part, region), thing=name)
        for part in PARTS:
            there = thing.get(part)
            for place in range(len(there) if isinstance(there, list) else 0):
                title = _title(part, region)
                where = ("coop", house, part, place)
                yield _card(section, where, title, thing=name, can_end=True)
            yield _adding(section, ("coop", house, part), region, thing=name)
    yield _adding(section, ("coop",), region)


def _title(part: str, region: Region) -> str:
    return by_code(CardTitles, part)(**words(region))


def _of_runs(section: Section, tables: Tables, region: Region) -> Iterator[Card]:
    for house, name in names_of(tables, "coop").items():
        yield _card(section, ("coop", house), _title("ranging", region), thing=name)
        yield _card(section, ("coop", house, "run"), _title("run", region), thing=name)


def _of_alerts(section: Section, tables: Tables, region: Region) -> Iterator[Card]:
    yield _card(section, ("reminders",), _title("reminders", region), is_open=True)
    if len(things(tables, "person")) > 1:
        yield _card(section, ("duty",), _title("duty", region))
    for rule in ("lockup", "letout"):
        yield _card(section, (rule,), _title(rule, region))
    for thing in things(tables, "coop"):
        for rule in ("lockup", "letout"):
            where, name = ("coop", str(thing["id"]), rule), str(thing.get("name", ""))
            yield _card(section, where, _title(rule, region), thing=name, can_end=rule in thing)


def _of_jobs(section: Section, tables: Tables, region: Region) -> Iterator[Card]:
    yield _card(section, ("rounds",), _title("rounds", region))
    for job, name in names_of(tables, "care").items():
        yield _card(section, ("care", job), name, can_end=True)
    yield _adding(section, ("care",), region)


def _of_the_place(tables: Tables, region: Region, *, has_moved: bool) -> Iterator[Card]:
    site, move = ("site",), ("move",)
    if has_moved:
        yield _card("place", move, _title("since", region), is_open=True)
        keys = keys_of("place", move)
        yield Card(where=move, title=_title("again", region), keys=keys, deed="add")
        yield _card("place", site, _title("before", region))
    else:
        yield _card("place", site, _title("site", region), is_open=True)
        yield _card("place", move, _title("move", region), can_end="move" in tables)
    yield Card(where=(), title=_title("units", region), keys=("units",))


def _of_tables(section: Section, tables: Tables, region: Region) -> Iterator[Card]:
    for table in _OF_SECTION[section]:
        can_end = table != "web" and table in tables
        yield _card(section, (table,), _title(table, region), can_end=can_end)
    if section == "weather":
        for sensor, name in names_of(tables, "sensor").items():
            yield _card(section, ("sensor", sensor), name, can_end=True)
        yield _adding(section, ("sensor",), region)


_CARDS = {
    "birds": _of_things,
    "house": _of_houses,
    "run": _of_runs,
    "people": _of_things,
    "alerts": _of_alerts,
    "jobs": _of_jobs,
    "weather": _of_tables,
    "server": _of_tables,
}
