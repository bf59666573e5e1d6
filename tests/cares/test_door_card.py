"""The rows of the door card: each date of a year in one of them, and none of them dangerous."""

from collections.abc import Sequence
from contextlib import closing
from datetime import UTC, date, datetime, timedelta
from importlib.resources import as_file, files
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st
from skyfield import almanac
from skyfield.api import load, load_file, wgs84

from scheduler.cares.door_card import (
    STEPS_MINUTES,
    CardRow,
    DoorTimes,
    card_rows,
    card_table,
    clock_changes,
    door_times,
)
from scheduler.cares.records import NO_RECORDS
from tests.conftest import declared

DAY = timedelta(days=1)
SPREAD_DAYS = (date(2026, 12, 15), date(2027, 3, 20), date(2027, 4, 15), date(2027, 10, 31))
HOUR, HALF_HOUR = timedelta(hours=1), timedelta(minutes=30)
# Zones that change their clocks by an hour, by half an hour, in the evening, and never.
ZONES = {
    "Europe/London": 0.0,
    "Australia/Lord_Howe": 159.1,
    "America/Nuuk": -51.7,
    "Asia/Kolkata": 77.0,
    "UTC": 0.0,
}
zones = st.sampled_from(sorted(ZONES))
begins = st.dates(date(2000, 1, 1), date(2090, 12, 31)).filter(lambda day: day.day < 29)
HOUSE = """
[site]
name = "Orchard"
latitude = {latitude}
longitude = {longitude}
timezone = "{zone}"
[[coop]]
name = "Walnut"
{rules}
[[flock]]
name = "Girls"
hens = 12
"""


def year(
    latitude: float, zone: str, first: date = date(2026, 12, 1), rules: str = ""
) -> tuple[DoorTimes, ...]:
    longitude = ZONES.get(zone, 20.0)
    text = HOUSE.format(latitude=latitude, longitude=longitude, zone=zone, rules=rules)
    profile = declared(text)
    last = first.replace(year=first.year + 1) - DAY
    return door_times(profile, profile.coop[0], NO_RECORDS, first, last)


def row_of(rows: Sequence[CardRow], day: date) -> CardRow:
    [row] = [one for one in rows if one.first <= day <= one.last]
    return row


@given(st.floats(-55, 70), zones, begins, st.sampled_from(STEPS_MINUTES))
def test_every_date_of_a_year_has_one_row_that_is_never_too_late_to_shut_nor_too_early_to_open(
    latitude: float, zone: str, first: date, step: int
) -> None:
    days = year(latitude, zone, first)
    rows = card_rows(days, step)
    assert (rows[0].first, rows[-1].last) == (days[0].day, days[-1].day)
    assert all(after.first == before.last + DAY for before, after in pairwise(rows))
    ahead = {one.day: one.ahead for one in days}
    for true in days:
        row = row_of(rows, true.day)
        assert 0 <= true.lock_up - row.lock_up < step
        assert 0 <= true.shut_by - row.shut_by < step
        assert true.let_out is not None
        assert row.let_out is not None
        assert 0 <= row.let_out - true.let_out < step
        assert ahead[row.first] == true.ahead, "another clock is another row"
    assert all(row.let_out is None or row.let_out < row.lock_up < row.shut_by for row in rows)


@given(st.floats(-55, 70), zones)
def test_a_row_ends_only_where_the_next_date_does_not_fit_in(latitude: float, zone: str) -> None:
    days = year(latitude, zone)
    rows = card_rows(days)
    for before, after in pairwise(rows):
        both = [one for one in days if before.first <= one.day <= after.first]
        assert len(card_rows(both)) == 2


@pytest.mark.parametrize(
    ("latitude", "zone", "step"),
    [(51.5, "Europe/London", 10), (60.0, "Europe/London", 10), (69.6, "Europe/Oslo", 15)],
)
def test_where_a_sheet_has_no_room_the_step_is_wider(latitude: float, zone: str, step: int) -> None:
    days = year(latitude, zone)
    table = card_table(days, 76)
    assert table.step_minutes == step
    assert len(table.rows) <= 76
    narrower = [one for one in STEPS_MINUTES if one < step]
    assert all(len(card_rows(days, one)) > 76 for one in narrower)
    assert card_table(days, 1).step_minutes == STEPS_MINUTES[-1]


