from collections.abc import Callable
from datetime import UTC, time, timedelta, timezone, tzinfo
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.problems import problems
from scheduler.profile.coop import Coop
from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.flock import Flock
from scheduler.profile.problem import Problem
from scheduler.profile.site import Site
from scheduler.profile.values import Profile

Declare = Callable[[str], Profile]

GARDEN = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12
"""
WALNUT = '[[coop]]\nname = "Walnut"\n'

# Places that change their clocks in the evening or around midnight, and the widest zones.
PLACES = (
    (30.04, 31.24, "Africa/Cairo"),
    (23.11, -82.37, "America/Havana"),
    (64.18, -51.72, "America/Nuuk"),
    (-33.45, -70.67, "America/Santiago"),
    (70.48, -21.97, "America/Scoresbysund"),
    (52.93, 173.2, "America/Adak"),
    (33.89, 35.50, "Asia/Beirut"),
    (27.47, 95.63, "Asia/Kolkata"),
    (43.8, 87.0, "Asia/Shanghai"),
    (37.74, -25.67, "Atlantic/Azores"),
    (42.88, -9.27, "Europe/Madrid"),
    (78.22, 15.65, "Arctic/Longyearbyen"),
    (-43.95, -176.55, "Pacific/Chatham"),
    (-27.15, -109.43, "Pacific/Easter"),
    (1.87, -157.43, "Pacific/Kiritimati"),
)


def keep(latitude_deg: float, longitude_deg: float, zone: tzinfo, **rules: object) -> Profile:
    plain = Profile(
        units="metric",
        site=Site(
            name="Hill",
            id="hill",
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            zone=zone,
        ),
        coop=(Coop(name="Walnut", id="walnut"),),
        flock=(Flock(name="Girls", id="girls", coop="walnut", hens=6),),
    )
    return plain.model_copy(update=rules)


def found_in(profile: Profile, catalogue: Catalogue) -> list[Problem]:
    return list(problems(profile, catalogue))


@pytest.mark.parametrize(
    ("text", "key", "found"),
    [
        ('[lockup]\ncap = "11:00"', ("lockup", "cap"), "11:00"),
        ('[lockup]\nnot_after = "10:30 am"', ("lockup", "not_after"), "10:30"),
        ('[lockup]\nnot_before = "06:00"', ("lockup", "not_before"), "06:00"),
        ('[lockup]\nno_sun = "04:00"', ("lockup", "no_sun"), "04:00"),
        ('[letout]\nnot_before = "20:00"', ("letout", "not_before"), "20:00"),
        ('[letout]\nnot_after = "14:00"', ("letout", "not_after"), "14:00"),
        ('[letout]\nno_sun = "17:30"', ("letout", "no_sun"), "17:30"),
    ],
)
def test_a_time_that_cannot_lie_in_its_half_day_is_a_problem(
    declare: Declare,
    catalogue: Catalogue,
    text: str,
    key: tuple[str, str],
    found: str,
) -> None:
    (problem,) = found_in(declare(f"{GARDEN}{WALNUT}{text}\n"), catalogue)
    assert problem.key == key
    assert found in problem.found
    assert {"lockup": "evening", "letout": "morning"}[key[0]] in problem.accepted
    assert problem.hint


@pytest.mark.parametrize(
    ("rule", "key", "half"),
    [
        ('lockup = { cap = "11:00" }', ("coop", 1, "lockup", "cap"), "evening"),
        ('letout = { not_before = "20:00" }', ("coop", 1, "letout", "not_before"), "morning"),
    ],
)
def test_a_houses_own_rule_is_looked_at_under_its_own_key(
    declare: Declare, catalogue: Catalogue, rule: str, key: tuple[str | int, ...], half: str
) -> None:
    oak = f'[[coop]]\nname = "Oak"\n{rule}\n[[flock]]\nname = "Boys"\ncoop = "oak"\nroosters = 2\n'
    (problem,) = found_in(declare(GARDEN + WALNUT + oak), catalogue)
    assert problem.key == key
    assert half in problem.accepted


def test_all_of_them_are_said_at_once(declare: Declare, catalogue: Catalogue) -> None:
    text = """
