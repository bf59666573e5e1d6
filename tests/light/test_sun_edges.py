"""The sun at the edges: the date line, the polar day, straight overhead, a half-day's ends."""

from datetime import UTC, date, datetime, timedelta
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from astral.sun import sun_declination

from scheduler.light.sun import SUNSET_DEG, At, Never, Sky
from tests.light.height import elevation_deg

DAY = timedelta(days=1)
SECOND = timedelta(seconds=1)
TROMSO = Sky.over(69.65, 18.96, ZoneInfo("Europe/Oslo"))
J2000 = datetime(2000, 1, 1, 12, tzinfo=UTC)


# Islands whose clock is nearly a day ahead of or behind what their longitude says (tzdata).
@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "zone", "clock_of_noon"),
    [
        (-13.28, -176.18, "Pacific/Wallis", 12),
        (-18.2, -178.8, "Pacific/Fiji", 12),  # Lau
        (52.9, 172.9, "America/Adak", 15),  # Attu, by the clock of the Aleutians, in summer time
    ],
)
def test_on_either_side_of_the_date_line_noon_is_on_its_own_date(
    latitude_deg: float, longitude_deg: float, zone: str, clock_of_noon: int
) -> None:
    day = date(2026, 3, 21)
    local = ZoneInfo(zone)
    noon = Sky.over(latitude_deg, longitude_deg, local).transit(day).astimezone(local)
    assert noon.date() == day
    assert abs(noon.hour + noon.minute / 60 - clock_of_noon) < 0.7


def test_no_day_under_the_midnight_sun_is_longer_than_24_hours() -> None:
    midsummer = date(2026, 6, 21)  # from solar midnight to the next are 24 h and 13 s
    assert TROMSO.evening(midsummer).end - TROMSO.morning(midsummer).start > DAY + 10 * SECOND
    assert TROMSO.daylight(midsummer) == DAY


# The first and the last day of the midnight sun there: it rises and does not set, or the reverse.
@pytest.mark.parametrize(
    ("first", "odd"),
    [(date(2026, 5, 16), date(2026, 5, 18)), (date(2026, 7, 23), date(2026, 7, 25))],
)
def test_daylight_grows_into_the_midnight_sun_and_shrinks_out_of_it_without_a_jump(
    first: date, odd: date
) -> None:
    rise = TROMSO.crossing(odd, "morning", SUNSET_DEG)
    sets = TROMSO.crossing(odd, "evening", SUNSET_DEG)
    assert [isinstance(one, At) for one in (rise, sets)].count(True) == 1
    assert Never("above") in {rise, sets}
    lengths = [TROMSO.daylight(first + n * DAY) for n in range(5)]
    for before, after in pairwise(lengths):
        assert abs(after - before) < timedelta(minutes=45)
    assert lengths == sorted(lengths, reverse=odd.month == 7)


def test_the_sun_straight_overhead_has_a_height_and_sets() -> None:
    # Rounding takes the sine above 1 on a dozen noons of the year.
    sky = Sky.over(0.0, 0.0, UTC)
    for number in range(365):
        day = date(2026, 1, 1) + number * DAY
        noon = sky.transit(day)
        below = Sky.over(sun_declination((noon - J2000) / (36_525 * DAY)), 0.0, UTC)
        assert elevation_deg(below, noon) == pytest.approx(90, abs=0.01)
        assert isinstance(below.crossing(day, "evening", SUNSET_DEG), At)


def test_both_ends_belong_to_a_half_day() -> None:
    evening = TROMSO.evening(date(2026, 3, 21))
    ends = (evening.start - SECOND, evening.start, evening.end, evening.end + SECOND)
    assert [instant in evening for instant in ends] == [False, True, True, False]
