"""Sun times held against printed values and against pvlib's NREL SPA.

Each value says where it stands in print; "from memory" means it was not looked up, "recomputed"
that it was worked out apart from this program and is printed nowhere.
"""

from datetime import UTC, date, datetime, timedelta, timezone
from typing import Any
from zoneinfo import ZoneInfo

import pytest

from scheduler.light.sun import CIVIL_DEG, SUNSET_DEG, At, Half, Sky
from tests.light.height import elevation_deg

HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)
SPA_SUNSET_DEG = -0.8333  # Reda & Andreas, NREL/TP-560-34302
MOUNTAIN = timezone(timedelta(hours=-7))
# Reda & Andreas, NREL/TP-560-34302, the worked example: 17 October 2003, UTC-7.
NREL_SITE = Sky.over(39.742476, -105.1786, MOUNTAIN)


def passes(sky: Sky, day: date, half: Half, angle_deg: float) -> datetime:
    crossing = sky.crossing(day, half, angle_deg)
    assert isinstance(crossing, At)
    return crossing.instant


def day_length(latitude_deg: float, day: date, angle_deg: float = SUNSET_DEG) -> timedelta:
    sky = Sky.over(latitude_deg, 0.0, UTC)
    return passes(sky, day, "evening", angle_deg) - passes(sky, day, "morning", angle_deg)


def mountain(day: int, hour: int, minute: int, second: int) -> datetime:
    return datetime(2003, 10, day, hour, minute, second, tzinfo=MOUNTAIN)


def test_nrel_example_elevation() -> None:
    # The report prints a zenith of 50.111622 degrees with refraction; 50.128 is that without it.
    at = mountain(17, 12, 30, 30)
    assert 90 - elevation_deg(NREL_SITE, at) == pytest.approx(50.128, abs=0.02)


@pytest.mark.parametrize(
    ("day", "half", "expected"),
    [
        pytest.param(17, "morning", (6, 12, 43), id="sunrise printed by the report"),
        # The report counts days in UT, and 00:20 UT of the 17th is the local evening before.
        pytest.param(16, "evening", (17, 20, 19), id="sunset printed by the report"),
        pytest.param(17, "evening", (17, 18, 51), id="sunset of the local date, recomputed"),
    ],
)
def test_nrel_example_sunrise_and_sunset(
    day: int, half: Half, expected: tuple[int, int, int]
) -> None:
    found = passes(NREL_SITE, date(2003, 10, day), half, SPA_SUNSET_DEG)
    assert abs(found - mountain(day, *expected)) < timedelta(seconds=10)


def test_declination_of_meeus_example_25a() -> None:
    # Meeus, Astronomical Algorithms, example 25.a: 1992-10-13 0h TD, from memory and recomputed.
    # From the pole the sun stands as high as its declination, less its parallax of 8.794" (IAU
    # 1976) times the cosine of its height; TD was 59 s ahead of UT.
    at = datetime(1992, 10, 13, tzinfo=UTC) - timedelta(seconds=59)
    declination = elevation_deg(Sky(90.0, 0.0, 0), at) + 8.794 / 3600
    assert declination == pytest.approx(-7.78507, abs=0.001)


@pytest.mark.parametrize(
    ("latitude_deg", "day", "expected", "tolerance"),
    [
        # Widely published to the minute, from memory.
        pytest.param(51.48, date(2025, 6, 21), (16, 38, 0), 2 * MINUTE, id="London, June"),
        pytest.param(51.48, date(2025, 12, 21), (7, 50, 0), 2 * MINUTE, id="London, December"),
        # Recomputed.
        pytest.param(51.48, date(2025, 6, 21), (16, 38, 10), MINUTE / 6, id="London, June, s"),
        pytest.param(51.48, date(2025, 12, 21), (7, 49, 58), MINUTE / 6, id="London, Dec, s"),
        pytest.param(40.0, date(2025, 6, 21), (15, 1, 1), MINUTE / 6, id="40 N, June"),
        pytest.param(40.0, date(2025, 12, 21), (9, 19, 40), MINUTE / 6, id="40 N, December"),
    ],
)
def test_solstice_day_lengths(
    latitude_deg: float, day: date, expected: tuple[int, int, int], tolerance: timedelta
) -> None:
    hours, minutes, seconds = expected
    length = timedelta(hours=hours, minutes=minutes, seconds=seconds)
    assert abs(day_length(latitude_deg, day) - length) < tolerance


def test_washington_midsummer() -> None:
    # The US Naval Observatory prints 05:43 and 20:37 EDT for 20 June 2024, from memory;
    # recomputed: 05:42:54 and 20:36:54.
    sky = Sky.over(38.9, -77.04, ZoneInfo("America/New_York"))
    sunrise = passes(sky, date(2024, 6, 20), "morning", SUNSET_DEG)
    sunset = passes(sky, date(2024, 6, 20), "evening", SUNSET_DEG)
    assert abs(sunrise - datetime(2024, 6, 20, 9, 42, 54, tzinfo=UTC)) < timedelta(seconds=10)
    assert abs(sunset - datetime(2024, 6, 21, 0, 36, 54, tzinfo=UTC)) < timedelta(seconds=10)


