"""What is told of a place's climate: where it is from, frost ahead, frost dates, standing heat."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.records import Records
from scheduler.cares.triggers import WeatherSign
from scheduler.cares.weather_signs import is_ordinary, ordinary_steps
from scheduler.climate.chance import (
    DUE_FROM,
    FROST,
    FrostDate,
    below,
    chance,
    first_frost,
    last_frost,
    step_of,
)
from scheduler.climate.curve import Averages
from scheduler.profile.quantity import reckoned, write
from scheduler.profile.units import Region, Units
from scheduler.profile.words import words
from scheduler.wording.cares.climate import FrostAhead, FrostDates, StandingHeat
from scheduler.wording.cares.tasks import TaskWords
from scheduler.wording.spoken import day_and_month

_DAY = timedelta(days=1)


def source_words(averages: Averages, units: Units) -> str:
    """Where temperatures that nobody gave are from, as a sentence; empty for a keeper's own."""
    if averages.source == "as given":
        return ""
    if averages.source == "from the climate map":
        return TaskWords.mapped(off=map_off(averages, units))
    return TaskWords.estimated()


def map_off(averages: Averages, units: Units) -> str:
    """By how much the climate map may be off there."""
    off_c = averages.said_off_c
    return write(reckoned(off_c, "°C rise", 0 if off_c.is_integer() else 1), units)


def frost_ahead(averages: Averages, records: Records, days: Sequence[date]) -> str:
    """On how many of these nights frost is likely, as decided or else as usual; empty: on none."""
    nights = sum(_frost_chance(averages, records, day) >= DUE_FROM for day in days)
    return FrostAhead.nights(nights=nights, days=len(days)) if nights else ""


def _frost_chance(averages: Averages, records: Records, day: date) -> float:
    if decided := records.weather_on(day):
        low = decided.weather.low_c
        return below(FROST.at_c, low.value, low.sd)
    return chance(averages, FROST, averages.share_of_year(day))


def year_lines(
    averages: Averages, catalogue: Catalogue, region: Region, first: date, last: date
) -> tuple[str, ...]:
    """The last and first frost between the dates in their order, and heat that is the rule."""
    found = [*_frosts(averages, first, last)]
    return (
        *(said for _, said in sorted(found)),
        *((said,) if (said := _standing_heat(averages, catalogue, region, first)) else ()),
    )


def _frosts(averages: Averages, first: date, last: date) -> Iterable[tuple[date, str]]:
    for year in range(first.year - 1, last.year + 2):
        begins, ends = first_frost(averages, year), last_frost(averages, year)
        if begins and first <= begins.usual <= last:
            yield begins.usual, _said(begins, begins=True)
        if ends and first <= ends.usual <= last:
            yield ends.usual, _said(ends, begins=False)


def _said(frost: FrostDate, *, begins: bool) -> str:
    usual, rare = day_and_month(frost.usual), day_and_month(frost.one_in_ten)
    if begins:
        return FrostDates.first(usual=usual, early=rare)
    return FrostDates.last(usual=usual, late=rare)


def _standing_heat(averages: Averages, catalogue: Catalogue, region: Region, first: date) -> str:
    signs = [care.due for care in catalogue if isinstance(care.due, WeatherSign)]
    daily = (one for one in signs if not one.emergency and not one.usual_days)
    sign = next((one for one in daily if is_ordinary(one, averages)), None)
    if sign is None:
        return ""
    drinkers = words(region)["drinkers"]
    steps = ordinary_steps(sign, averages)
    days = [first + n * _DAY for n in range(365)]
    hot = [steps[step_of(averages, day)] for day in days]
    if all(hot):
        return StandingHeat.all_year(drinkers=drinkers)
    begins = next(
        day
        for day, before, now in zip(days, [hot[-1], *hot], hot, strict=False)
        if now and not before
    )
    ends = next(
        day
        for day, now, after in zip(days, hot, [*hot[1:], hot[0]], strict=True)
        if now and not after
    )
    return StandingHeat.season(
        first=day_and_month(begins), last=day_and_month(ends), drinkers=drinkers
    )
