"""What is shown back of a place: what it lies near, and when it gets dark there tonight."""

from datetime import datetime

from scheduler.cares.coop_day import coop_day
from scheduler.cares.records import NO_RECORDS
from scheduler.light.sun import sky_over
from scheduler.profile.package_data import zone
from scheduler.profile.starter import Answers
from scheduler.profile.words import local_clock
from scheduler.service import place_told
from scheduler.service.household.open_profile import Household


def where(answers: Answers, near: str) -> str:
    """The place in a sentence: what it is near, or else its coordinates and clocks."""
    return place_told.where(_spot(answers), near)


def dusk_tonight(answers: Answers, now: datetime) -> str:
    """When civil dusk is this evening by the clocks of the place, in a sentence."""
    spot = _spot(answers)
    today = now.astimezone(spot.zone).date()
    return place_told.dusk(spot, today, today)


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


def _spot(answers: Answers) -> place_told.Spot:
    return place_told.Spot(
        latitude_deg=answers.latitude_deg,
        longitude_deg=answers.longitude_deg,
        zone=zone(answers.zone_name),
        region=answers.region,
    )
