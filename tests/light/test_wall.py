from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.light.sun import Half, HalfDay, Sky
from scheduler.light.wall import first_in

MINUTE = timedelta(minutes=1)

# Zones that change their clocks in the evening or around midnight, by tzdata, and two that do not.
PLACES = {
    "Africa/Cairo": (30.04, 31.24),
    "America/Havana": (23.11, -82.37),
    "America/Nuuk": (64.18, -51.72),
    "America/Santiago": (-33.45, -70.67),
    "Asia/Beirut": (33.89, 35.50),
    "Atlantic/Azores": (37.74, -25.67),
    "Australia/Lord_Howe": (-31.55, 159.08),
    "Europe/London": (51.5, -0.1),
    "Pacific/Easter": (-27.15, -109.43),
}
# The half-day in which each clock changed or will change in 2026.
CHANGES: tuple[tuple[str, date, Half], ...] = (
    ("Africa/Cairo", date(2026, 4, 24), "morning"),
    ("Africa/Cairo", date(2026, 10, 29), "evening"),
    ("America/Havana", date(2026, 3, 7), "evening"),
    ("America/Havana", date(2026, 10, 31), "evening"),
    ("America/Nuuk", date(2026, 3, 28), "evening"),
    ("America/Nuuk", date(2026, 10, 24), "evening"),
    ("America/Santiago", date(2026, 4, 4), "evening"),
    ("America/Santiago", date(2026, 9, 5), "evening"),
    ("Asia/Beirut", date(2026, 3, 29), "morning"),
    ("Asia/Beirut", date(2026, 10, 24), "evening"),
    ("Atlantic/Azores", date(2026, 3, 28), "evening"),
    ("Atlantic/Azores", date(2026, 10, 24), "evening"),
    ("Australia/Lord_Howe", date(2026, 4, 5), "morning"),
    ("Australia/Lord_Howe", date(2026, 10, 4), "morning"),
    ("Europe/London", date(2026, 3, 29), "morning"),
    ("Europe/London", date(2026, 10, 25), "morning"),
    ("Pacific/Easter", date(2026, 4, 4), "evening"),
    ("Pacific/Easter", date(2026, 9, 5), "evening"),
)


def half_day(zone: str, day: date, half: Half) -> HalfDay:
    sky = Sky.over(*PLACES[zone], ZoneInfo(zone))
    return sky.morning(day) if half == "morning" else sky.evening(day)


def utc(text: str) -> datetime:
    return datetime.fromisoformat(text).replace(tzinfo=UTC)


# Changes as in tzdata's source files (southamerica, northamerica, africa, asia, europe,
# australasia) for 2026; the local clock around the change is in the comments.
@pytest.mark.parametrize(
    ("zone", "day", "half", "at", "expected"),
    [
        # 22:00 becomes 21:00: half past nine comes twice; then 22:00 becomes 23:00.
        ("Pacific/Easter", date(2026, 4, 4), "evening", time(21, 30), "2026-04-05T02:30"),
        ("Pacific/Easter", date(2026, 4, 4), "evening", time(22, 0), "2026-04-05T04:00"),
        ("Pacific/Easter", date(2026, 9, 5), "evening", time(22, 30), "2026-09-06T04:00"),
        ("Pacific/Easter", date(2026, 9, 5), "evening", time(22, 0), "2026-09-06T04:00"),
        ("Pacific/Easter", date(2026, 9, 5), "evening", time(21, 59), "2026-09-06T03:59"),
        # Saturday 23:00 becomes Sunday 00:00; in autumn 24:00 becomes 23:00.
        ("America/Nuuk", date(2026, 3, 28), "evening", time(23, 30), "2026-03-29T01:00"),
        ("America/Nuuk", date(2026, 3, 28), "evening", time(0, 0), "2026-03-29T01:00"),
        ("America/Nuuk", date(2026, 10, 24), "evening", time(23, 30), "2026-10-25T00:30"),
        ("America/Nuuk", date(2026, 10, 24), "evening", time(0, 5), "2026-10-25T02:05"),
        # 24:00 becomes 23:00 in April, 00:00 becomes 01:00 in September.
        ("America/Santiago", date(2026, 4, 4), "evening", time(23, 15), "2026-04-05T02:15"),
        ("America/Santiago", date(2026, 9, 5), "evening", time(0, 30), "2026-09-06T04:00"),
        # 00:00 becomes 01:00 in spring; 24:00 becomes 23:00 in autumn.
        ("Asia/Beirut", date(2026, 3, 29), "morning", time(0, 30), "2026-03-28T22:00"),
        ("Asia/Beirut", date(2026, 10, 24), "evening", time(23, 30), "2026-10-24T20:30"),
        ("Africa/Cairo", date(2026, 4, 24), "morning", time(0, 1), "2026-04-23T22:00"),
        ("Africa/Cairo", date(2026, 10, 29), "evening", time(23, 30), "2026-10-29T20:30"),
        # 00:00 becomes 01:00 in spring; in autumn 01:00 becomes 00:00, a few minutes before the
        # solar midnight: half past midnight comes once in the evening and once in the morning.
        ("America/Havana", date(2026, 3, 7), "evening", time(0, 30), "2026-03-08T05:00"),
        ("America/Havana", date(2026, 10, 31), "evening", time(0, 30), "2026-11-01T04:30"),
        ("America/Havana", date(2026, 11, 1), "morning", time(0, 30), "2026-11-01T05:30"),
        ("America/Havana", date(2026, 11, 1), "morning", time(0, 5), None),
        ("Atlantic/Azores", date(2026, 3, 28), "evening", time(0, 20), "2026-03-29T01:00"),
        ("Atlantic/Azores", date(2026, 10, 24), "evening", time(0, 20), "2026-10-25T00:20"),
        ("Atlantic/Azores", date(2026, 10, 25), "morning", time(0, 58), "2026-10-25T01:58"),
        ("Europe/London", date(2026, 3, 29), "morning", time(1, 30), "2026-03-29T01:00"),
        ("Europe/London", date(2026, 10, 25), "morning", time(1, 30), "2026-10-25T00:30"),
        # Half an hour only: 02:00 becomes 01:30, and in October 02:30.
        ("Australia/Lord_Howe", date(2026, 4, 5), "morning", time(1, 45), "2026-04-04T14:45"),
        ("Australia/Lord_Howe", date(2026, 10, 4), "morning", time(2, 15), "2026-10-03T15:30"),
        ("Australia/Lord_Howe", date(2026, 10, 4), "morning", time(2, 45), "2026-10-03T15:45"),
        # An ordinary evening, and times of the other half of the day.
        ("Europe/London", date(2026, 6, 21), "evening", time(22, 30), "2026-06-21T21:30"),
        ("Europe/London", date(2026, 6, 21), "evening", time(6, 30), None),
        ("Europe/London", date(2026, 6, 21), "morning", time(22, 30), None),
    ],
)
def test_named_nights(zone: str, day: date, half: Half, at: time, expected: str | None) -> None:
    found = first_in(half_day(zone, day, half), at, ZoneInfo(zone))
    assert found == (utc(expected) if expected else None)


