"""The climate map against the stations it was made with, and against places it was not."""

from collections.abc import Callable, Iterable
from functools import cache
from math import cos, hypot, log, radians, sqrt
from statistics import fmean

import pytest

from scheduler.climate.chance import FROST, STEPS, chances, nights_a_year
from scheduler.climate.curve import Averages
from scheduler.climate.grid import MappedYear, year_at
from scheduler.profile.package_data import climate_map
from tests.reference.climate_places import PLACES, Place
from tests.reference.climate_stations import Monthly, Station, stations, year_told

JANUARY, JULY = 0, 6
MONTH_DAYS = (31, 28.25, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


@cache
def mapped() -> list[tuple[Station, MappedYear]]:
    """Each station with the year that the map has there."""
    found = []
    for station in stations():
        place = (station.latitude_deg, station.longitude_deg, station.elevation_m)
        year = year_at(climate_map(), *place)
        assert year is not None, station
        found.append((station, year))
    return found


def apart(
    told: Callable[[Station], Monthly], has: Callable[[MappedYear], list[float]]
) -> list[float]:
    """By how much the map is above what the stations have, month by month."""
    return [
        ours - theirs
        for station, year in mapped()
        for ours, theirs in zip(has(year), told(station), strict=True)
        if theirs is not None
    ]


def rmse(errors: Iterable[float]) -> float:
    return sqrt(fmean(error * error for error in errors))


def test_averages_at_the_stations() -> None:
    assert len(mapped()) == 2845
    lows_c = apart(lambda station: station.low_c, lambda year: year.low.of_months())
    highs_c = apart(lambda station: station.high_c, lambda year: year.high.of_months())
    print(f"lows ±{rmse(lows_c):.2f} °C, highs ±{rmse(highs_c):.2f} °C at the stations")
    assert rmse(lows_c) <= 1.2
    assert rmse(highs_c) <= 1.15
    assert fmean(lows_c) == pytest.approx(0, abs=0.15)
    assert fmean(highs_c) == pytest.approx(0, abs=0.15)


def test_spread_of_days_and_humidity_at_the_stations() -> None:
    lows = apart(lambda station: logs(station.low_sd_c), lambda year: year.low_ln_sd.of_months())
    highs = apart(lambda station: logs(station.high_sd_c), lambda year: year.high_ln_sd.of_months())
    percent = apart(
        lambda station: station.humidity_percent,
        lambda year: [100 * share for share in year.humidity.of_months()],
    )
    print(
        f"spread of lows ±{rmse(lows):.0%} and of highs ±{rmse(highs):.0%}, "
        f"humidity ±{rmse(percent):.1f} points"
    )
    # What was measured at stations that the map had been made without.
    assert rmse([*lows, *highs]) <= 0.22
    assert rmse(percent) <= 6.0


def logs(values: Monthly) -> Monthly:
    return tuple(value and log(value) for value in values)


@pytest.mark.parametrize("place", PLACES, ids=lambda place: place.name)
def test_places_that_the_map_was_made_without(place: Place) -> None:
    year = year_told(place.latitude_deg, place.longitude_deg, place.elevation_m)
    assert year.mapped
    for month, published in ((JANUARY, place.january_c), (JULY, place.july_c)):
        ours = (year.low.of_months()[month], year.high.of_months()[month])
        for told, has in zip(ours, published, strict=True):
            assert has is None or told == pytest.approx(has, abs=place.within_c)
    if place.frost_nights is not None:
        nights = nights_a_year(year, FROST)
        assert nights == pytest.approx(place.frost_nights, abs=place.nights_within)


def test_the_places_are_no_stations() -> None:
    # 10 km: a valley's station and one on the summit above it are two places.
    for place in PLACES:
        for station in stations():
            north_km = 111 * (place.latitude_deg - station.latitude_deg)
            east_deg = (place.longitude_deg - station.longitude_deg + 180) % 360 - 180
            assert hypot(north_km, 111 * east_deg * cos(radians(place.latitude_deg))) > 10, place


# Kenya's reports count something else than nights below zero: a tenth of all nights and more.
_WARM_LOW_C, _NO_FROST_PERCENT = 10, 10


def counts_frost(station: Station) -> bool:
    """Whether the station reports nights of frost, and believably."""
    return all(
        share is not None and low is not None and (low < _WARM_LOW_C or share < _NO_FROST_PERCENT)
        for low, share in zip(station.low_c, station.frost_share, strict=True)
    )


@cache
def counted() -> list[tuple[Station, Averages]]:
    return [
        (station, year_told(station.latitude_deg, station.longitude_deg, station.elevation_m))
        for station in stations()
        if counts_frost(station)
    ]


def test_nights_of_frost_a_year() -> None:
    off, have = [], []
    for station, year in counted():
        nights = sum(
            days * (percent or 0) / 100
            for days, percent in zip(MONTH_DAYS, station.frost_share, strict=True)
        )
        if nights >= 1:
            off.append(nights_a_year(year, FROST) - nights)
            have.append(nights)
    by, bias = fmean(map(abs, off)), fmean(off)
    print(
        f"{len(off)} stations with {fmean(have):.0f} nights of frost a year: "
        f"{by:.0f} nights off, bias {bias:+.1f}"
    )
    assert len(off) > 120
    # The map was made with these stations; made without each, it was 27 nights off.
    assert by <= 14
    assert abs(bias) <= 6


def test_what_is_said_of_a_night_of_frost_happens() -> None:
    said: dict[int, list[float]] = {}
    happened: dict[int, list[float]] = {}
    for station, year in counted():
        by_step = chances(year, FROST)
        for month, percent in enumerate(station.frost_share):
            start, end = (round(n * STEPS / 12) for n in (month, month + 1))
            chance = fmean(by_step[start:end])
            fifth = int((chance + 0.1) / 0.2)  # 0.1 to 0.3, 0.3 to 0.5 ...
            said.setdefault(fifth, []).append(chance)
            happened.setdefault(fifth, []).append((percent or 0) / 100)
    for fifth in sorted(said):
        mean_said, mean_happened = fmean(said[fifth]), fmean(happened[fifth])
        print(
            f"frost said {mean_said:.2f}, happened {mean_happened:.2f}, {len(said[fifth])} months"
        )
        assert mean_happened == pytest.approx(mean_said, abs=0.12)
    assert all(len(said[fifth]) > 80 for fifth in range(1, 5))