@pytest.mark.parametrize(
    ("latitude_deg", "day", "angle_deg", "hours"),
    [
        (40.0, date(2025, 6, 21), SPA_SUNSET_DEG, 15.016),
        (40.0, date(2025, 12, 21), SPA_SUNSET_DEG, 9.324),
        (45.0, date(2025, 12, 21), SPA_SUNSET_DEG, 8.763),
        (40.0, date(2025, 12, 21), CIVIL_DEG, 10.34),
    ],
)
def test_day_lengths_of_the_cbm_model(
    latitude_deg: float, day: date, angle_deg: float, hours: float
) -> None:
    # Forsythe et al. 1995, A model comparison for daylength, the CBM model; formula from memory.
    assert day_length(latitude_deg, day, angle_deg) / HOUR == pytest.approx(hours, abs=0.02)


EQUINOX, JUNE, DECEMBER = date(2026, 3, 20), date(2026, 6, 21), date(2026, 12, 21)


@pytest.mark.parametrize(
    ("angle_deg", "latitude_deg", "equinox_min", "june_min", "december_min"),
    [
        # All recomputed, to a tenth of a minute.
        (CIVIL_DEG, 40.0, 27.0, 32.9, 30.6),
        (CIVIL_DEG, 45.0, 29.3, 37.5, 33.9),
        (CIVIL_DEG, 51.5, 33.4, 47.8, 40.3),
        (CIVIL_DEG, 55.0, 36.3, 58.3, 45.6),
        (-4.0, 40.0, 16.6, 19.9, 18.9),
        (-4.0, 45.0, 18.0, 22.5, 21.0),
        (-4.0, 51.5, 20.4, 28.3, 25.2),
        (5.0, 40.0, -30.5, -35.0, -36.5),
        (5.0, 45.0, -33.1, -38.9, -41.3),
    ],
)
def test_minutes_from_sunset_to_an_angle(
    angle_deg: float,
    latitude_deg: float,
    equinox_min: float,
    june_min: float,
    december_min: float,
) -> None:
    sky = Sky.over(latitude_deg, 0.0, UTC)
    lags_min = [
        (passes(sky, day, "evening", angle_deg) - passes(sky, day, "evening", SUNSET_DEG)) / MINUTE
        for day in (EQUINOX, JUNE, DECEMBER)
    ]
    assert lags_min == pytest.approx([equinox_min, june_min, december_min], abs=0.2)


DAYS_OF_2026 = tuple(date(2026, 1, 1) + timedelta(days=n) for n in range(365))


def midnight_before(instant: datetime) -> datetime:
    return instant.replace(hour=0, minute=0, second=0, microsecond=0)


def spa(sky: Sky, event: str, instants: list[datetime]) -> list[float]:
    """SPA's Unix seconds of the event in each instant's UT day.

    pvlib moves an event that lies before or after midnight UT of its transit by a day, without
    working it out anew; that is taken back here. It is the NREL example's trap over again.
    """
    solarposition: Any = pytest.importorskip(
        "pvlib.solarposition", reason="the library is not installed"
    )
    pandas: Any = pytest.importorskip("pandas", reason="the library is not installed")
    midnights = [midnight_before(at) for at in instants]
    times = solarposition.sun_rise_set_transit_spa(
        pandas.DatetimeIndex(midnights),
        sky.latitude_deg,
        sky.longitude_deg,
        how="numpy",
        delta_t=69.1,  # TT - UT1 in 2026
    )[event]
    return [
        midnight.timestamp() + time.timestamp() % 86_400
        for midnight, time in zip(midnights, times, strict=True)
    ]


@pytest.mark.reference
@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "zone"),
    [
        pytest.param(51.5, 0.0, "Europe/London", id="greenwich"),
        pytest.param(39.742476, -105.1786, "America/Denver", id="sunset in the next UT day"),
        pytest.param(-36.85, 174.76, "Pacific/Auckland", id="sunrise in the last UT day"),
    ],
)
def test_pvlib_spa_gives_the_same_transits_sunrises_and_sunsets(
    latitude_deg: float, longitude_deg: float, zone: str
) -> None:
    sky = Sky.over(latitude_deg, longitude_deg, ZoneInfo(zone))
    ours = {
        "transit": [sky.transit(day) for day in DAYS_OF_2026],
        "sunrise": [passes(sky, day, "morning", SPA_SUNSET_DEG) for day in DAYS_OF_2026],
        "sunset": [passes(sky, day, "evening", SPA_SUNSET_DEG) for day in DAYS_OF_2026],
    }
    for event, instants in ours.items():
        # A UT day can hold two sunsets, one near each end: SPA names one of them.
        clear = [
            at for at in instants if 2 * MINUTE < at - midnight_before(at) < 24 * HOUR - 2 * MINUTE
        ]
        assert len(clear) > 350
        found = [at.timestamp() for at in clear]
        assert found == pytest.approx(spa(sky, event, clear), rel=0, abs=10)


@pytest.mark.reference
def test_pvlib_spa_gives_the_same_elevations() -> None:
    solarposition: Any = pytest.importorskip(
        "pvlib.solarposition", reason="the library is not installed"
    )
    pandas: Any = pytest.importorskip("pandas", reason="the library is not installed")
    sky = Sky.over(51.5, 0.0, ZoneInfo("Europe/London"))
    instants = [datetime(2026, 1, 1, tzinfo=UTC) + n * 7 * HOUR for n in range(1250)]
    elevations = solarposition.spa_python(
        pandas.DatetimeIndex(instants), 51.5, 0.0, how="numpy", delta_t=69.1
    )["elevation"]
    found = [elevation_deg(sky, instant) for instant in instants]
    assert found == pytest.approx(elevations.to_list(), rel=0, abs=0.02)
