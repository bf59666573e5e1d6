"""The lamp of a coop on one date, where a keeper has chosen a light programme.

Light is added in the morning, so that dusk stays natural. While a layer lives in the house the
programme never shortens its light, whoever else moves in, and never lengthens it by more than an
hour a week. Whoever needs shorter days is to be kept apart, and is named.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from math import ceil

from scheduler.cares.newcomer import Newcomer
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.husbandry.age import weeks_old
from scheduler.husbandry.lighting import (
    NOT_BEFORE_WEEKS,
    STEP_HOURS_A_WEEK,
    lamp,
    stepped_hours,
    target_hours,
)
from scheduler.light.sun import SUNSET_DEG, At, Half, Never, Sky
from scheduler.profile.coop import Coop, CoopLight
from scheduler.profile.flock import Flock

_HOUR = timedelta(hours=1)
_DAY = timedelta(days=1)
_WEEK = timedelta(weeks=1)
_EVER = date.min
# The longest day moves by seconds from year to year; a target that did would shorten light.
_YEAR_OF_THE_LONGEST_DAY = 2026


@dataclass(frozen=True, slots=True, kw_only=True)
class Apart:
    """A flock for which the light of the house is too long: to be kept apart until that day.

    `too_young` under sixteen weeks, else it comes from shorter days; `until` None: not known.
    """

    name: str
    too_young: bool
    until: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp:
    """The lamp on one morning: on, off (aware UTC), and the hours of light with the day in all."""

    on: datetime
    off: datetime
    hours: float
    target_hours: float
    apart: tuple[Apart, ...] = ()


def has_programme(coop: Coop) -> bool:
    """Whether the keeper has chosen a light programme for the coop."""
    return coop.light is not None and coop.light.programme


def keeps_feed_and_water_inside(coop: Coop) -> bool:
    """Whether birds that are awake before the let-out can eat and drink."""
    return any(d.inside for d in coop.drinker) and any(f.inside for f in coop.feeder)


def longest_day(sky: Sky) -> timedelta:
    """The day length of the longest day at the site, the same in every year."""
    return max(sky.daylight(date(_YEAR_OF_THE_LONGEST_DAY, month, 21)) for month in (6, 12))


def lamp_on(
    coop: Coop, flocks: tuple[Flock, ...], sky: Sky, day: date, records: Records = NO_RECORDS
) -> Lamp | None:
    """The lamp on that morning, or None without a programme, without a layer or without need."""
    if coop.light is None or not coop.light.programme:
        return None
    began = _began(coop.light, flocks)
    if began > day:
        return None
    target = target_hours(longest_day(sky))
    hours = _held_hours(sky, began, day, target)
    lit = lamp(_sun(sky, day, "morning"), _sun(sky, day, "evening"), hours)
    if lit is None:
        return None
    return Lamp(
        on=lit.on,
        off=lit.off,
        hours=hours,
        target_hours=target,
        apart=tuple(_apart(flocks, sky, began, day, target, records)),
    )


def too_long_until(coop: Coop, others: tuple[Flock, ...], new: Newcomer, sky: Sky) -> date | None:
    """Until when the light of the others' coop is too long for a newcomer on that day."""
    lit = lamp_on(coop, others, sky, new.day, new.records)
    if lit is None or coop.light is None:
        return None
    began = _began(coop.light, others)
    apart = _apart(new.house, sky, began, new.day, lit.target_hours, new.records)
    return next((one.until for one in apart if one.name == new.flock.name), None)


def _began(light: CoopLight, flocks: tuple[Flock, ...]) -> date:
    grown = [came for flock in flocks if (came := _layers_since(flock)) is not None]
    return max(min(grown, default=date.max), light.first or _EVER)


def light_on(coop: Coop, flocks: tuple[Flock, ...], sky: Sky, day: date) -> timedelta:
    """How long the birds of the coop have light on that day: the day, or what the lamp makes it."""
    lit = lamp_on(coop, flocks, sky, day)
    return max(sky.daylight(day), lit.hours * _HOUR if lit else timedelta())


def _layers_since(flock: Flock) -> date | None:
    """From which day the house has had a layer of that flock; None where its age is not known."""
    came = flock.arrived or _EVER
    if flock.hens and flock.young:  # the hatch date is that of the young
        return came
    if not flock.hens and not flock.young:
        return None
    if flock.hatched:
        return max(came, flock.hatched + NOT_BEFORE_WEEKS * _WEEK)
    grown = flock.age == "adult" or (flock.age is None and flock.hens)
    return came if grown else None


def _held_hours(sky: Sky, began: date, day: date, target: float) -> float:
    """From the natural day of the week in which it began up by an hour a week, then the target."""
    weeks = (day - began).days // 7
    if STEP_HOURS_A_WEEK * (weeks + 1) >= target:
        return target
    natural = min(sky.daylight(began - days * _DAY) for days in range(8)) / _HOUR
    return stepped_hours(natural, weeks, target)


def _sun(sky: Sky, day: date, half: Half) -> datetime:
    """Sunrise or sunset; the height of noon where the sun stays down, else the end of the day."""
    crossing = sky.crossing(day, half, SUNSET_DEG)
    if isinstance(crossing, At):
        return crossing.instant
    if crossing == Never("below"):
        return sky.transit(day)
    return sky.morning(day).start if half == "morning" else sky.evening(day).end


def _apart(  # noqa: PLR0913, PLR0917 - as lamp_on, and the light it found
    flocks: tuple[Flock, ...], sky: Sky, began: date, day: date, target: float, records: Records
) -> Iterator[Apart]:
    """Who came after the light began, and is not yet used to it by steps of its own."""
    for flock in flocks:
        if not (flock.hens or flock.young):
            continue
        weeks = weeks_old(flock, day)
        of_age = _layers_since(flock)
        if flock.young and flock.hens and flock.hatched:
            of_age = flock.hatched + NOT_BEFORE_WEEKS * _WEEK
        too_young = weeks is not None and weeks < NOT_BEFORE_WEEKS
        if too_young and (of_age is None or of_age > day):
            yield Apart(name=flock.name, too_young=True, until=of_age)
        elif of_age is not None and of_age > began and flock.arrived and flock.arrived > began:
            # In quarantine they are in a house of their own: by natural days, if nobody lights it.
            apart_until = Newcomer(flock, flocks, records, day).quarantine_ends
            joins = max(of_age, apart_until or of_age)
            missing = target - sky.daylight(joins) / _HOUR
            steps = max(ceil(missing / STEP_HOURS_A_WEEK) - 1, 0)
            until = joins + steps * _WEEK
            if steps and day < until:
                yield Apart(name=flock.name, too_young=False, until=until)
