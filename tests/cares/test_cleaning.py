"""A house is cleaned twice a year at least, everywhere, never in frost or twice in a month.

Colorado State Univ. Ext. 9.377, quoted second-hand: twice a year at least. Frost by a chance of
20 % and the month between are common practice, no source.
"""

from datetime import UTC, date, timedelta
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.cleaning import cleanings
from scheduler.cares.due import Dates
from scheduler.cares.records import NO_RECORDS
from scheduler.climate.chance import FROST, STEPS, chance
from scheduler.climate.curve import Averages, averages
from scheduler.climate.wave import Wave
from scheduler.light.sun import sky_over
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.site import Climate, Site
from scheduler.profile.units import Extent
from scheduler.profile.values import Profile
from tests.conftest import declared

LIKELY = 0.20
FIRST, DAYS = date(2026, 1, 1), 3 * 365
# Latitude, and the coldest month's low and warmest month's high; from memory, no source.
CLIMATES = {
    "London": (51.5, 2.0, 24.0),
    "Phoenix": (33.4, 8.0, 41.0),
    "Houston": (29.8, 7.0, 34.0),
    "Manila": (14.6, 21.0, 34.0),
    "Melbourne": (-37.8, 6.0, 26.0),
    "Oulu": (65.0, -14.0, 21.0),
    "Yakutsk": (62.0, -42.0, 25.0),
    "Ushuaia": (-54.8, -2.0, 14.0),
}
# No month in a row without a chance of frost of 20 %, in the north and in the south.
HIGH_UP = {"north": (45.0, -15.0, 10.0), "south": (-45.0, -15.0, 10.0), "pole": (80.0, -40.0, 2.0)}


def house(place: str, floor_m2: float, hens: int) -> Profile:
    latitude_deg, low_c, high_c = (CLIMATES | HIGH_UP)[place]
    return Profile(
        units="metric",
        site=Site(name="Hill", id="hill", latitude_deg=latitude_deg, longitude_deg=0.0, zone=UTC),
        climate=Climate(coldest_month_low_c=low_c, warmest_month_high_c=high_c),
        coop=(Coop(name="Walnut", id="walnut", floor=Extent(area_m2=floor_m2)),),
        flock=(Flock(name="Girls", id="girls", coop="walnut", hens=hens),),
    )


def cleaned_on(
    profile: Profile, catalogue: Catalogue, care_id: str, days: int = DAYS
) -> list[date]:
    dates = Dates(profile, sky_over(profile), averages(profile), NO_RECORDS, catalogue)
    (care,) = (care for care in catalogue if care.id == care_id)
    return [day for day in (FIRST + timedelta(days=n) for n in range(days)) if dates.due(care, day)]


def frost_on(yearly: Averages, day: date) -> float:
    return chance(yearly, FROST, yearly.share_of_year(day))


@pytest.mark.parametrize(("floor_m2", "hens"), [(12.0, 6), (3.0, 12), (1.5, 12)])
@pytest.mark.parametrize("place", CLIMATES)
def test_cleaned_twice_a_year_everywhere_out_of_frost_and_a_month_apart(
    catalogue: Catalogue, place: str, floor_m2: float, hens: int
) -> None:
    profile = house(place, floor_m2, hens)
    yearly = averages(profile)
    deep, out = (cleaned_on(profile, catalogue, care_id) for care_id in ("deep-clean", "clean-out"))
    assert len(deep) == 3
    assert len(out) >= 3
    cleaned = sorted(deep + out)
    assert all(then - before >= timedelta(days=31) for before, then in pairwise(cleaned))
    # Yakutsk has not a whole month below 20 %: there it is the mildest that there is.
    most = LIKELY if place != "Yakutsk" else 0.30
    assert all(frost_on(yearly, day) < most for day in cleaned)
    longest = max(then - before for before, then in pairwise(cleaned))
    frosty = sum(frost_on(yearly, FIRST + timedelta(days=n)) >= LIKELY for n in range(365))
    assert longest <= timedelta(days=max(190, frosty + 60))


@pytest.mark.parametrize("place", HIGH_UP)
def test_where_there_is_no_dry_season_it_is_cleaned_in_the_mildest_weeks(
    catalogue: Catalogue, place: str
) -> None:
    profile = house(place, 3.0, 12)
    yearly = averages(profile)
    by_chance = sorted(frost_on(yearly, FIRST + timedelta(days=n)) for n in range(365))
    assert by_chance[0] >= LIKELY
    deep, out = (cleaned_on(profile, catalogue, care_id) for care_id in ("deep-clean", "clean-out"))
    assert len(deep) == len(out) == 3
    cleaned = sorted(deep + out)
    assert all(then - before >= timedelta(days=31) for before, then in pairwise(cleaned))
    assert all(frost_on(yearly, day) <= by_chance[70] for day in cleaned)


MAPPED = """
[site]
name = "Hill"
latitude = {0}
longitude = {1}
timezone = "{2}"
[[coop]]
name = "Walnut"
floor = "2 m x 2 m"
[[flock]]
name = "Girls"
hens = 8
"""


@pytest.mark.parametrize(
    "place",
    [
        (14.6, 121.0, "Asia/Manila"),
        (33.4, -112.1, "America/Phoenix"),
        (29.8, -95.4, "America/Chicago"),
        (-37.8, 145.0, "Australia/Melbourne"),
        (65.0, 25.5, "Europe/Helsinki"),
        (51.5, -0.1, "Europe/London"),
    ],
    ids=lambda place: place[2],
)
def test_t13_by_the_map_too_a_house_is_cleaned_twice_in_each_year_out_of_frost(
    catalogue: Catalogue, place: tuple[float, float, str]
) -> None:
    profile = declared(MAPPED.format(*place))
    yearly = averages(profile)
    assert yearly.mapped
    deep, out = (cleaned_on(profile, catalogue, care_id) for care_id in ("deep-clean", "clean-out"))
    for year in (2026, 2027, 2028):
        in_year = [day for day in (*deep, *out) if day.year == year]
        # A year of 52 weeks and a day or two may have the weekly day of one of them just outside.
        assert len(in_year) >= 2, (year, in_year)
    assert all(frost_on(yearly, day) < LIKELY for day in (*deep, *out))


@given(st.floats(-30, 25), st.floats(0, 20), st.floats(0, 2), st.booleans(), st.integers(1, 6))
def test_a_year_has_two_cleanings_at_least_with_weeks_between_them_and_the_first_is_the_deep_one(
    low_c: float, swing_c: float, ln_sd: float, southern: bool, times: int
) -> None:
    low = Wave(low_c, (swing_c if southern else -swing_c, 0.0))
    yearly = Averages(
        low, low.raised(8.0), None, estimated=False, southern=southern, low_ln_sd=Wave(ln_sd)
    )
    found = cleanings(yearly, times)
    assert 2 <= len(found) <= max(2, times)
    steps = sorted(round(share * STEPS) for share in found)
    around = [*steps, steps[0] + STEPS]
    assert all(after - before >= 36 for before, after in pairwise(around))
    rounded = {share: chance(yearly, FROST, share) for share in found}
    dry = [chance(yearly, FROST, step / STEPS) < LIKELY for step in range(STEPS)]
    run = longest_run(dry)
    if run > 43 + 7:  # room for the two, and the week until the weekly day
        assert all(likely < LIKELY for likely in rounded.values())


def longest_run(dry: list[bool]) -> int:
    longest = run = 0
    for one in (*dry, *dry):
        run = run + 1 if one else 0
        longest = max(longest, run)
    return min(longest, len(dry))
