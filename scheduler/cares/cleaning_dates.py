"""On which date a house is cleaned, and what holds that up."""

from datetime import date, timedelta
from typing import get_args

from scheduler.cares.cleaning import is_frosty
from scheduler.cares.climate_dates import passes
from scheduler.cares.house_intervals import Cleaning, cleaning_shares
from scheduler.climate.chance import step_of
from scheduler.climate.curve import Averages
from scheduler.husbandry.age import OFF_HEAT_WEEKS, came_off_heat_here, some_on_heat
from scheduler.husbandry.growth import OFF_HEAT_NIGHT_C
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.own_cares import WEEKDAYS
from scheduler.profile.values import Profile

_WEEK = timedelta(days=7)
_WAITS_AT_MOST = timedelta(weeks=51)
_WEEKS_APART = 5


def cleaning_due(profile: Profile, averages: Averages, coop: Coop, day: date) -> Cleaning | None:
    """Which cleaning falls on the day, a weekly one; what waited for chicks, on the first free.

    Within five weeks of each other there is one: a clean-out that waited gives way to what
    comes, and one that comes to a deep clean that waited.
    """
    weekly = day.weekday() == WEEKDAYS.index(profile.rounds.weekly_day)
    if not weekly or _holds_up(profile, averages, coop, day):
        return None
    week_ago = since = day - _WEEK
    while _holds_up(profile, averages, coop, since) and day - since < _WAITS_AT_MOST:
        since -= _WEEK
    deep, other = (cleaning_shares(of, profile, coop, averages, day) for of in get_args(Cleaning))
    if passes(averages, deep, since, day):
        return "deep clean"
    if passes(averages, other, week_ago, day):
        before = (day - n * _WEEK for n in range(1, _WEEKS_APART + 1))
        late = any(cleaning_due(profile, averages, coop, on) == "deep clean" for on in before)
        return None if late else "clean-out"
    if passes(averages, other, since, week_ago):
        soon = passes(averages, (*deep, *other), day, day + (_WEEKS_APART + 1) * _WEEK)
        return None if soon else "clean-out"
    return None


def _holds_up(profile: Profile, averages: Averages, coop: Coop, day: date) -> bool:
    """Whether the house is not emptied then: chicks are on heat in it, or frost is likely."""
    flocks = profile.flocks_on(coop.id, day)
    chicks = some_on_heat(flocks, day) or any(keeps_heat(averages, one, day) for one in flocks)
    return chicks or is_frosty(averages, step_of(averages, day))


def keeps_heat(averages: Averages, flock: Flock, day: date) -> bool:
    """Whether nights were too cold at six weeks, and still are, to take the chicks off heat."""
    if flock.hatched is None or not came_off_heat_here(flock, day):
        return False
    off = flock.hatched + OFF_HEAT_WEEKS * _WEEK
    return all(averages.low_c(at) < OFF_HEAT_NIGHT_C for at in (off, day))
