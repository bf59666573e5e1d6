import time
from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from datetime import time as clock_time
from importlib.util import find_spec, module_from_spec
from itertools import pairwise
from types import ModuleType
from zoneinfo import ZoneInfo

import pytest
from astral import refraction_at_zenith
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.light.sun import (
    CIVIL_DEG,
    SUNSET_DEG,
    At,
    Half,
    HalfDay,
    Never,
    Sky,
    visible_limb_deg,
)
from tests.light.height import elevation_deg

# Zones that change their clocks in the evening, or lie far from their longitude.
ZONES = (
    "America/Nuuk",
    "Asia/Shanghai",
    "Europe/London",
    "Pacific/Apia",
    "Pacific/Chatham",
    "Pacific/Easter",
    "Pacific/Kiritimati",
    "UTC",
)
NOON = clock_time(12)
ANGLES_DEG = (CIVIL_DEG, -4.0, SUNSET_DEG)

relaxed = settings(deadline=None)
half_names: st.SearchStrategy[Half] = st.sampled_from(("morning", "evening"))
days = st.dates(date(1970, 1, 1), date(2100, 12, 31))
longitudes = st.floats(-180, 180)
zones = st.sampled_from(ZONES).map(ZoneInfo)
inhabited_skies = st.builds(Sky.over, st.floats(-70, 70), longitudes, zones)
all_skies = st.builds(
    Sky.over, st.one_of(st.floats(-90, 90), st.sampled_from((-90.0, 90.0))), longitudes, zones
)

# Nearer to a pole than 0.2 degrees the season moves the sun more in half a day than the hour does.
skies_with_a_daily_arc = st.builds(Sky.over, st.floats(-89.8, 89.8), longitudes, zones)


def half_day(sky: Sky, day: date, half: Half) -> HalfDay:
    return sky.morning(day) if half == "morning" else sky.evening(day)


def ends_deg(sky: Sky, day: date, half: Half) -> list[float]:
    span = half_day(sky, day, half)
    return sorted((elevation_deg(sky, span.start), elevation_deg(sky, span.end)))


def instants(sky: Sky, day: date, half: Half) -> list[datetime]:
    found = [sky.crossing(day, half, angle_deg) for angle_deg in ANGLES_DEG]
    return [crossing.instant for crossing in found if isinstance(crossing, At)]


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


@relaxed
@given(all_skies, days)
def test_dawn_sunrise_transit_sunset_and_dusk_come_in_this_order(sky: Sky, day: date) -> None:
    in_order = [
        *instants(sky, day, "morning"),
        sky.transit(day),
        *reversed(instants(sky, day, "evening")),
    ]
    assert in_order == sorted(in_order)


@relaxed
@given(all_skies, days)
def test_half_days_follow_each_other_without_gap_or_overlap(sky: Sky, day: date) -> None:
    morning, evening = sky.morning(day), sky.evening(day)
    assert morning.start < morning.end == sky.transit(day) == evening.start < evening.end
    tomorrow = day + timedelta(days=1)
    assert evening.end == sky.morning(tomorrow).start
    halfway = sky.transit(day) + (sky.transit(tomorrow) - sky.transit(day)) / 2
    assert abs(evening.end - halfway) < timedelta(milliseconds=1)


@relaxed
@given(all_skies, days, half_names, st.floats(-90, 90))
def test_a_crossing_lies_in_its_half_day(sky: Sky, day: date, half: Half, angle_deg: float) -> None:
    crossing = sky.crossing(day, half, angle_deg)
    assert isinstance(crossing, Never) or crossing.instant in half_day(sky, day, half)


@relaxed
@given(skies_with_a_daily_arc, days, half_names, st.floats(-60, 60))
def test_a_crossing_is_there_exactly_when_the_angle_lies_between_the_ends(
    sky: Sky, day: date, half: Half, angle_deg: float
) -> None:
    lowest_deg, highest_deg = ends_deg(sky, day, half)
    match sky.crossing(day, half, angle_deg):
        case Never("below"):
            assert highest_deg < angle_deg + 1e-4
        case Never("above"):
            assert lowest_deg > angle_deg - 1e-4
        case At(_):
            assert lowest_deg - 1e-4 < angle_deg < highest_deg + 1e-4


@relaxed
@given(skies_with_a_daily_arc, days, half_names, st.floats(0.0005, 0.05))
def test_a_grazing_sun_passes_an_angle_just_inside_its_arc_and_none_just_outside(
    sky: Sky, day: date, half: Half, by_deg: float
) -> None:
    lowest_deg, highest_deg = ends_deg(sky, day, half)
    assert sky.crossing(day, half, highest_deg + by_deg) == Never("below")
    assert sky.crossing(day, half, lowest_deg - by_deg) == Never("above")
    for angle_deg in (highest_deg - by_deg, lowest_deg + by_deg):
        crossing = sky.crossing(day, half, angle_deg)
        assert isinstance(crossing, At)
        assert crossing.instant in half_day(sky, day, half)
        assert elevation_deg(sky, crossing.instant) == pytest.approx(angle_deg, abs=0.002)


