"""What has changed, as people read it."""

from pathlib import Path

import pytest

from scheduler.profile.change import Add, Change, Set, Unset, changed
from scheduler.profile.changeable import changeable
from scheduler.profile.difference import UNTOLD, Difference, differences
from scheduler.profile.difference_words import Telling, names_in, said
from scheduler.profile.raw_tables import Where
from scheduler.profile.units import Region, Units

ANNOTATED = (Path(__file__).parents[2] / "config" / "annotated.toml").read_text()
WALNUT, KIM = ("coop", "walnut-house"), ("person", "kim")
JOBS = {("cares", "mite-look"): "Look for mites"}


def lines(change: Change, units: Units = "metric", region: Region = "EU") -> list[str]:
    after = changed(ANNOTATED, [change])
    to = Telling(names={**names_in(ANNOTATED, after), **JOBS}, units=units, region=region)
    return [said(one, to).replace("\u00a0", " ") for one in differences(ANNOTATED, after)]


@pytest.mark.parametrize(
    ("change", "line"),
    [
        (Set((*WALNUT, "floor"), "2.9 m²"),
         "Walnut House, floor inside: 2.90 m² (was 1.60 m × 2.20 m)"),
        (Set((*WALNUT, "perches", "wall"), "20 cm"),
         "Walnut House, gap between perch and wall: 20 cm (was not known)"),
        (Unset((*WALNUT, "perches", "width")),
         "Walnut House, width of the timber on top: not known any more (was 50 mm)"),
        (Set((*WALNUT, "name"), "Elm"), "Walnut House is called Elm"),
        (Set((*WALNUT, "door"), "automatic"),
         "Walnut House, door: shuts by itself (was shut by hand)"),
        (Set((*WALNUT, "light", "programme"), value=True),
         "Walnut House, a lamp lengthens short days: yes (was no)"),
        (Set(("flock", "the-browns", "arrived"), "2026-05-01"),
         "The browns, with you since: 1 May 2026 (was left open)"),
        (Set(("reminders", "bedtime"), "22:00"), "Bedtime: 22:00 (was 23:00)"),
        (Set(("reminders", "brief"), "none"), "Morning brief: never (was 07:00)"),
        (Set(("reminders", "everybody"), ["5 min"]),
         "When everybody is told: 5 min (was 10 min, 25 min, 40 min)"),
        (Set(("forecast", "sources"), ["met-norway", "open-meteo"]),
         "Weather services that may be asked: MET Norway, Open-Meteo (was left open)"),
        (Set((*KIM, "push"), "https://a.example.org/b"), "Kim, where push messages go: changed"),
        (Set((*KIM, "mail"), "kim@example.org"), "Kim, email address: added"),
        (Unset((*KIM, "push")), "Kim, where push messages go: taken away"),
        (Unset(KIM), "Taken away: Kim"),
        (Add(("coop",), {"name": "Elm house", "id": "elm"}), "Added: Elm house"),
        (Add((*WALNUT, "vent"), {"size": "1 m2", "steps": 1}),
         "Walnut House: another vent (1 m2)"),
        (Unset((*WALNUT, "drinker", 0)), "Walnut House: one drinker fewer (bell, 8 L)"),
        (Set(("cares", "mite-look", "on"), value=False),
         "Look for mites: switched off"),
        (Set(("cares", "mite-look", "minutes"), 4), "Look for mites, minutes it takes: 4 (was 8)"),
        (Set(("cares", "worm-count", "on"), value=True), "Worm Count: you do this job again"),
        (Set(("web", "listen"), "127.0.0.1:1"), "Something has changed that no page shows."),
        (Set(("lockup", "angle"), -5), "Sun below the horizon, in degrees: -5 (was -4)"),
    ],
)  # fmt: skip
def test_a_line_says_what_it_is_about_what_it_is_and_what_it_was(change: Change, line: str) -> None:
    assert line in lines(change)


def test_it_is_told_in_the_households_units_words_and_times() -> None:
    change = Set((*WALNUT, "bedding", "depth"), "6 in")
    assert lines(change, "us", "US") == ["Walnut House, litter depth: 6 in (was 3.9 in)"]
    assert lines(change) == ["Walnut House, bedding depth: 15.2 cm (was 10 cm)"]
    bedtime = Set(("reminders", "bedtime"), "22:15")
    assert lines(bedtime, "us", "US") == ["Bedtime: 10:15 pm (was 11:00 pm)"]
    house = Set(("flock", "the-browns", "coop"), "elm")
    assert lines(house) == ["The browns, their house: elm (was Walnut House)"]


def test_what_is_the_same_in_these_units_is_told_as_it_is_written() -> None:
    change = Set((*WALNUT, "bedding", "depth"), "100 mm")
    assert lines(change) == ["Walnut House, bedding depth: 100 mm (was 10 cm)"]


def test_every_key_has_a_line_without_an_address_whatever_stands_there() -> None:
    to = Telling(names={}, units="metric", region="UK")
    for one in changeable():
        where: Where = one.key
        if one.key[0] in {"coop", "flock", "person", "care", "sensor", "cares"}:
            where = (one.key[0], "old-barn", *one.key[1:])
        for before, after in (("", "a b"), ("a b", ""), ("a b", "1")):
            line = said(Difference(where, before, after), to)
            assert line
            assert "  " not in line
        assert said(Difference(where, UNTOLD, UNTOLD), to)
