from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from functools import cache

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.husbandry.lighting import (
    STEP_HOURS_A_WEEK,
    TARGET_HOURS,
    LampDay,
    lamp,
    season,
    stepped_hours,
    target_hours,
)
from scheduler.light.sun import SUNSET_DEG, At, Sky

DAY = timedelta(days=1)
HOUR = timedelta(hours=1)
MINUTE = timedelta(minutes=1)
LATITUDES = (45.0, -45.0)


@cache
def sky(latitude_deg: float) -> Sky:
    return Sky.over(latitude_deg, 0.0, UTC)


@cache
def length(latitude_deg: float, day: date) -> timedelta:
    return sky(latitude_deg).daylight(day)


def length_at(latitude_deg: float) -> Callable[[date], timedelta]:
    return lambda day: length(latitude_deg, day)


def sun_times(latitude_deg: float, day: date) -> tuple[datetime, datetime]:
    rise = sky(latitude_deg).crossing(day, "morning", SUNSET_DEG)
    sets = sky(latitude_deg).crossing(day, "evening", SUNSET_DEG)
    assert isinstance(rise, At)
    assert isinstance(sets, At)
    return rise.instant, sets.instant


def lit(latitude_deg: float, day: date, hours: float) -> tuple[LampDay | None, timedelta]:
    """The lamp of a day, and how long it is light in all."""
    rise, sets = sun_times(latitude_deg, day)
    found = lamp(rise, sets, hours)
    return found, sets - (found.on if found else rise)


@pytest.mark.parametrize(
    ("longest", "hours"), [(16.5, 14.0), (14.0, 14.0), (13.6, 13.6), (24.0, 14.0)]
)
def test_target_is_the_smaller_of_14_h_and_the_longest_day(longest: float, hours: float) -> None:
    assert target_hours(timedelta(hours=longest)) == pytest.approx(hours)


def test_the_lamp_is_on_in_the_morning_until_a_quarter_of_an_hour_after_sunrise() -> None:
    rise, sets = (datetime(2026, 1, 10, hour, 0, tzinfo=UTC) for hour in (8, 16))
    found = lamp(rise, sets, 14.0)
    assert found == LampDay(on=datetime(2026, 1, 10, 2, 0, tzinfo=UTC), off=rise + 15 * MINUTE)


@pytest.mark.parametrize(("hours", "is_lit"), [(8.0, False), (7.9, False), (8.1, True)])
def test_no_lamp_on_a_day_that_is_long_enough(hours: float, is_lit: bool) -> None:
    rise, sets = (datetime(2026, 1, 10, hour, 0, tzinfo=UTC) for hour in (8, 16))
    assert (lamp(rise, sets, hours) is not None) is is_lit


@pytest.mark.parametrize("latitude_deg", LATITUDES)
def test_season_is_every_day_that_is_too_short_and_no_other(latitude_deg: float) -> None:
    found = season(length_at(latitude_deg), 2026, TARGET_HOURS)
    assert found is not None
    first, last = found
    limit = timedelta(hours=TARGET_HOURS)
    assert first.year == 2026
    days = [first + n * DAY for n in range(0, (last - first).days + 1, 9)]
    assert all(length(latitude_deg, day) < limit for day in [*days, last])
    assert length(latitude_deg, first - DAY) >= limit
    assert length(latitude_deg, last + DAY) >= limit


def test_season_of_the_other_hemisphere_is_half_a_year_away() -> None:
    north = season(length_at(45.0), 2026, TARGET_HOURS)
    south = season(length_at(-45.0), 2026, TARGET_HOURS)
    assert north is not None
    assert south is not None
    half_year = timedelta(days=365.2422 / 2)
    for northern, southern in zip(north, south, strict=True):
        # The sun is quicker in January: the halves of the year differ by a few days.
        assert abs(northern - half_year - southern) <= 5 * DAY


def test_no_season_where_days_are_never_too_short() -> None:
    assert season(lambda _: timedelta(hours=15), 2026, TARGET_HOURS) is None


def test_season_near_the_tropics_where_the_longest_day_is_the_target() -> None:
    june = [date(2026, 6, 1) + n * DAY for n in range(30)]
    hours = target_hours(max(length(24.0, day) for day in june))
    assert season(length_at(24.0), 2026, hours) is not None


@pytest.mark.parametrize("latitude_deg", [35.0, 60.0, -45.0])
def test_light_is_never_shortened_in_lay(latitude_deg: float) -> None:
    whole_year = [date(2026, 1, 1) + n * DAY for n in range(0, 365, 9)]
    for day in whole_year:
        natural = length(latitude_deg, day)
        found, light = lit(latitude_deg, day, TARGET_HOURS)
        assert light / HOUR == pytest.approx(max(natural / HOUR, TARGET_HOURS), abs=1e-6)
        assert found is None or found.on < found.off


@pytest.mark.parametrize("latitude_deg", [45.0, 60.0])
def test_the_lamp_moves_by_minutes_from_day_to_day(latitude_deg: float) -> None:
    for day in (date(2026, 3, 28), date(2026, 10, 24), date(2026, 12, 21)):
        today, _ = lit(latitude_deg, day, TARGET_HOURS)
        tomorrow, _ = lit(latitude_deg, day + DAY, TARGET_HOURS)
        assert today is not None
        assert tomorrow is not None
        assert abs(tomorrow.on - today.on - DAY) < 5 * MINUTE


def test_nine_hours_reach_fourteen_in_five_weekly_steps() -> None:
    # An hour a week at most: Michigan State Univ. Extension, in Agri-View 2019, second-hand.
    steps = [stepped_hours(9.0, week, TARGET_HOURS) for week in range(7)]
    assert steps == [10, 11, 12, 13, 14, 14, 14]


@given(st.floats(0, 14), st.integers(0, 20), st.floats(10, 14))
def test_steps_are_an_hour_a_week_at_most_and_never_down(
    natural: float, weeks: int, target: float
) -> None:
    this_week, next_week = (stepped_hours(natural, n, target) for n in (weeks, weeks + 1))
    assert this_week <= next_week <= this_week + STEP_HOURS_A_WEEK + 1e-9
    assert next_week <= target
    first = stepped_hours(natural, 0, target)
    assert first - natural <= STEP_HOURS_A_WEEK + 1e-9
