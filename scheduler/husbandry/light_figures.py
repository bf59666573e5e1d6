"""The figures of the day's length and of a lamp."""

from collections.abc import Iterator
from datetime import date, timedelta

from scheduler.husbandry.age import lays, weeks_old
from scheduler.husbandry.figure import LUX, MORRIS, SUNRISE_TO_SUNSET, Figure
from scheduler.husbandry.lighting import LUX_LEAST, LUX_MOST, NOT_BEFORE_WEEKS
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.wording.husbandry.light import DayLength, LampFigures
from scheduler.wording.spoken import day_month_year


def lamp(coop: Coop) -> Iterator[Figure]:
    """The light of the lamp against what layers are given."""
    lux = coop.light.lux if coop.light else None
    if lux is None:
        return
    note = LampFigures.usual
    if lux < LUX_LEAST:
        note = LampFigures.dim
    elif lux > LUX_MOST:
        note = LampFigures.bright
    yield Figure(
        key="lamp-lux", label=LampFigures.label(), value=float(lux), unit="lux", source=LUX,
        inputs=(LampFigures.where(),), note=note(least=LUX_LEAST, most=LUX_MOST),
    )  # fmt: skip


def may_be_lit(flock: Flock, day: date) -> bool:
    weeks = weeks_old(flock, day)
    return lays(flock, day) or (weeks is not None and weeks >= NOT_BEFORE_WEEKS)


def day_length(coop: Coop, at: Day, of_age: bool) -> Iterator[Figure]:
    yield Figure(
        key="daylight", label=DayLength.label(), value=at.daylight / timedelta(hours=1), unit="h",
        source=SUNRISE_TO_SUNSET,
    )  # fmt: skip
    chosen = coop.light is not None and coop.light.programme
    label = DayLength.programme if chosen else DayLength.programme_if_chosen
    too_young = DayLength.too_young(weeks=NOT_BEFORE_WEEKS)
    yield Figure(
        key="light-hours", label=label(), value=at.light_hours, unit="h", source=MORRIS,
        note=_choice(at.lamp_season, chosen) if of_age else too_young,
    )  # fmt: skip


def _choice(short_days: tuple[date, date] | None, chosen: bool) -> str:
    """When the days are short, and that nobody has to light them."""
    if not short_days:
        return "" if chosen else DayLength.no_lamp()
    first, last = map(day_month_year, short_days)
    told = DayLength.short_days if chosen else DayLength.short_days_no_lamp
    return told(first=first, last=last)
