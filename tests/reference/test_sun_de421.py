"""The sun of every date of two years, held against JPL's DE421 ephemeris through skyfield.

The reference is the apparent topocentric altitude of the sun's centre, without refraction.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import cache
from importlib.resources import as_file, files
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from skyfield.api import load, load_file, wgs84
from skyfield.nutationlib import iau2000b

from scheduler.light.sun import At, Crossing, Half, HalfDay, Sky

ANGLES_DEG = (-0.833, -4.0, -6.0)
HALVES: tuple[Half, ...] = ("morning", "evening")
DAYS = tuple(date(2026, 1, 1) + timedelta(days=n) for n in range(730))
GRAZING_DEG = 0.05
RATE_OVER = timedelta(seconds=10)
# The sun of 70 degrees reaches its highest and lowest within 50 s of the transit and of midnight.
NEAR_AN_END = tuple(timedelta(seconds=s) for s in (0, 20, 40, 60, 240))


@dataclass(frozen=True)
class Place:
    name: str
    latitude_deg: float
    longitude_deg: float
    zone: str

    @property
    def sky(self) -> Sky:
        return Sky.over(self.latitude_deg, self.longitude_deg, ZoneInfo(self.zone))

    @property
    def bound_s(self) -> float:
        return 10.0 if abs(self.latitude_deg) <= 60 else 40.0


PLACES = (
    Place("equator", 0.0, -78.5, "America/Guayaquil"),
    Place("kiritimati", 1.87, -157.43, "Pacific/Kiritimati"),
    Place("nairobi", -1.29, 36.82, "Africa/Nairobi"),
    Place("apia", -13.83, -171.77, "Pacific/Apia"),
    Place("honolulu", 21.31, -157.86, "Pacific/Honolulu"),
    Place("easter", -27.15, -109.43, "Pacific/Easter"),
    Place("cape-town", -33.92, 18.42, "Africa/Johannesburg"),
    Place("shanghai-time-at-87-east", 43.8, 87.0, "Asia/Shanghai"),
    Place("chatham", -43.95, -176.55, "Pacific/Chatham"),
    Place("greenwich", 51.5, 0.0, "Europe/London"),
    Place("adak", 51.88, -176.65, "America/Adak"),
    Place("ushuaia", -54.8, -68.3, "America/Argentina/Ushuaia"),
    Place("sixty-north", 60.0, 11.0, "Europe/Oslo"),
    Place("anchorage", 61.22, -149.9, "America/Anchorage"),
    Place("nuuk", 64.18, -51.72, "America/Nuuk"),
    Place("sixty-five-north", 65.0, 25.5, "Europe/Helsinki"),
    Place("sixty-five-south", -65.0, -64.0, "Antarctica/Palmer"),
    Place("tromso", 69.6, 18.96, "Europe/Oslo"),
    Place("seventy-south", -70.0, 76.0, "Antarctica/Davis"),
    # These two broke the bounds while the parallax of the sun was left out.
    Place("sixty-and-three-quarters", 60.75, 0.0, "UTC"),
    Place("sixty-nine-and-three-quarters", 69.75, 0.0, "UTC"),
)
each_place = pytest.mark.parametrize("place", PLACES, ids=lambda place: place.name)


@dataclass(frozen=True)
class Extremes:
    """The highest and lowest DE421 altitudes of one half-day."""

    highest_deg: float
    lowest_deg: float

    def expects(self, angle_deg: float) -> str:
        if self.highest_deg < angle_deg:
            return "below"
        return "above" if self.lowest_deg > angle_deg else "at"

    def graze(self, angle_deg: float) -> bool:
        return (
            min(abs(self.highest_deg - angle_deg), abs(self.lowest_deg - angle_deg)) < GRAZING_DEG
        )


@cache
def timescale() -> Any:
    return load.timescale(builtin=True)


@cache
def solar_system() -> Any:
    with as_file(files("skyfield_data") / "data" / "de421.bsp") as path:
        return load_file(str(path))


@pytest.fixture(scope="module", autouse=True)
def _close_the_ephemeris() -> Iterator[None]:
    # An ephemeris left open is a ResourceWarning at exit.
    yield
    solar_system().close()
    solar_system.cache_clear()


def apparent(place: Place, instants: Sequence[datetime]) -> Any:
    moments = timescale().from_datetimes(instants)
    # IAU 2000B is ten times quicker than 2000A, and both give the same altitude to 2e-7 degrees.
    moments._nutation_angles = iau2000b(moments.tt)  # noqa: SLF001 skyfield keeps this way in
    planets = solar_system()
    observer = planets["earth"] + wgs84.latlon(place.latitude_deg, place.longitude_deg)
    return observer.at(moments).observe(planets["sun"]).apparent()


def altitudes_deg(place: Place, instants: Sequence[datetime]) -> Any:
    return apparent(place, instants).altaz()[0].degrees


def half_day(sky: Sky, day: date, half: Half) -> HalfDay:
    return sky.morning(day) if half == "morning" else sky.evening(day)


@cache
def extremes(place: Place) -> dict[tuple[date, Half], Extremes]:
    sky = place.sky
    keys = [(day, half) for day in DAYS for half in HALVES]
    instants = [
        instant
        for span in (half_day(sky, *key) for key in keys)
        for inward in NEAR_AN_END
        for instant in (span.start + inward, span.end - inward)
    ]
    by_half_day = altitudes_deg(place, instants).reshape(len(keys), -1)
    highest, lowest = by_half_day.max(axis=1).tolist(), by_half_day.min(axis=1).tolist()
    return {key: Extremes(*found) for key, *found in zip(keys, highest, lowest, strict=True)}


@cache
def crossings(place: Place, angle_deg: float) -> dict[tuple[date, Half], Crossing]:
    sky = place.sky
    return {(day, half): sky.crossing(day, half, angle_deg) for day in DAYS for half in HALVES}


@dataclass(frozen=True)
class Reading:
    """DE421's sun at our crossing, and how long after DE421's crossing that is."""

    day: date
    half: Half
    angle_deg: float
    altitude_deg: float
    late_s: float
    grazing: bool


@cache
def readings(place: Place) -> list[Reading]:
    found = []
    for angle_deg in ANGLES_DEG:
        at = {
            key: crossing.instant
            for key, crossing in crossings(place, angle_deg).items()
            if isinstance(crossing, At)
        }
        then = altitudes_deg(place, list(at.values()))
        soon = altitudes_deg(place, [instant + RATE_OVER for instant in at.values()])
        rates = (soon - then) / RATE_OVER.total_seconds()
        late_s = (then - angle_deg) / rates
        found += [
            Reading(*key, angle_deg, altitude, late, extremes(place)[key].graze(angle_deg))
            for key, altitude, late in zip(at, then.tolist(), late_s.tolist(), strict=True)
        ]
    return found


@each_place
def test_crossings_are_within_the_bound(place: Place) -> None:
    plain = [reading for reading in readings(place) if not reading.grazing]
    assert [reading for reading in plain if abs(reading.late_s) > place.bound_s] == []


@each_place
def test_the_sun_is_near_the_angle_at_every_crossing_even_on_grazing_evenings(
    place: Place,
) -> None:
    assert [
        reading
        for reading in readings(place)
        if abs(reading.altitude_deg - reading.angle_deg) > 0.02
    ] == []


@each_place
def test_no_crossing_exactly_where_de421_has_none(place: Place) -> None:
    wrong = []
    for angle_deg in ANGLES_DEG:
        for key, crossing in crossings(place, angle_deg).items():
            said = "at" if isinstance(crossing, At) else crossing.side
            if said != extremes(place)[key].expects(angle_deg):
                wrong.append((key, angle_deg, said, extremes(place)[key]))
    assert wrong == []


@each_place
def test_transits_are_where_de421_has_the_sun_on_the_meridian(place: Place) -> None:
    hour_angles = apparent(place, [place.sky.transit(day) for day in DAYS]).hadec()[0].hours
    # Hours of hour angle, of which 24 pass in a day.
    assert np.abs(hour_angles * 3600).max() < 10


@each_place
def test_half_days_tile_time_with_one_evening_to_each_civil_date(place: Place) -> None:
    sky = place.sky
    halves = [half_day(sky, day, half) for day in DAYS for half in HALVES]
    for before, after in pairwise(halves):
        assert before.start < before.end == after.start
    for angle_deg in ANGLES_DEG:
        for span, crossing in zip(halves, crossings(place, angle_deg).values(), strict=True):
            assert not isinstance(crossing, At) or crossing.instant in span
    for day in DAYS:
        assert sky.transit(day) == sky.evening(day).start == sky.morning(day).end
        assert sky.transit(day).astimezone(ZoneInfo(place.zone)).date() == day
    for day, next_day in pairwise(DAYS):
        apart = sky.transit(next_day) - sky.transit(day)
        assert timedelta(hours=23.9) < apart < timedelta(hours=24.1)


def test_the_places_have_polar_days_and_nights_and_grazing_evenings() -> None:
    expected = {
        found.expects(angle_deg)
        for place in PLACES
        for found in extremes(place).values()
        for angle_deg in ANGLES_DEG
    }
    assert expected == {"at", "above", "below"}
    assert any(
        found.graze(angle_deg)
        for place in PLACES
        for found in extremes(place).values()
        for angle_deg in ANGLES_DEG
    )
