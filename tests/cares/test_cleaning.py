"""A house is cleaned twice a year at least, everywhere, never in hard frost or twice in a month.

Colorado State Univ. Ext. 9.377, quoted second-hand: twice a year at least. Hard frost (28 °F, from
memory) and the month between are common practice, no source.
"""

from datetime import UTC, date, timedelta
from itertools import pairwise

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.due import Dates
from scheduler.cares.plan import sky_over
from scheduler.cares.records import NO_RECORDS
from scheduler.climate.curve import averages
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.site import Climate, Site
from scheduler.profile.units import Extent
from scheduler.profile.values import Profile

HARD_FROST_C = (28 - 32) / 1.8
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


def house(place: str, floor_m2: float, hens: int) -> Profile:
    latitude_deg, low_c, high_c = CLIMATES[place]
    return Profile(
        units="metric",
        site=Site(name="Hill", id="hill", latitude_deg=latitude_deg, longitude_deg=0.0, zone=UTC),
        climate=Climate(coldest_month_low_c=low_c, warmest_month_high_c=high_c),
        coop=(Coop(name="Walnut", id="walnut", floor=Extent(area_m2=floor_m2)),),
        flock=(Flock(name="Girls", id="girls", coop="walnut", hens=hens),),
    )


@pytest.mark.parametrize(("floor_m2", "hens"), [(12.0, 6), (3.0, 12), (1.5, 12)])
@pytest.mark.parametrize("place", CLIMATES)
def test_cleaned_twice_a_year_everywhere_out_of_frost_and_a_month_apart(
    catalogue: Catalogue, place: str, floor_m2: float, hens: int
) -> None:
    profile = house(place, floor_m2, hens)
    yearly = averages(profile)
    dates = Dates(profile, sky_over(profile), yearly, NO_RECORDS, catalogue)
    deep, out = (
        [
            day
            for day in (FIRST + timedelta(days=n) for n in range(DAYS))
            for care in catalogue
            if care.id == care_id and dates.due(care, day)
        ]
        for care_id in ("deep-clean", "clean-out")
    )
    assert len(deep) == 3
    assert len(out) >= 3
    cleaned = sorted(deep + out)
    assert all(then - before >= timedelta(days=31) for before, then in pairwise(cleaned))
    assert all(yearly.low_c(day) >= HARD_FROST_C for day in cleaned)
    longest = max(then - before for before, then in pairwise(cleaned))
    frosty = sum(yearly.low_c(FIRST + timedelta(days=n)) < HARD_FROST_C for n in range(365))
    assert longest <= timedelta(days=max(190, frosty + 60 + 91))
