"""What is shown back of a place: what it lies near, and when it gets dark there tonight."""

from datetime import datetime

from scheduler.cares.coop_day import coop_day
from scheduler.cares.plan import sky_over
from scheduler.cares.records import NO_RECORDS
from scheduler.light.sun import At, Sky
from scheduler.profile.package_data import zone
from scheduler.profile.starter import Answers
from scheduler.profile.words import local_clock
from scheduler.service.household.open_profile import Household
from scheduler.wording.service.first_run import PlaceFound

_CIVIL_DUSK_DEG = -6.0  # civil twilight ends (Explanatory Supplement to the Astronomical Almanac)


def where(answers: Answers, near: str) -> str:
    """The place in a sentence: what it is near, or else its coordinates and clocks."""
    if near:
        return PlaceFound.near(place=near)
    at = (answers.latitude_deg, answers.longitude_deg)
    latitude, longitude = (f"{one:.4f}".replace("-", "\N{MINUS SIGN}") for one in at)
    zone_name = answers.zone_name.replace("_", " ")
    return PlaceFound.at(latitude=latitude, longitude=longitude, zone=zone_name)


def dusk_tonight(answers: Answers, now: datetime) -> str:
    """When civil dusk is this evening by the clocks of the place, in a sentence."""
    clocks = zone(answers.zone_name)
    sky = Sky.over(answers.latitude_deg, answers.longitude_deg, clocks)
    today = now.astimezone(clocks).date()
    found = sky.crossing(today, "evening", _CIVIL_DUSK_DEG)
    if isinstance(found, At):
        time = local_clock(found.instant, clocks, answers.region, today)
        return PlaceFound.dusk(time=time)
    return (PlaceFound.no_dusk if found.side == "above" else PlaceFound.dark_all_day)()


def lock_ups_tonight(household: Household, now: datetime) -> tuple[tuple[str, str], ...]:
    """Each house, and when to lock it up this evening by the clocks of the place."""
    profile, today = household.profile, household.today(now)
    sky, site = sky_over(profile), profile.site
    return tuple(
        (
            coop.name,
            local_clock(
                coop_day(profile, sky, coop, today, NO_RECORDS).lock_up.instant,
                site.zone,
                site.region,
                today,
            ),
        )
        for coop in profile.coop
    )