@relaxed
@given(inhabited_skies, days, half_names, st.floats(-18, 10))
def test_the_sun_stands_at_the_angle_at_the_crossing(
    sky: Sky, day: date, half: Half, angle_deg: float
) -> None:
    crossing = sky.crossing(day, half, angle_deg)
    if isinstance(crossing, At):
        assert elevation_deg(sky, crossing.instant) == pytest.approx(angle_deg, abs=0.001)


@pytest.mark.parametrize("latitude_deg", [-90.0, 90.0])
@pytest.mark.parametrize("longitude_deg", [-180.0, 0.0, 180.0])
def test_a_pole_has_one_day_and_one_night_a_year(latitude_deg: float, longitude_deg: float) -> None:
    sky = Sky.over(latitude_deg, longitude_deg, UTC)
    sides = [
        crossing.side
        for n in range(365)
        if isinstance(
            crossing := sky.crossing(date(2026, 1, 1) + timedelta(days=n), "evening", SUNSET_DEG),
            Never,
        )
    ]
    assert sum(before != after for before, after in pairwise(sides)) == 2
    # The sun is north of the equator for 186 days, and 0.833 degrees are two days at either end.
    summer = 190 if latitude_deg > 0 else 183
    assert sides.count("above") == pytest.approx(summer, abs=1)


REYKJAVIK = Sky.over(64.15, -21.94, ZoneInfo("Atlantic/Reykjavik"))
ANCHORAGE = Sky.over(61.22, -149.9, ZoneInfo("America/Anchorage"))
TROMSO = Sky.over(69.65, 18.96, ZoneInfo("Europe/Oslo"))
SHANGHAI_TIME_AT_87_EAST = Sky.over(43.8, 87.0, ZoneInfo("Asia/Shanghai"))
KIRITIMATI = Sky.over(1.87, -157.43, ZoneInfo("Pacific/Kiritimati"))
GREENWICH = Sky.over(51.5, 0.0, ZoneInfo("Europe/London"))
CHATHAM = Sky.over(-43.95, -176.55, ZoneInfo("Pacific/Chatham"))


# UTC of the crossing in DE421, found with skyfield; the local clock is in the comments.
@pytest.mark.parametrize(
    ("sky", "day", "angle_deg", "de421"),
    [
        # astral 3.2 raises for these three: on the clock the dusk comes after midnight.
        (REYKJAVIK, date(2026, 5, 12), CIVIL_DEG, "2026-05-13T00:01:55"),  # 00:01:55
        (ANCHORAGE, date(2026, 5, 17), CIVIL_DEG, "2026-05-18T08:01:34"),  # 00:01:34
        (TROMSO, date(2026, 4, 27), CIVIL_DEG, "2026-04-27T22:02:02"),  # 00:02:02
        (REYKJAVIK, date(2026, 5, 13), CIVIL_DEG, "2026-05-14T00:08:52"),  # 00:08:52
        # Clocks far from the sun.
        (SHANGHAI_TIME_AT_87_EAST, date(2026, 6, 21), SUNSET_DEG, "2026-06-21T13:57:38"),  # 21:57
        (SHANGHAI_TIME_AT_87_EAST, date(2026, 12, 21), CIVIL_DEG, "2026-12-21T11:10:15"),  # 19:10
        # A date ahead of what the longitude says.
        (KIRITIMATI, date(2026, 12, 31), SUNSET_DEG, "2026-12-31T04:32:57"),  # 18:32:57
        (CHATHAM, date(2026, 6, 21), -4.0, "2026-06-21T04:35:08"),  # 17:20:08
    ],
)
def test_named_evenings(sky: Sky, day: date, angle_deg: float, de421: str) -> None:
    crossing = sky.crossing(day, "evening", angle_deg)
    assert isinstance(crossing, At)
    bound_s = 10 if abs(sky.latitude_deg) <= 60 else 40
    assert abs(crossing.instant - utc(de421)) < timedelta(seconds=bound_s)
    assert crossing.instant in sky.evening(day)


# The first evening on which DE421 has the sun above -6 degrees all night.
@pytest.mark.parametrize(
    ("sky", "day"), [(REYKJAVIK, date(2026, 5, 19)), (TROMSO, date(2026, 4, 28))]
)
def test_the_first_white_night_has_no_dusk_and_the_one_before_has(sky: Sky, day: date) -> None:
    assert sky.crossing(day, "evening", CIVIL_DEG) == Never("above")
    assert isinstance(sky.crossing(day - timedelta(days=1), "evening", CIVIL_DEG), At)


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "zone", "day"),
    [
        (-27.15, -109.43, "Pacific/Easter", date(2026, 4, 4)),
        (-27.15, -109.43, "Pacific/Easter", date(2026, 9, 5)),
        (64.18, -51.72, "America/Nuuk", date(2026, 3, 28)),
        (64.18, -51.72, "America/Nuuk", date(2026, 10, 24)),
    ],
)
def test_a_clock_that_changes_in_the_evening_moves_no_sunset(
    latitude_deg: float, longitude_deg: float, zone: str, day: date
) -> None:
    near = [day + timedelta(days=n) for n in (-1, 0, 1, 2)]
    local_noons = [datetime.combine(on, NOON, ZoneInfo(zone)) for on in near]
    assert local_noons[1].utcoffset() != local_noons[2].utcoffset()
    sky = Sky.over(latitude_deg, longitude_deg, ZoneInfo(zone))
    sunsets = [instants(sky, on, "evening")[-1] for on in near]
    for before, after in pairwise(sunsets):
        assert abs(after - before - timedelta(days=1)) < timedelta(minutes=4)


