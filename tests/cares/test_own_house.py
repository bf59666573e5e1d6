from collections.abc import Callable
from datetime import date, timedelta

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.climate.curve import averages
from scheduler.profile.values import Profile
from tests.unhurried import unhurried

Declare = Callable[[str], Profile]

DAY = timedelta(days=1)
NEW_YEAR = date(2026, 1, 1)
LAST = date(2026, 12, 31)
HOT_DAY = date(2026, 4, 10)
GARDEN = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
[climate]
coldest_month_low = "-2 °C"
warmest_month_high = "24 °C"
[rounds]
keen = true
[[flock]]
name = "Girls"
hens = {hens}
[[coop]]
name = "Walnut"
"""
SMALL_FLOOR = 'floor = "2 m x 1 m"\n'
WIDE_FLOOR = 'floor = "4 m x 4 m"\n'
TWO_NESTS = "[coop.nests]\ncount = 2\n"
SIX_LITRES = '[[coop.drinker]]\ntype = "bell"\ncapacity = "6 L"\n'


def garden(declare: Declare, house: str, hens: int = 12) -> Profile:
    return declare(GARDEN.format(hens=hens) + house)


def days_of(
    care_id: str, profile: Profile, catalogue: Catalogue, records: Records = NO_RECORDS
) -> list[date]:
    return [
        day.day
        for day in plan(profile, records, NEW_YEAR, LAST, catalogue).days
        for task in day.tasks
        if task.care_id == care_id
    ]


@pytest.mark.parametrize("care_id", ["litter-stirring", "bedding-top-up", "clean-out"])
@unhurried
def test_a_small_floor_wants_more_work_than_a_wide_one(
    declare: Declare, catalogue: Catalogue, care_id: str
) -> None:
    small, wide = (
        len(days_of(care_id, garden(declare, house), catalogue))
        for house in (SMALL_FLOOR, WIDE_FLOOR)
    )
    assert small >= 2 * wide >= 2


@unhurried
def test_a_floor_nobody_measured_is_kept_by_the_calendar(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = garden(declare, "")
    stirred, topped_up, cleaned = (
        days_of(care_id, profile, catalogue)
        for care_id in ("litter-stirring", "bedding-top-up", "clean-out")
    )
    weekly = [day for day in stirred if day.weekday() == 5]
    # Stirred each Saturday, but for the clean-out and the deep clean.
    assert [len(weekly), len(topped_up), len(cleaned)] == [50, 13, 1]
    between = set(stirred) - set(weekly)
    yearly = averages(profile)
    assert between
    assert all(yearly.high_c(day) < 5 for day in between)


@pytest.mark.parametrize(("hens", "times"), [(10, 52), (11, 104)])
def test_crowded_nests_are_refreshed_twice_a_week(
    declare: Declare, catalogue: Catalogue, hens: int, times: int
) -> None:
    found = days_of("nest-refresh", garden(declare, TWO_NESTS, hens), catalogue)
    assert abs(len(found) - times) <= 2  # the two cleanings are no refreshes


def test_told_heat_brings_the_look_at_small_drinkers(
    declare: Declare, catalogue: Catalogue
) -> None:
    # 12 hens at 0.27 L make 4.9 L in a day and a half (Poultry Hub), at 0.5 L 9 L.
    profile = garden(declare, SIX_LITRES)
    spring = Spell(first=HOT_DAY, last=HOT_DAY + DAY)
    usual = days_of("drinker-look", profile, catalogue)
    for air_c in (None, 33.0):
        told = Records(reports=(Report(kind="heat", spell=spring, air_c=air_c),))
        found = days_of("drinker-look", profile, catalogue, told)
        assert set(found) - set(usual) == {HOT_DAY, HOT_DAY + DAY}


@pytest.mark.parametrize(("kind", "looks"), [("bell", 365), ("bucket", 365), ("nipple", 0)])
def test_open_drinkers_are_looked_at_twice_a_day(
    declare: Declare, catalogue: Catalogue, kind: str, looks: int
) -> None:
    # Common practice, no source: in the morning, when they are filled, and once more.
    profile = garden(declare, f'[[coop.drinker]]\ntype = "{kind}"\ncapacity = "40 L"\n')
    assert len(days_of("open-water", profile, catalogue)) == looks


def test_drinkers_that_are_filled_again_are_not_looked_at_besides(
    declare: Declare, catalogue: Catalogue
) -> None:
    profile = garden(declare, '[[coop.drinker]]\ntype = "bell"\ncapacity = "3 L"\n')
    filled = set(days_of("drinker-look", profile, catalogue))
    looked = set(days_of("open-water", profile, catalogue))
    assert len(filled) > 300
    assert not filled & looked
    assert len(filled | looked) == 365


def test_drinkers_that_nobody_measured_bring_no_look(
    declare: Declare, catalogue: Catalogue
) -> None:
    assert days_of("drinker-look", garden(declare, ""), catalogue) == []
