"""Where birds do not go in by themselves yet they are called in. Common practice, no source."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.free_range import FreeRange
from scheduler.cares.records import NO_RECORDS
from scheduler.light.sun import At, sky_over
from scheduler.profile.values import Profile
from scheduler.wording.cares.door_times import CallIn

Declare = Callable[[str], Profile]

MIDSUMMER = date(2026, 6, 21)
ARRIVED = date(2025, 9, 1)
EARLY = timedelta(minutes=30)
PLACE = """
[site]
name = "Orchard"
latitude = {north}
longitude = {east}
timezone = "{zone}"
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
"""
LONDON = PLACE.format(north=51.5, east=-0.1, zone="Europe/London")


def on(profile: Profile, day: date) -> CoopDay:
    return coop_day(profile, sky_over(profile), profile.coop[0], day, NO_RECORDS)


def why(profile: Profile, day: date) -> str:
    return reasons.why_lock_up(profile, on(profile, day))


@pytest.mark.parametrize(
    ("north", "east", "zone"),
    [
        (39.5, 76.0, "Asia/Shanghai"),  # Kashgar
        (48.4, -4.5, "Europe/Paris"),  # Brest
        (42.9, -8.5, "Europe/Madrid"),  # Santiago de Compostela
    ],
)
def test_where_the_cap_comes_near_sunset_they_are_called_in(
    declare: Declare, north: float, east: float, zone: str
) -> None:
    profile = declare(PLACE.format(north=north, east=east, zone=zone))
    day = on(profile, MIDSUMMER)
    assert day.lock_up.basis == "cap"
    assert isinstance(day.sunset, At)
    assert day.lock_up.instant < day.sunset.instant + timedelta(minutes=15)
    assert "call them in with feed" in why(profile, MIDSUMMER)


def test_on_a_usual_evening_nobody_is_called_in_at_the_lock_up(declare: Declare) -> None:
    text = why(declare(LONDON), MIDSUMMER)
    assert "should be on the perch" in text or "sunset" in text
    assert "call" not in text


@pytest.mark.parametrize(("days", "called"), [(0, True), (13, True), (14, False)])
def test_pullets_new_to_a_house_are_called_in_half_an_hour_before_sunset(
    declare: Declare, days: int, called: bool
) -> None:
    profile = declare(LONDON + f'raised_by = "hen"\nage = "pullet"\narrived = {ARRIVED}\n')
    text = why(profile, ARRIVED + timedelta(days=days))
    assert ("New to the house: Girls." in text) is called


@pytest.mark.parametrize(
    ("raised_by", "first"), [("hen", 14), ("bought", 30)], ids=["own", "bought"]
)
def test_in_their_first_fortnight_outside_new_birds_are_called_in_early(
    declare: Declare, raised_by: str, first: int
) -> None:
    profile = declare(LONDON + f'raised_by = "{raised_by}"\nage = "pullet"\narrived = {ARRIVED}\n')
    for days, early in ((first, True), (first + 13, True), (first + 14, False)):
        day = on(profile, ARRIVED + timedelta(days=days))
        assert isinstance(day.free_range, FreeRange), days
        assert isinstance(day.sunset, At)
        is_early = day.free_range.call_in <= day.sunset.instant - EARLY
        assert is_early is early


def test_guineas_and_turkeys_have_their_own_words() -> None:
    assert "Ducks and geese" in CallIn.others()
    assert "Guinea fowl and turkeys" in CallIn.others()
    assert "before sunset" in CallIn.others()
