"""What is told of a place's climate: where it is from, frost ahead, frost dates, standing heat."""

import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.climate_told import frost_ahead, source_words, year_lines
from scheduler.cares.decided import DecidedDay
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.climate.chance import first_frost, last_frost
from scheduler.climate.curve import Averages, averages
from scheduler.climate.wave import Wave
from scheduler.climate.weather import Reading, Weather
from scheduler.profile.units import Units
from scheduler.wording.spoken import day_and_month
from tests.conftest import declared

DAY = timedelta(days=1)
PLACE = """
[site]
name = "Hill"
latitude = {0}
longitude = {1}
timezone = "{2}"
region = "{3}"
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
"""
LONDON = (51.5, -0.1, "Europe/London", "UK")
MANILA = (14.6, 121.0, "Asia/Manila", "other")
HOUSTON = (29.8, -95.4, "America/Chicago", "US")
HOBART = (-42.9, 147.3, "Australia/Hobart", "AU")
JULY = [date(2026, 7, 6) + n * DAY for n in range(7)]


def at(place: tuple[float, float, str, str]) -> Averages:
    return averages(declared(PLACE.format(*place)))


def decided(day: date, low_c: float, sd: float = 1.7) -> DecidedDay:
    return DecidedDay(
        weather=Weather(
            day=day,
            low_c=Reading(value=low_c, sd=sd, source="forecast"),
            high_c=Reading(value=low_c + 8, sd=sd, source="forecast"),
            humidity_at_high=Reading(value=0.5),
        ),
        decided_at=datetime(2026, 7, 5, 18, tzinfo=UTC),
    )


def told(place: tuple[float, float, str, str], catalogue: Catalogue, first: date) -> list[str]:
    last = first.replace(year=first.year + 1) - DAY
    return list(
        year_lines(at(place), catalogue, declared(PLACE.format(*place)).site.region, first, last)
    )


@pytest.mark.parametrize(
    ("lows_c", "said"),
    [
        ([15.0] * 7, ""),
        ([1.3, 15, 15, 15, 15, 15, 15], "Frost possible on 1 of 7 nights (20 % or more)."),
        ([1.3, 1.5, 15, 15, 15, -4, 15], "Frost possible on 2 of 7 nights (20 % or more)."),
        ([-3] * 7, "Frost possible on 7 of 7 nights (20 % or more)."),
    ],
)
def test_the_nights_of_a_week_are_counted_as_they_are_decided(
    lows_c: list[float], said: str
) -> None:
    records = Records(weather=tuple(map(decided, JULY, lows_c)))
    assert frost_ahead(at(LONDON), records, JULY).replace("\u00a0", " ") == said


def test_nights_of_which_nothing_is_decided_are_as_usual() -> None:
    yearly = at(LONDON)
    assert frost_ahead(yearly, NO_RECORDS, JULY) == ""
    january = [date(2026, 1, 12) + n * DAY for n in range(7)]
    assert "on 7 of 7 nights" in frost_ahead(yearly, NO_RECORDS, january)
    warm = Records(weather=tuple(decided(day, 9.0) for day in january[:3]))
    assert "on 4 of 7 nights" in frost_ahead(yearly, warm, january)
    one_day = frost_ahead(yearly, NO_RECORDS, january[:1])
    assert "on 1 of 1 night " in one_day


@pytest.mark.parametrize("place", [LONDON, HOBART], ids=["north", "south"])
@pytest.mark.parametrize("month", range(1, 13))
def test_any_twelve_months_tell_their_frosts_once_and_in_their_order(
    catalogue: Catalogue, place: tuple[float, float, str, str], month: int
) -> None:
    first = date(2026, month, 1)
    yearly, said = at(place), told(place, catalogue, first)
    begins = [one for one in said if "the first frost comes before" in one]
    ends = [one for one in said if "the last frost comes after" in one]
    assert len(begins) == len(ends) == 1
    found = [
        (frost.usual, frost)
        for year in (2025, 2026, 2027, 2028)
        for frost in (first_frost(yearly, year), last_frost(yearly, year))
        if frost and first <= frost.usual < first.replace(year=2027)
    ]
    for (usual, frost), sentence in zip(sorted(found), said, strict=True):
        assert sentence.startswith("One year in two, the ")
        assert day_and_month(usual) in sentence
        assert f"(one in ten: {'before' if sentence in begins else 'after'} " in sentence
        assert day_and_month(frost.one_in_ten) in sentence


def test_where_frost_is_rare_no_date_is_told_and_standing_heat_is(catalogue: Catalogue) -> None:
    assert told(MANILA, catalogue, date(2026, 1, 1)) == [
        (
            "Heat is the rule here: keep shade, two drinkers and open vents all the time. "
            "Duskfold only speaks up on days that are hotter than usual."
        )
    ]


def test_standing_heat_is_told_with_its_months_where_the_rest_of_the_year_is_cool(
    catalogue: Catalogue,
) -> None:
    (sentence,) = (one for one in told(HOUSTON, catalogue, date(2026, 1, 1)) if "the rule" in one)
    assert re.fullmatch(
        r"From \d+ April to \d+ October heat is the rule here: keep shade, two waterers and open "
        r"vents all that time\. Duskfold only speaks up on days that are hotter than usual\.",
        sentence,
    ), sentence
    # The same whenever the twelve months begin.
    for month in (6, 8, 11):
        assert sentence in told(HOUSTON, catalogue, date(2026, month, 1))


def test_where_heat_comes_now_and_then_there_is_no_standing_line(catalogue: Catalogue) -> None:
    for place in (LONDON, HOBART):
        assert not [one for one in told(place, catalogue, date(2026, 1, 1)) if "rule" in one]


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "elevation", "units", "off"),
    [
        (*LONDON[:2], "", "metric", "1.5 °C"),
        (*LONDON[:2], "", "uk", "1.5 °C"),
        (*LONDON[:2], "", "us", "2.7 °F"),
        (60.55, 8.20, "", "metric", "3 °C"),  # in the mountains of Norway
        (60.55, 8.20, 'elevation = "900 m"', "metric", "3 °C"),
        (*LONDON[:2], 'elevation = "1100 m"', "us", "5.4 °F"),
    ],
)
def test_where_the_temperatures_are_from_is_said_with_how_far_they_are_off(
    latitude_deg: float, longitude_deg: float, elevation: str, units: Units, off: str
) -> None:
    text = PLACE.format(
        latitude_deg, longitude_deg, "Europe/Oslo" if longitude_deg > 5 else "Europe/London", "UK"
    )
    text = text.replace("[[coop]]", f"{elevation}\n\n[[coop]]", 1)
    said = source_words(averages(declared(text)), units).replace("\u00a0", " ")
    assert said == f"Temperatures from the climate map, ±{off}."
    at_sea = averages(declared(PLACE.format(-40.0, -110.0, "Etc/GMT+7", "other")))
    assert source_words(at_sea, units) == "Temperatures estimated from latitude."
    assert source_words(replace(at_sea, estimated=False), units) == ""


def test_a_year_is_from_the_map_from_latitude_or_given() -> None:
    at_sea = PLACE.format(-40.0, -110.0, "Etc/GMT+7", "other")
    given = PLACE.format(*LONDON) + (
        '[climate]\ncoldest_month_low = "1 °C"\nwarmest_month_high = "23 °C"\n'
    )
    assert at(LONDON).source == "from the climate map"
    assert averages(declared(at_sea)).source == "estimated from latitude"
    assert averages(declared(given)).source == "as given"
    assert Averages(Wave(1.0), Wave(9.0), None, estimated=False).source == "as given"
