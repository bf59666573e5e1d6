"""What somebody types into an input, as the profile has it."""

from datetime import date
from pathlib import Path
from typing import Any

import pytest

from scheduler.profile.change import Set, changed
from scheduler.profile.changeable import changeable, changeable_at
from scheduler.profile.load import Loaded, parse
from scheduler.profile.package_data import zone
from scheduler.profile.problem import Problem
from scheduler.profile.raw_tables import Where, named_tables
from scheduler.profile.shown_units import shown_unit
from scheduler.profile.typed_value import Conventions, Typed, read_typed, show_typed
from tests.profile.test_load import FULL

TODAY = date(2027, 1, 1)  # after all the birds of the shipped profiles have hatched

METRIC = Conventions(units="metric", region="EU", zone=zone)
US = Conventions(units="us", region="US", zone=zone)
UK = Conventions(units="uk", region="UK", zone=zone)
LENGTH = 'accepted: a length such as "1.8 m", "60 cm" or "6 ft".'
COOP, FLOCK = ("coop", "walnut"), ("flock", "girls")


@pytest.mark.parametrize(
    ("where", "typed", "by", "value"),
    [
        ((*FLOCK, "hens"), "12", METRIC, 12),
        ((*FLOCK, "hens"), " 0 ", METRIC, 0),
        ((*COOP, "slope"), "2.5", METRIC, 2.5),
        ((*COOP, "drinker", 0, "heated"), "yes", METRIC, True),
        ((*COOP, "drinker", 0, "heated"), "on", METRIC, True),
        ((*COOP, "drinker", 0, "heated"), "no", METRIC, False),
        ((*FLOCK, "hatched"), "2026-02-01", US, date(2026, 2, 1)),
        ((*FLOCK, "hatched"), "1/2/2026", UK, date(2026, 2, 1)),
        ((*FLOCK, "hatched"), "2/1/2026", US, date(2026, 2, 1)),
        ((*FLOCK, "hatched"), "1.2.2026", US, date(2026, 2, 1)),
        (("reminders", "bedtime"), "4:20 pm", US, "16:20"),
        (("reminders", "bedtime"), "16:20", METRIC, "16:20"),
        (("lockup", "cap"), "None", METRIC, "none"),
        ((*COOP, "floor"), "36", US, "36 sq ft"),
        ((*COOP, "floor"), "3.4", METRIC, "3.4 m²"),
        ((*COOP, "floor"), "1.6 x 2.2", METRIC, "1.6 m x 2.2 m"),
        ((*COOP, "floor"), "4 by 8", UK, "4 ft x 8 ft"),
        ((*COOP, "floor"), "4 ft x 8 ft", METRIC, "4 ft x 8 ft"),
        ((*COOP, "vent", 0, "size"), "10 x 40", METRIC, "10 cm x 40 cm"),
        ((*COOP, "perches", "spacing"), "36", METRIC, "36 cm"),
        ((*COOP, "perches", "spacing"), "12 1/2", US, "12 1/2 in"),
        ((*COOP, "run", "mesh"), "½", US, "½ in"),
        ((*COOP, "run", "mesh"), "13", METRIC, "13 mm"),
        ((*COOP, "drinker", 0, "capacity"), "2", US, "2 gal"),
        ((*COOP, "drinker", 0, "capacity"), "8", UK, "8 L"),
        ((*FLOCK, "mass"), "4.4 lb", METRIC, "4.4 lb"),
        ((*FLOCK, "mass"), "2.1", METRIC, "2.1 kg"),
        (("reminders", "heads_up"), "20", METRIC, "20 min"),
        (("cares", "mite-look", "every"), "5", METRIC, "5 days"),
        (("cares", "mite-look", "every"), "2 weeks", METRIC, "2 weeks"),
        (("lockup", "angle"), "-4", METRIC, -4),
        (("lockup", "angle"), "\N{MINUS SIGN}4.5", METRIC, -4.5),
        (("site", "west_horizon"), "6°", METRIC, "6°"),
        (("site", "latitude"), "51.5", METRIC, 51.5),
        (("site", "latitude"), "51.5 N", METRIC, "51.5 N"),
        (("site", "timezone"), "Europe/Paris", METRIC, "Europe/Paris"),
        (("site", "region"), "uk", METRIC, "UK"),
        ((*COOP, "ranging"), "Run only", METRIC, "run only"),
        (("climate", "humidity"), "80", METRIC, 80),
        (("climate", "coldest_month_low"), "-3", METRIC, "-3 °C"),
        (("climate", "coldest_month_low"), "\N{MINUS SIGN}3", US, "\N{MINUS SIGN}3 °F"),
        (("reminders", "everybody"), "10, 20 min", METRIC, ["10 min", "20 min"]),
        (("reminders", "steps"), ["now", "dawn"], METRIC, ["now", "dawn"]),
        (("forecast", "sources"), ["met-norway"], METRIC, ["met-norway"]),
        (("forecast", "sources"), (), METRIC, []),
        (("forecast", "rounding"), "0.1", METRIC, 0.1),
        (("person", "ana", "name"), " Ana ", METRIC, "Ana"),
    ],
)
def test_it_is_read_as_a_profile_writes_it(
    where: Where, typed: Typed, by: Conventions, value: object
) -> None:
    found = read_typed(where, typed, by)
    assert (found, type(found)) == (value, type(value))