[lockup]
cap = "11:00"
not_before = "05:00"
[letout]
no_sun = "20:00"
[cares.frost-look]
every = "7 days"
"""
    keys = {problem.key for problem in found_in(declare(GARDEN + WALNUT + text), catalogue)}
    assert keys == {
        ("lockup", "cap"),
        ("lockup", "not_before"),
        ("letout", "no_sun"),
        ("cares", "frost-look", "every"),
    }


@pytest.mark.parametrize(
    "text",
    [
        '[lockup]\ncap = "12:30"\n',
        '[lockup]\ncap = "none"\nnot_after = "23:30"\n',
        '[lockup]\nnot_before = "00:30"\n',  # in summer the solar midnight is at one o'clock
        '[letout]\nnot_before = "01:30"\nnot_after = "12:30"\n',
    ],
)
def test_a_time_that_comes_on_some_dates_is_no_problem(
    declare: Declare, catalogue: Catalogue, text: str
) -> None:
    assert not found_in(declare(GARDEN + WALNUT + text), catalogue)


def test_what_is_named_as_possible_is_possible(declare: Declare, catalogue: Catalogue) -> None:
    # In London the evening reaches from just before noon (winter) to past one (summer).
    (problem,) = found_in(declare(f'{GARDEN}{WALNUT}[lockup]\ncap = "11:00"\n'), catalogue)
    last = problem.accepted.split()[-1]
    assert time(1) <= time.fromisoformat(last) < time(1, 20), problem.accepted


@pytest.mark.parametrize(("latitude_deg", "longitude_deg", "zone"), PLACES)
def test_a_profile_without_rules_has_none_at_real_places(
    catalogue: Catalogue, latitude_deg: float, longitude_deg: float, zone: str
) -> None:
    assert not found_in(keep(latitude_deg, longitude_deg, ZoneInfo(zone)), catalogue)


@settings(deadline=None)
@given(st.floats(-90, 90), st.floats(-180, 180), st.integers(-3, 3))
def test_a_profile_without_rules_has_none_anywhere(
    catalogue: Catalogue, latitude_deg: float, longitude_deg: float, ahead_h: int
) -> None:
    zone = timezone(timedelta(hours=round(longitude_deg / 15) + ahead_h))
    assert not found_in(keep(latitude_deg, longitude_deg, zone), catalogue)


@settings(deadline=None)
@given(st.floats(-180, 180), st.integers(-3, 3), st.sampled_from(("cap", "not_before")))
def test_the_sun_decides_which_clock_times_are_evening_and_which_morning(
    catalogue: Catalogue, longitude_deg: float, ahead_h: int, key: str
) -> None:
    """Two hours before the sun's noon nobody locks up, and two hours after it nobody lets out."""
    offset_h = round(longitude_deg / 15) + ahead_h
    noon_h = 12 + offset_h - longitude_deg / 15
    before, after = (time(int(noon_h + by) % 24) for by in (-2, 3))
    zone = timezone(timedelta(hours=offset_h))
    lockup = LockUpRule.model_validate({"cap": None, "no_sun": after, key: before})
    letout = LetOutRule(not_before=None, not_after=after, no_sun=before)
    profile = keep(10.0, longitude_deg, zone, lockup=lockup, letout=letout)
    assert [problem.key for problem in found_in(profile, catalogue)] == [
        ("lockup", key),
        ("letout", "not_after"),
    ]


def test_the_place_decides_what_can_be(catalogue: Catalogue) -> None:
    early = LockUpRule(cap=time(11, 30))
    assert found_in(keep(10.0, 0.0, UTC, lockup=early), catalogue)
    assert not found_in(keep(10.0, 15.0, UTC, lockup=early), catalogue)