def test_the_clock_is_told_where_it_changes() -> None:
    days = year(51.5, "Europe/London")
    # Directive 2000/84/EC and the UK's Summer Time Order 2002: the last Sundays of March, October.
    assert clock_changes(days) == ((date(2027, 3, 28), HOUR), (date(2027, 10, 31), -HOUR))
    assert {date(2027, 3, 28), date(2027, 10, 31)} < {row.first for row in card_rows(days)}
    by_half = clock_changes(year(-31.5, "Australia/Lord_Howe"))
    assert [by for _, by in by_half] == [-HALF_HOUR, HALF_HOUR]
    assert clock_changes(year(20.0, "Asia/Kolkata")) == ()


def test_a_time_by_the_clock_is_another_row_where_the_clock_changes() -> None:
    rules = '[coop.lockup]\nbasis = "angle"\ncap = "15:00"\n[coop.letout]\nnot_before = "10:00"\n'
    days = year(51.5, "Europe/London", rules=rules)
    rows = card_rows(days)
    assert [row.first for row in rows] == [days[0].day, date(2027, 3, 28), date(2027, 10, 31)]
    assert {(row.lock_up, row.let_out) for row in rows} == {(15 * 60, 10 * 60)}


def test_a_lock_up_past_midnight_belongs_to_the_date_before() -> None:
    rules = '[coop.lockup]\ncap = "00:40"\n'
    days = year(65.0, "Europe/Helsinki", date(2026, 6, 1), rules)
    midsummer = next(one for one in days if one.day == date(2026, 6, 21))
    assert 24 * 60 < midsummer.lock_up <= 24 * 60 + 40


def test_chicks_that_need_their_heat_stay_in_until_they_need_it_no_more() -> None:
    text = HOUSE.format(latitude=51.5, longitude=0, zone="Europe/London", rules="")
    chicks = text.replace("hens = 12", "young = 12\nhatched = 2026-03-20")
    profile = declared(chicks, date(2026, 4, 1))
    days = door_times(profile, profile.coop[0], NO_RECORDS, date(2026, 4, 1), date(2026, 8, 31))
    rows = card_rows(days)
    stay = [row for row in rows if row.let_out is None]
    assert stay
    assert stay == list(rows[: len(stay)])
    assert all(one.let_out is None for one in days if one.day <= stay[-1].last)


def test_rows_are_those_of_the_sun_of_an_ephemeris() -> None:
    """Skyfield over JPL's DE421: the sun at 4° below, and half an hour after it rises at 0.833°."""
    rows = card_rows(year(51.5, "Europe/London"))
    zone, place, scale = (
        ZoneInfo("Europe/London"),
        wgs84.latlon(51.5, 0.0),
        load.timescale(builtin=True),
    )
    path = files("skyfield_data") / "data" / "de421.bsp"
    with as_file(path) as file, closing(load_file(str(file))) as ephemeris:
        observer, sun = ephemeris["earth"] + place, ephemeris["sun"]
        for day in SPREAD_DAYS:
            noon = datetime(day.year, day.month, day.day, 12, tzinfo=UTC)
            start, middle, end = (scale.from_datetime(noon + n * 12 * HOUR) for n in (-1, 0, 1))
            sets, _ = almanac.find_settings(observer, sun, middle, end, horizon_degrees=-4.0)
            rises, _ = almanac.find_risings(observer, sun, start, middle, horizon_degrees=-0.833)
            shut, opened = (
                at.astimezone(zone).hour * 60 + at.astimezone(zone).minute
                for at in (sets[0], rises[0] + HALF_HOUR)
            )
            row = row_of(rows, day)
            assert row.let_out is not None
            assert -1 <= shut - row.lock_up <= 10, day
            assert -1 <= row.let_out - opened <= 11, day