def test_nothing_typed_leaves_the_key_out_unless_it_is_needed() -> None:
    needed = set()
    for one in changeable():
        found = read_typed(_where(one.key), "", METRIC)
        if found is None:
            continue
        needed.add(one.key)
        if found != []:
            assert isinstance(found, Problem)
            assert found.found == "nothing"
    assert needed == {
        ("move", "on"), ("move", "latitude"), ("move", "longitude"),
        ("site", "name"), ("site", "latitude"), ("site", "longitude"), ("forecast", "sources"),
        ("sensor", "name"), ("sensor", "where"), ("sensor", "file"), ("coop", "name"),
        ("coop", "vent", "size"), ("flock", "name"), ("person", "name"), ("care", "name"),
        ("mail", "host"), ("mail", "from"),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("where", "typed", "told"),
    [
        ((*FLOCK, "hens"), "twelve",
         'found "twelve"; accepted: a whole number from 0 to 1000.'),
        ((*FLOCK, "hens"), "12.5", 'found "12.5"; accepted: a whole number from 0 to 1000.'),
        ((*COOP, "slope"), "2,5",
         'found "2,5"; accepted: a number from 0 to 100. Write decimals with a point.'),
        ((*COOP, "height"), "1,9",
         f'found "1,9"; {LENGTH} Write decimals with a point.'),
        ((*COOP, "height"), "9 kg",
         f'found "9 kg"; {LENGTH} "kg" measures mass.'),
        ((*COOP, "type"), "arc", 'found "arc"; accepted: "fixed", "ark". Did you mean "ark"?'),
        ((*COOP, "latch"), "padlock",
         'found "padlock"; accepted: "two-step", "simple". '),
        ((*COOP, "light", "from"), "31/31/2026",
         'found "31/31/2026"; accepted: a date such as 2026-04-01.'),
        (("reminders", "bedtime"), "25:00",
         'found "25:00"; accepted: a time of day such as "22:30" or "10:30 pm".'),
        (("reminders", "everybody"), "10 min, never",
         'found "10 min, never"; accepted: '),
        (("climate", "lows"), "1, 2, x", 'found "x"; accepted: a temperature such as'),
        (("reminders", "steps"), ["dawn"], 'found "dawn"; accepted: '),
        (("site", "timezone"), "Europe/Pariss",
         'found "Europe/Pariss"; accepted: a time zone such as "Europe/Paris" or'),
        (("person", "ana", "push"), "ana", 'found "ana"; accepted: a push topic address such as'),
        ((*COOP, "drinker", 0, "heated"), "maybe", 'found "maybe"; accepted: true or false.'),
    ],
)  # fmt: skip
def test_what_cannot_be_used_is_told_as_of_a_file_with_what_was_typed(
    where: Where, typed: Typed, told: str
) -> None:
    found = read_typed(where, typed, METRIC)
    assert isinstance(found, Problem)
    assert found.key == where
    said = str(found).partition(": ")[2]
    assert said.startswith(told) or said == told, said


def test_no_page_asks_for_an_id_or_a_thing() -> None:
    for where in ((*COOP, "id"), COOP, ("web", "listen"), ("nonsense",)):
        with pytest.raises(KeyError):
            read_typed(where, "x", METRIC)
        with pytest.raises(KeyError):
            show_typed(where, "x")


@pytest.mark.parametrize("by", [METRIC, UK, US])
@pytest.mark.parametrize("text", [FULL, *map(Path.read_text, sorted(
    (Path(__file__).parents[2] / "config").glob("*.toml")))])  # fmt: skip
def test_what_an_input_shows_is_read_as_the_value_that_is_there(text: str, by: Conventions) -> None:
    before = parse(text.encode(), file="test.toml", today=TODAY)
    assert isinstance(before, Loaded)
    region = Conventions(units=by.units, region=before.profile.site.region, zone=zone)
    changes = []
    for where, value in _leaves(named_tables(text)):
        if changeable_at(where):
            shown = show_typed(where, value)
            assert shown
            again = read_typed(where, shown, region)
            assert again is not None
            assert not isinstance(again, Problem), again
            changes.append(Set(where, again))
    after = parse(changed(text, changes).encode(), file="test.toml", today=TODAY)
    assert isinstance(after, Loaded)
    assert after.profile == before.profile


def _leaves(value: Any, where: Where = ()) -> list[tuple[Where, Any]]:
    if isinstance(value, dict):
        return [leaf for key, one in value.items() for leaf in _leaves(one, (*where, key))]
    if isinstance(value, list) and value and isinstance(value[0], dict):
        named = len(where) == 1
        parts = [one["id"] if named else number for number, one in enumerate(value)]
        return [leaf for part, one in zip(parts, value, strict=True)
                for leaf in _leaves(one, (*where, part))]  # fmt: skip
    return [(where, value)]


def _where(key: tuple[str, ...]) -> Where:
    """An address of that key."""
    where: Where = key
    if key[0] in {"coop", "flock", "person", "care", "sensor", "cares"}:
        where = (key[0], "walnut", *key[1:])
    if key[1:2] and key[1] in {"vent", "drinker", "feeder"}:
        where = (key[0], "walnut", key[1], 0, *key[2:])
    return where


def test_every_quantity_has_a_unit_beside_it_in_which_a_bare_number_is_read() -> None:
    for by in (METRIC, UK, US, Conventions(units="us", region="other", zone=zone)):
        for one in changeable():
            if one.of.kind == "quantity" and one.of.dimension != "angle" and not one.of.is_list:
                unit = shown_unit(one.of, by.units, by.region)
                assert unit
                number = "200" if one.key[-1] == "size" else "9"
                assert read_typed(_where(one.key), number, by) == f"{number} {unit}", one.key
