"""A text keeps what stands in its places, and a language says it in its own words."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, time

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.profile.words import clock, counted, local_clock, words
from scheduler.wording.spoken import (
    day_month_year,
    in_a_row,
    listed,
    listed_or,
    long_day,
    long_day_with_year,
    month_and_year,
    short_day,
    short_day_with_year,
    short_month_and_year,
    span_of,
)
from scheduler.wording.words import ENGLISH, Language, Words, speak


class Here:
    """Texts of this test."""

    missing = Words("{house}: {birds} {birds:hen is|hens are} missing")
    brace = Words("a {{brace}}")


@pytest.fixture
def _spoken() -> Iterator[None]:
    yield
    speak(ENGLISH)


@given(st.text(), st.integers(0, 60))
def test_what_stands_in_a_place_arrives_unchanged(house: str, birds: int) -> None:
    said = Here.missing(house=house, birds=birds)
    assert said == f"{house}: {birds} {'hen is' if birds == 1 else 'hens are'} missing"


def test_a_brace_written_twice_is_a_brace() -> None:
    assert Here.brace() == "a {brace}"


def test_a_place_that_is_not_given_is_an_error() -> None:
    with pytest.raises(KeyError):
        Here.missing(house="Walnut")
    with pytest.raises(TypeError, match="not a whole number"):
        Here.missing(house="Walnut", birds="12")
    assert Here.missing.places == {"house", "birds"}


def test_two_texts_of_one_key_are_an_error() -> None:
    with pytest.raises((ValueError, RuntimeError)):  # which Python 3.11 makes of it in a class
        type("Here", (), {"brace": Words("another")})


def test_pieces_keep_what_stands_in_places_as_it_is() -> None:
    assert list(Here.missing.pieces({"house": 5, "birds": 1})) == [
        5,
        ": ",
        1,
        " ",
        "hen is",
        " missing",
    ]


@pytest.mark.usefixtures("_spoken")
def test_a_language_has_its_own_order_and_its_own_plurals() -> None:
    def slavic(count: int) -> int:  # CLDR's rule for Polish, whole numbers
        if count == 1:
            return 0
        few = count % 10 in (2, 3, 4) and count % 100 not in (12, 13, 14)
        return 1 if few else 2

    patterns = {"Here.missing": "Brakuje {birds} {birds:kury|kur|kur}: {house}"}
    speak(Language("pl", patterns, slavic))
    assert Here.missing(house="Orzech", birds=1) == "Brakuje 1 kury: Orzech"
    assert Here.missing(house="Orzech", birds=22) == "Brakuje 22 kur: Orzech"
    assert Here.brace() == "a {brace}"  # which it has not


@pytest.mark.usefixtures("_spoken")
def test_what_was_kept_of_one_language_is_not_said_in_another() -> None:
    assert words("UK")["Rooster"] == "Cockerel"
    speak(Language("de", {"BritishTradeWords.rooster": "Hahn"}))
    assert (words("UK")["Rooster"], words("UK")["perch"]) == ("Hahn", "perch")


def test_times_and_birds_that_are_counted_are_said_as_in_english() -> None:
    assert [clock(time(hour, 5), "US") for hour in (0, 11, 12, 23)] == [
        "12:05 am",
        "11:05 am",
        "12:05 pm",
        "11:05 pm",
    ]
    assert clock(time(9, 5), "UK") == "09:05"
    after_midnight = datetime(2026, 6, 21, 0, 40, tzinfo=UTC)
    assert local_clock(after_midnight, UTC, "EU", date(2026, 6, 20)) == "00:40 (Sun)"
    assert [counted(count, "birds") for count in (0, 1, 2)] == ["0 birds", "1 bird", "2 birds"]
    assert (counted(1, "hens"), counted(12, "hen")) == ("1 hen", "12 hens")


def test_dates_and_lists_are_said_as_in_english() -> None:
    day = date(2026, 12, 26)
    assert (long_day(day), short_day(day)) == ("Saturday 26 December", "Sat 26 Dec")
    assert [listed(list("abc")[:n]) for n in range(4)] == ["", "a", "a and b", "a, b and c"]
    assert listed_or(["hen", "rooster"]) == "hen or rooster"
    assert [in_a_row(list("abc")[:n]) for n in range(4)] == ["", "a", "a, b", "a, b, c"]


def test_a_date_is_said_with_its_year_where_that_is_asked_for() -> None:
    day = date(2026, 12, 26)
    assert long_day_with_year(day) == "Saturday 26 December 2026"
    assert short_day_with_year(day) == "Sat 26 Dec 2026"
    assert day_month_year(day) == "26 December 2026"
    assert (month_and_year(day), short_month_and_year(day)) == ("December 2026", "Dec 2026")


@pytest.mark.parametrize(
    ("minutes", "said"),
    [(0, "0 min"), (119, "119 min"), (120, "2 h"), (216, "3 h 36 min"), (1440, "24 h")],
)
def test_what_lasts_two_hours_or_longer_is_said_in_hours(minutes: int, said: str) -> None:
    assert span_of(minutes) == said.replace(" min", "\u00a0min").replace(" h", "\u00a0h")
