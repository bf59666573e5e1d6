"""Places by the first letters of their names."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.places.folded import folded
from scheduler.places.place import Place, labels
from tests.places.drawn import drawn, world


def shown(typed: str, most: int = 8) -> list[str]:
    return [str(place) for place in world().starting(typed, most)]


@given(drawn(), st.integers(1, 12))
def test_each_place_is_found_by_its_first_letters_unless_larger_ones_are(
    place: Place, letters: int
) -> None:
    found = world().starting(place.name[:letters].replace(",", " "), 8)
    assert place in found or all(other.people >= place.people for other in found[:8])
    assert len(found) == len(set(found)) or place.name in {other.name for other in found}


@given(drawn())
def test_each_place_is_found_by_its_whole_name(place: Place) -> None:
    assert place in world().starting(place.name.replace(",", " "), 1000)


@given(drawn())
def test_region_and_country_narrow_to_places_there(place: Place) -> None:
    name = place.name.replace(",", " ")
    there = world().starting(f"{name}, {place.country}", 1000)
    assert place in there
    assert {other.country for other in there} == {place.country}
    assert place in world().starting(f"{name}, {place.country_code}", 1000)
    if place.region:
        narrowed = world().starting(f"{name}, {place.region}, {place.country}", 1000)
        assert place in narrowed
        assert {(p.region, p.country) for p in narrowed} <= {(p.region, p.country) for p in there}


@given(drawn())
def test_capitals_accents_and_signs_make_no_difference(place: Place) -> None:
    name = place.name.replace(",", " ")
    for typed in (name.upper(), name.swapcase(), folded(name), f"  {name} "):
        assert folded(typed) == folded(name)


@pytest.mark.parametrize(
    ("typed", "first"),
    [
        ("lewes", "Lewes, England, United Kingdom"),
        ("LEWES", "Lewes, England, United Kingdom"),
        ("lewes, england", "Lewes, England, United Kingdom"),
        ("lewes, eng", "Lewes, England, United Kingdom"),
        ("lewes uk", "Lewes, England, United Kingdom"),
        ("lewes, uk", "Lewes, England, United Kingdom"),
        ("lewes, u", "Lewes, England, United Kingdom"),
        ("lewes, delaware", "Lewes, Delaware, United States"),
        ("lewes de", "Lewes, Delaware, United States"),
        ("lewes, delaware, usa", "Lewes, Delaware, United States"),
        ("lewes, east sussex", "Lewes, England, United Kingdom"),  # unknown: narrows nothing
        ("bury st ed", "Bury St Edmunds, England, United Kingdom"),
        ("st albans", "St Albans, England, United Kingdom"),
        ("saint louis, missouri", "St. Louis, Missouri, United States"),
        ("newcastle, new south wales", "Newcastle, New South Wales, Australia"),
        ("newcastle new south wales", "Newcastle, New South Wales, Australia"),
        ("ofallon", "O'Fallon, Missouri, United States"),
        ("koln", "Köln, North Rhine-Westphalia, Germany"),
        ("münchen", "Munich, Bavaria, Germany"),
        ("caerdydd", "Cardiff, Wales, United Kingdom"),
        ("東京", "Tokyo, Tokyo, Japan"),
        ("北京", "Beijing, Beijing, China"),
        ("москва", "Moscow, Russia"),
        ("Αθήνα", "Athens, Attica, Greece"),
        ("תל אביב", "Tel Aviv, Tel Aviv, Israel"),
        ("القاهرة", "Cairo, Muhafazat al Qahirah, Egypt"),
        ("서울", "Seoul, Seoul, South Korea"),
        ("दिल्ली", "Delhi, NCT, India"),
    ],
)
def test_what_people_type(typed: str, first: str) -> None:
    assert shown(typed)[0] == first


def test_what_is_called_so_comes_before_what_begins_so_and_then_the_larger() -> None:
    found = world().starting("springfield", 40)
    exact = [place for place in found if place.name == "Springfield"]
    assert found[: len(exact)] == tuple(exact)
    assert len(exact) > 20
    for group in (exact, found[len(exact) :]):
        own = [place.people for place in group if folded(place.name).startswith("springfield")]
        assert own == sorted(own, reverse=True)


def test_places_of_one_name_are_told_apart() -> None:
    lines = shown("springfield", 20)
    assert len(lines) == len(set(lines)) == 20


def test_namesakes_in_one_region_are_told_apart_by_where_they_are() -> None:
    found = world().starting("newport, wales")
    assert {str(place) for place in found} == {"Newport, Wales, United Kingdom"}
    assert labels(found) == (
        "Newport, Wales, United Kingdom (51.59, -3.00)",
        "Newport, Wales, United Kingdom (52.02, -4.83)",
    )
    assert labels(found[:1]) == ("Newport, Wales, United Kingdom",)


def test_a_place_never_stands_there_twice() -> None:
    for typed in ("s", "lo", "san jose", "санкт"):
        found = world().starting(typed, 60)
        assert len(found) == len(set(found))


NO_NAMES = ("", " ", ",", ",,,", "'", "-.", "\n", "\x00", "\ud800", "🐔", "🐔🐔, uk", "0", "١٢٣")


@pytest.mark.parametrize("typed", [*NO_NAMES, "a\tb", ", england", "שלום", "a\u202eb"])
def test_what_is_no_name_finds_nothing_and_breaks_nothing(typed: str) -> None:
    assert len(world().starting(typed)) <= 8
    assert len(world().like(typed)) <= 5


def test_what_is_no_letter_finds_nothing() -> None:
    assert not any(map(shown, NO_NAMES))


@given(st.text(max_size=400))
def test_any_text_is_taken(typed: str) -> None:
    assert len(world().starting(typed)) <= 8
    assert len(folded(typed)) <= 400


def test_far_too_long_a_text_is_taken() -> None:
    assert shown("x" * 400) == []
    assert world().like("new " * 100) != ()
    assert shown("lewes" + " " * 400) == shown("lewes")
