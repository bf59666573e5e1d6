"""What is said of a lamp: how long it burns, and who is kept apart from it."""

from scheduler.cares.lamp import Apart, Lamp
from scheduler.husbandry.lighting import NOT_BEFORE_WEEKS
from scheduler.wording.cares.day_of_house import LampWords
from scheduler.wording.spoken import day_and_month


def why_lamp(lamp: Lamp) -> str:
    """What to do with the lamp, and who is to be kept apart from its light."""
    said = LampWords.keep_on()
    if lamp.hours < lamp.target_hours:
        said = LampWords.longer_weekly(hours=f"{lamp.hours:.1f}", target=f"{lamp.target_hours:.0f}")
    return " ".join([said, *map(_kept_apart, lamp.apart)])


def _kept_apart(flock: Apart) -> str:
    if flock.too_young:
        said = LampWords.young_apart_until if flock.until else LampWords.young_apart
    else:
        said = LampWords.from_short_days_until if flock.until else LampWords.from_short_days
    until = day_and_month(flock.until) if flock.until else ""
    return said(flock=flock.name, weeks=NOT_BEFORE_WEEKS, day=until)