# The rules at the end of tzdata's files, so that no zone files are needed on the machine.
PROCESS_ZONES = {
    "UTC": "UTC0",
    "Pacific/Apia": "<+13>-13",
    "America/Nuuk": "<-02>2<-01>,M3.5.0/-1,M10.5.0/0",
    "Pacific/Easter": "<-06>6<-05>,M9.1.6/22,M4.1.6/22",
}


@pytest.fixture
def process_zone(request: pytest.FixtureRequest) -> Iterator[str]:
    name: str = request.param
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TZ", PROCESS_ZONES[name])
        time.tzset()
        yield name
    time.tzset()


def freshly_loaded() -> ModuleType:
    """The module once more, with nothing remembered."""
    spec = find_spec("scheduler.light.sun")
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.skipif(not hasattr(time, "tzset"), reason="Windows cannot change a process's zone")
@pytest.mark.parametrize("process_zone", PROCESS_ZONES, indirect=True)
def test_the_zone_of_the_process_changes_nothing(process_zone: str) -> None:
    hours_east = {"UTC": 0, "Pacific/Apia": 13, "America/Nuuk": -2, "Pacific/Easter": -6}
    assert -time.timezone / 3600 == hours_east[process_zone]
    sun = freshly_loaded()
    greenwich = sun.Sky.over(51.5, 0.0, ZoneInfo("Europe/London"))
    # Sunsets in DE421, found with skyfield, on nights in which one of the clocks changes.
    for day, de421 in (
        (date(2026, 3, 28), "2026-03-28T18:26:28"),
        (date(2026, 4, 4), "2026-04-04T18:38:12"),
        (date(2026, 9, 5), "2026-09-05T18:37:28"),
        (date(2026, 10, 24), "2026-10-24T16:48:14"),
    ):
        sunset = greenwich.crossing(day, "evening", SUNSET_DEG).instant
        assert abs(sunset - utc(de421)) < timedelta(seconds=10)
        assert sunset == instants(GREENWICH, day, "evening")[-1]
        assert elevation_deg(greenwich, sunset) == elevation_deg(GREENWICH, sunset)


def test_visible_sunset_is_sunset_on_a_level_horizon() -> None:
    assert visible_limb_deg(0.0) == visible_limb_deg(-2.0) == SUNSET_DEG
    assert visible_limb_deg(1e-9) == pytest.approx(SUNSET_DEG, abs=1e-6)


@relaxed
@given(st.floats(0, 89), st.floats(0.001, 1))
def test_a_higher_hill_hides_a_higher_sun(horizon_deg: float, more_deg: float) -> None:
    assert visible_limb_deg(horizon_deg) < visible_limb_deg(horizon_deg + more_deg)


@relaxed
@given(st.floats(0, 60))
def test_refraction_lifts_the_upper_limb_onto_the_hill(horizon_deg: float) -> None:
    # NOAA's refraction, a fit of its own by true elevation, as astral has it: half a minute of arc.
    limb_deg = visible_limb_deg(horizon_deg) + 16 / 60
    seen_deg = limb_deg + refraction_at_zenith(90 - limb_deg)
    assert seen_deg == pytest.approx(horizon_deg, abs=0.5 / 60)


@pytest.mark.parametrize(
    ("horizon_deg", "refraction_arcmin"),
    [(0, 34), (1, 24), (2, 18), (5, 9.9), (10, 5.3), (45, 1.0)],
)
def test_refraction_of_the_handbooks(horizon_deg: float, refraction_arcmin: float) -> None:
    # The usual refraction table of almanacs, from memory.
    limb_deg = visible_limb_deg(horizon_deg) + 16 / 60
    assert (horizon_deg - limb_deg) * 60 == pytest.approx(refraction_arcmin, abs=0.4)


@relaxed
@given(inhabited_skies, days, st.floats(0, 1))
def test_the_elevation_of_any_instant_is_that_of_astral(sky: Sky, day: date, share: float) -> None:
    instant = datetime.combine(day, NOON, UTC) + share * timedelta(days=1)
    assert sky.elevation_deg(instant) == pytest.approx(elevation_deg(sky, instant), abs=0.002)
