"""How much earlier it is dark under cloud: against published light, and never more than is safe."""

from datetime import UTC, date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.dark_under_cloud import MOST_MINUTES, dark_under_cloud, minutes_earlier
from scheduler.light.sun import At, Sky

EQUINOX, SUMMER = date(2026, 3, 20), date(2026, 6, 21)
WINTER = date(2026, 12, 21)
MINUTE = timedelta(minutes=1)
HALVED, OVERCAST = 0.9, 1.0  # covers under which the light is divided by 2.1 and by 4
SUNSET_DEG = -0.833


def sky(latitude_deg: float) -> Sky:
    return Sky.over(latitude_deg, 0.0, UTC)


@pytest.mark.parametrize(
    ("latitude_deg", "cover", "rain_mm", "equinox", "june"),
    [
        (40.0, HALVED, 0.0, 4, 4),
        (40.0, OVERCAST, 0.0, 7, 9),
        (40.0, OVERCAST, 0.5, 13, 15),
        (51.5, HALVED, 0.0, 4, 6),
        (51.5, OVERCAST, 0.0, 9, 13),
        (51.5, OVERCAST, 2.0, 16, 20),  # 22 by the light
        (60.0, HALVED, 0.0, 6, 13),
        (60.0, OVERCAST, 0.0, 11, 20),  # 26
        (60.0, OVERCAST, 0.5, 19, 20),  # 42
    ],
)
def test_minutes_are_those_of_light_meters_and_at_most_twenty(
    latitude_deg: float, cover: float, rain_mm: float, equinox: int, june: int
) -> None:
    """Clear-sky light by the US Naval Observatory's Circular 171, cover by Kasten & Czeplak."""
    for day, told in ((EQUINOX, equinox), (SUMMER, june)):
        assert abs(minutes_earlier(sky(latitude_deg), day, cover, rain_mm) - told) <= 1, day


@pytest.mark.parametrize("cover", [0.0, 0.5, 0.75])
def test_half_a_sky_of_cloud_changes_nothing_worth_saying(cover: float) -> None:
    assert minutes_earlier(sky(51.5), WINTER, cover, 0.0) == 0


def test_rain_at_dusk_is_dark_cloud_whatever_cover_is_told() -> None:
    assert minutes_earlier(sky(51.5), WINTER, 0.0, 0.5) == minutes_earlier(
        sky(51.5), WINTER, 1.0, 0.5
    )
    assert minutes_earlier(sky(51.5), WINTER, 0.0, 0.49) == 0


@pytest.mark.parametrize("day", [SUMMER, WINTER])
def test_nothing_is_earlier_where_the_sun_does_not_set_or_rise(day: date) -> None:
    assert minutes_earlier(sky(69.0), day, 1.0, 5.0) == 0


@given(
    latitude_deg=st.floats(-75, 75),
    day=st.dates(date(2026, 1, 1), date(2027, 12, 31)),
    cover=st.floats(-0.5, 1.5),
    rain_mm=st.floats(0, 30),
)
def test_it_is_never_later_nor_too_early(
    latitude_deg: float, day: date, cover: float, rain_mm: float
) -> None:
    over = sky(latitude_deg)
    minutes = minutes_earlier(over, day, cover, rain_mm)
    assert minutes == 0 or 3 <= minutes <= MOST_MINUTES
    dark = dark_under_cloud(over, day, minutes)
    if dark is None:
        assert minutes == 0
        return
    clear, sunset = (over.crossing(day, "evening", angle) for angle in (-4.0, SUNSET_DEG))
    assert isinstance(clear, At)
    assert isinstance(sunset, At)
    assert dark.minutes == minutes
    assert dark.at <= clear.instant
    assert dark.at >= sunset.instant - 10 * MINUTE - MINUTE / 60


@given(
    day=st.dates(date(2026, 1, 1), date(2026, 12, 31)), less=st.floats(0, 1), more=st.floats(0, 1)
)
def test_more_cloud_is_never_lighter(day: date, less: float, more: float) -> None:
    less, more = sorted((less, more))
    over = sky(51.5)
    assert minutes_earlier(over, day, less, 0.0) <= minutes_earlier(over, day, more, 0.0)
    assert minutes_earlier(over, day, more, 0.0) <= minutes_earlier(over, day, more, 1.0)
