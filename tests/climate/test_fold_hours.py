"""Hours folded to a civil date: its night, its day, whatever the zone and the clock do."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone, tzinfo
from random import Random
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.climate.fold_hours import (
    DayFolded,
    HeatScale,
    day_of,
    folded,
    humidity_at,
    night_of,
    overhead,
    with_past,
)
from scheduler.climate.forecast import Hour
from scheduler.husbandry.heat import heat_index_f

HOUR = timedelta(hours=1)
EMERGENCY_F = 81.0
HEAT = HeatScale(heat_index_f, EMERGENCY_F)
DAY = date(2026, 11, 29)
FIRST = datetime(2026, 11, 27, tzinfo=UTC)
NEW_YORK = ZoneInfo("America/New_York")
BERLIN = ZoneInfo("Europe/Berlin")
TONGA = timezone(13 * HOUR)
KIRITIMATI = timezone(14 * HOUR)
ZONES = (UTC, NEW_YORK, BERLIN, TONGA, KIRITIMATI, ZoneInfo("Australia/Lord_Howe"))


def hours(
    air: dict[datetime, float] | None = None,
    *,
    first: datetime = FIRST,
    count: int = 96,
    usual: float = 10.0,
) -> list[Hour]:
    told = air or {}
    times = [first + number * HOUR for number in range(count)]
    return [
        Hour(
            at=at,
            air_c=told.get(at, usual),
            humidity=0.5,
            cloud=0.5,
            gust_m_s=5.0,
            rain_mm=0.1,
            snow_cm=0.2,
        )
        for at in times
    ]


def fold(
    told: Sequence[Hour], zone: tzinfo = UTC, day: date = DAY, since: datetime | None = None
) -> DayFolded:
    return folded(told, day, zone, HEAT, since=since)


def at(day: int, hour: int) -> datetime:
    return datetime(2026, 11, day, hour, tzinfo=UTC)


def test_the_low_is_of_the_night_before_and_the_high_of_the_day() -> None:
    told = hours({at(28, 11): -9.0, at(28, 12): -5.0, at(29, 11): -4.0, at(29, 12): -8.0})
    assert fold(told).low_c == -5.0
    told = hours({at(28, 23): 30.0, at(29, 0): 20.0, at(29, 23): 21.0, at(30, 0): 31.0})
    assert fold(told).high_c == 21.0


@pytest.mark.parametrize(
    ("zone", "noon", "midnight"),
    [
        (NEW_YORK, at(28, 17), at(29, 5)),
        (BERLIN, at(28, 11), at(28, 23)),
        (TONGA, at(27, 23), at(28, 11)),
        (KIRITIMATI, at(27, 22), at(28, 10)),
    ],
)
def test_night_and_day_are_local(zone: tzinfo, noon: datetime, midnight: datetime) -> None:
    told = hours({noon - HOUR: -9.0, noon: -5.0})
    assert fold(told, zone).low_c == -5.0
    assert fold(hours({midnight - HOUR: 30.0, midnight: 20.0}), zone).high_c == 20.0


@pytest.mark.parametrize(
    ("day", "length"), [(date(2026, 3, 29), 23), (date(2026, 10, 25), 25), (DAY, 24)]
)
def test_a_day_has_23_24_or_25_hours_and_each_of_them_counts(day: date, length: int) -> None:
    span = day_of(day, BERLIN)
    assert span.end - span.start == length * HOUR
    told = hours(first=span.start - 24 * HOUR, count=96)
    assert fold(told, BERLIN, day).rain_mm == pytest.approx(0.1 * length)
    last = replace(told[24 + length - 1], air_c=25.0)
    assert fold([*told[: 24 + length - 1], last, *told[24 + length :]], BERLIN, day).high_c == 25.0


@pytest.mark.parametrize("zone", ZONES, ids=str)
def test_nights_and_days_follow_each_other_without_a_gap_all_year(zone: tzinfo) -> None:
    for number in range(366):
        day = date(2026, 1, 1) + timedelta(days=number)
        following = day + timedelta(days=1)
        assert night_of(day, zone).end == night_of(following, zone).start
        assert day_of(day, zone).end == day_of(following, zone).start


def test_a_night_without_hours_has_no_low() -> None:
    told = [hour for hour in hours() if hour.at not in night_of(DAY, UTC)]
    assert fold(told).low_c is None
    assert fold([]) == DayFolded(
        day=DAY,
        low_c=None,
        high_c=None,
        humidity_at_high=None,
        gust_m_s=None,
        rain_mm=None,
        snow_cm=None,
        index_f=None,
        hot_from=None,
    )


@pytest.mark.parametrize(("missing", "told"), [(3, True), (4, False)])
@pytest.mark.parametrize("begins", [0, 5, 24])
def test_a_gap_of_more_than_three_hours_leaves_no_value(
    missing: int, begins: int, *, told: bool
) -> None:
    night = night_of(DAY, UTC)
    first = min(night.start + begins * HOUR, night.end - missing * HOUR)
    kept = [hour for hour in hours() if not first <= hour.at < first + missing * HOUR]
    assert (fold(kept).low_c is not None) is told


def test_each_value_has_its_own_gaps() -> None:
    told = [replace(hour, gust_m_s=None) if hour.at >= at(29, 6) else hour for hour in hours()]
    one = fold(told)
    assert one.gust_m_s is None
    assert (one.low_c, one.high_c) == (10.0, 10.0)
    null = [replace(hour, air_c=None) if hour.at >= at(29, 6) else hour for hour in hours()]
    assert (fold(null).low_c, fold(null).high_c) == (None, None)
    assert fold(null).rain_mm == pytest.approx(2.4)


def test_what_is_past_is_not_asked_for_with_since() -> None:
    told = [hour for hour in hours({at(29, 7): 3.0}) if hour.at >= at(29, 6)]
    assert fold(told).low_c is None
    assert fold(told, since=at(29, 6)).low_c == 3.0
    assert fold(told, since=at(29, 6)).rain_mm == pytest.approx(1.8)
    over = fold(told, since=at(29, 13))
    assert over.low_c is None
    assert over.high_c == 10.0
    assert fold(told, since=at(30, 1)).rain_mm is None


def six_hourly(**changes: float) -> list[Hour]:
    times = [FIRST + 6 * number * HOUR for number in range(16)]
    usual = {"humidity": 0.5, "rain_mm": 6.0, "lowest_c": 8.0, "highest_c": 12.0}
    return [Hour(at=each, air_c=10.0, hours=6.0, **usual | changes) for each in times]


def test_six_hourly_steps_use_their_lowest_and_highest() -> None:
    one = fold(six_hourly())
    assert (one.low_c, one.high_c, one.rain_mm) == (8.0, 12.0, 24.0)


def test_a_bound_belongs_to_the_one_night_that_holds_its_middle() -> None:
    told = six_hourly()
    # From 18:00 to midnight UTC is 12:30 to 18:30 there: its middle is after noon.
    india = timezone(timedelta(hours=5, minutes=30))
    noon = [number for number, hour in enumerate(told) if hour.at == at(28, 6)]
    cold = [
        replace(hour, lowest_c=-7.0) if number in noon else hour for number, hour in enumerate(told)
    ]
    lows = {day: fold(cold, india, date(2026, 11, day)).low_c for day in (28, 29, 30)}
    assert lows[29] == -7.0
    assert lows[30] == 8.0


def test_what_falls_in_six_hours_around_midnight_is_shared_out() -> None:
    east = timezone(3 * HOUR)
    told = six_hourly(rain_mm=0.0)
    told = [replace(hour, rain_mm=6.0) if hour.at == at(28, 18) else hour for hour in told]
    # 21:00 to 03:00 there.
    assert fold(told, east, date(2026, 11, 28)).rain_mm == pytest.approx(3.0)
    assert fold(told, east, date(2026, 11, 29)).rain_mm == pytest.approx(3.0)


def test_the_humidity_is_that_of_the_warmest_hour() -> None:
    told = hours({at(29, 13): 25.0})
    told = [replace(hour, humidity=0.31) if hour.at == at(29, 13) else hour for hour in told]
    assert fold(told).humidity_at_high == pytest.approx(0.31)


def test_a_high_above_its_instant_is_drier_by_the_same_vapour() -> None:
    # Saturation at 10 and 12 °C: 12.27 and 14.02 hPa (Magnus), so 0.5 becomes 0.4376.
    assert fold(six_hourly()).humidity_at_high == pytest.approx(0.4376, abs=0.0005)
    hour = Hour(at=FIRST, air_c=10.0, humidity=0.9)
    assert humidity_at(hour, 5.0) == 1.0


def test_the_highest_heat_index_and_from_when_it_is_an_emergency() -> None:
    told = hours({at(29, 12): 33.0, at(29, 13): 34.0, at(29, 14): 33.5})
    one = fold(told)
    assert one.index_f == pytest.approx(heat_index_f(34.0, 0.5))
    assert heat_index_f(33.0, 0.5) >= EMERGENCY_F
    assert one.hot_from == at(29, 12)
    assert fold(hours()).hot_from is None


def test_a_damp_hour_can_be_worse_than_the_warmest() -> None:
    told = hours({at(29, 9): 29.0, at(29, 13): 31.0})
    told = [replace(hour, humidity=0.95) if hour.at == at(29, 9) else hour for hour in told]
    told = [replace(hour, humidity=0.2) if hour.at == at(29, 13) else hour for hour in told]
    one = fold(told)
    assert one.high_c == 31.0
    assert one.index_f == pytest.approx(heat_index_f(29.0, 0.95))
    assert one.hot_from == at(29, 9)


def test_without_humidity_there_is_no_index() -> None:
    told = [replace(hour, humidity=None) for hour in hours()]
    one = fold(told)
    assert (one.index_f, one.hot_from, one.humidity_at_high) == (None, None, None)
    assert one.high_c == 10.0


def test_the_strongest_gust_is_the_days() -> None:
    told = [replace(hour, gust_m_s=22.0) if hour.at == at(29, 23) else hour for hour in hours()]
    assert fold(told).gust_m_s == 22.0
    assert fold(told, day=date(2026, 11, 28)).gust_m_s == 5.0


def test_cloud_and_rain_overhead_are_those_of_the_hour_that_holds_the_instant() -> None:
    told = [
        replace(hour, cloud=0.9, rain_mm=0.7) if hour.at == at(28, 16) else hour for hour in hours()
    ]
    dusk = at(28, 16) + timedelta(minutes=59)
    assert (overhead(told, dusk).cloud, overhead(told, dusk).rain_mm) == (0.9, 0.7)
    assert overhead(told, dusk + timedelta(minutes=1)).cloud == 0.5
    assert overhead(six_hourly(), dusk).rain_mm == 1.0
    nothing = overhead(told, at(28, 16) + 200 * HOUR)
    assert (nothing.cloud, nothing.rain_mm) == (None, None)


temperatures = st.lists(
    st.floats(-40, 45, allow_nan=False).map(lambda value: round(value, 1)), min_size=96, max_size=96
)
zones = st.sampled_from(ZONES)


def of(values: Sequence[float]) -> list[Hour]:
    return hours({FIRST + number * HOUR: value for number, value in enumerate(values)})


@given(temperatures, zones, st.randoms(use_true_random=False))
def test_the_order_of_hours_does_not_matter(
    values: list[float], zone: tzinfo, shuffle: Random
) -> None:
    told = of(values)
    mixed = sorted(told, key=lambda _: shuffle.random())
    assert fold(mixed, zone) == fold(told, zone)


@given(temperatures, zones, zones)
def test_folding_the_same_hours_in_another_zone_never_mixes_two_nights(
    values: list[float], one: tzinfo, other: tzinfo
) -> None:
    told = of(values)
    for zone in (one, other):
        for day in (date(2026, 11, 28), DAY, date(2026, 11, 30)):
            night = [
                hour.air_c
                for hour in told
                if hour.air_c is not None
                and (hour.at.astimezone(zone) + 12 * HOUR).replace(tzinfo=None).date() == day
            ]
            low = fold(told, zone, day).low_c
            assert low is None or low == min(night)
            assert low is not None or len(night) < 24 - 3


@given(temperatures, zones)
def test_every_low_and_high_is_one_of_the_hours(values: list[float], zone: tzinfo) -> None:
    one = fold(of(values), zone)
    assert one.low_c in values
    assert one.high_c in values


@given(temperatures, zones)
def test_what_falls_is_lost_by_no_day_and_counted_by_no_two(
    values: list[float], zone: tzinfo
) -> None:
    told = [
        replace(hour, rain_mm=abs(value)) for hour, value in zip(of(values), values, strict=True)
    ]
    inside = [day_of(day, zone) for day in (date(2026, 11, 28), DAY)]
    both = sum(fold(told, zone, day).rain_mm or 0.0 for day in (date(2026, 11, 28), DAY))
    assert inside[0].end == inside[1].start
    fallen = sum(
        (hour.rain_mm or 0.0)
        * max((min(hour.at + HOUR, inside[1].end) - max(hour.at, inside[0].start)) / HOUR, 0.0)
        for hour in told
    )
    assert both == pytest.approx(fallen)


def test_what_an_older_forecast_told_of_hours_that_are_past_stays() -> None:
    older, newer = hours(usual=3.0), hours(first=FIRST + 12 * HOUR, usual=8.0)
    joined = with_past(older, newer, FIRST + 6 * HOUR)
    assert [one.at for one in joined] == [FIRST + n * HOUR for n in range(6, 108)]
    assert [one.air_c for one in joined] == [3.0] * 6 + [8.0] * 96
    assert with_past(older, [], FIRST) == []