def by_the_minute(half: HalfDay, zone: ZoneInfo) -> dict[time, datetime]:
    """The first instant of each wall time, by looking at the clock each minute of the half-day."""
    instant = half.start.replace(second=0, microsecond=0) + MINUTE
    shown_before = (instant - MINUTE).astimezone(zone).replace(tzinfo=None)
    found: dict[time, datetime] = {}
    while instant <= half.end:
        shown = instant.astimezone(zone).replace(tzinfo=None)
        skipped = shown_before + MINUTE
        while skipped < shown:
            found.setdefault(skipped.time(), instant)
            skipped += MINUTE
        found.setdefault(shown.time(), instant)
        shown_before, instant = shown, instant + MINUTE
    return found


@pytest.mark.parametrize(("zone", "day", "half"), CHANGES)
def test_every_minute_of_the_clock_agrees_with_watching_it(
    zone: str, day: date, half: Half
) -> None:
    span, clock = half_day(zone, day, half), ZoneInfo(zone)
    before, after = span.start.astimezone(clock), span.end.astimezone(clock)
    assert before.utcoffset() != after.utcoffset(), "the clock does not change in this half-day"
    watched = by_the_minute(span, clock)
    for minute in range(24 * 60):
        at = time(minute // 60, minute % 60)
        assert first_in(span, at, clock) == watched.get(at), at


@settings(deadline=None)
@given(
    zone=st.sampled_from(sorted(PLACES)),
    day=st.dates(date(2020, 1, 1), date(2037, 12, 31)),
    half=st.sampled_from(("morning", "evening")),
    at=st.times().map(lambda t: t.replace(second=0, microsecond=0)),
)
def test_the_result_lies_in_the_half_day_and_shows_that_time_unless_it_is_skipped(
    zone: str, day: date, half: Half, at: time
) -> None:
    span, clock = half_day(zone, day, half), ZoneInfo(zone)
    found = first_in(span, at, clock)
    if found is None:
        # A half-day is shorter than a day: the time comes before its start, or after its end.
        on = [span.start.astimezone(clock).date() + timedelta(days=n) for n in (0, 1)]
        passes = [datetime.combine(d, at, clock).replace(fold=f) for d in on for f in (0, 1)]
        assert all(p.astimezone(UTC) not in span for p in passes if is_shown(p))
        return
    assert found in span
    assert found.tzinfo is UTC
    shown = found.astimezone(clock)
    if shown.time() != at:
        skipped = datetime.combine(shown.date(), at, clock)
        night_before = skipped - timedelta(days=1)
        assert not is_shown(skipped) or not is_shown(night_before)
        a_second_before = (found - timedelta(seconds=1)).astimezone(clock)
        assert a_second_before.utcoffset() != shown.utcoffset()


def is_shown(local: datetime) -> bool:
    """Whether the clock ever shows this local time: it survives the way to UTC and back."""
    back = local.astimezone(UTC).astimezone(local.tzinfo)
    return back.replace(tzinfo=None) == local.replace(tzinfo=None)
