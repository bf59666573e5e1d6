"""The lamp of a coop on one date, where a keeper has chosen a light programme.

Light is added in the morning, so that dusk stays natural; held from the day on which daylight falls
under the target until it is back, and never shortened in lay.
"""

from datetime import date, timedelta

from scheduler.husbandry.birds import weeks_old
from scheduler.husbandry.lighting import (
    NOT_BEFORE_WEEKS,
    LampDay,
    lamp,
    stepped_hours,
    target_hours,
)
from scheduler.light.sun import SUNSET_DEG, At, Sky
from scheduler.profile.values import Coop, Flock

_HOUR = timedelta(hours=1)
_WEEK = timedelta(weeks=1)


def has_programme(coop: Coop) -> bool:
    """Whether the keeper has chosen a light programme for the coop."""
    return coop.light is not None and coop.light.programme


def keeps_feed_and_water_inside(coop: Coop) -> bool:
    """Whether birds that are awake before the let-out can eat and drink."""
    return any(d.inside for d in coop.drinker) and any(f.inside for f in coop.feeder)


def longest_day(sky: Sky, year: int) -> timedelta:
    """The day length of the longest day of the year at the site."""
    return max(sky.daylight(date(year, month, 21)) for month in (6, 12))


def lamp_on(coop: Coop, flocks: tuple[Flock, ...], sky: Sky, day: date) -> LampDay | None:
    """The lamp on that morning, or None without a programme, need or birds of an age for it."""
    ages = [weeks_old(flock, day) for flock in flocks if flock.hens or flock.young]
    grown = [weeks for weeks in ages if weeks is None or weeks >= NOT_BEFORE_WEEKS]
    if not has_programme(coop) or not ages or len(grown) < len(ages):
        return None
    rise = sky.crossing(day, "morning", SUNSET_DEG)
    sets = sky.crossing(day, "evening", SUNSET_DEG)
    if not isinstance(rise, At) or not isinstance(sets, At):
        return None
    target = target_hours(longest_day(sky, day.year))
    weeks = min((weeks for weeks in grown if weeks is not None), default=None)
    if weeks is not None:
        came_of_age = day - (weeks - NOT_BEFORE_WEEKS) * _WEEK
        natural = sky.daylight(came_of_age) / _HOUR
        if natural < target:  # a flock that comes of age in short days is brought up by steps
            target = stepped_hours(natural, int(weeks - NOT_BEFORE_WEEKS), target)
    return lamp(rise.instant, sets.instant, target)
