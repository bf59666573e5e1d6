"""Of which days a plan reads what was decided of the weather."""

from datetime import date, timedelta

from scheduler.cares.done_and_waiting import LOOKED_BACK_DAYS
from scheduler.cares.records import Spell

_BACK = timedelta(days=LOOKED_BACK_DAYS)
_AHEAD = timedelta(days=10)  # further ahead nothing is decided
_DAY = timedelta(days=1)


def over(first: date, last: date) -> Spell:
    """The days from `first` to `last`, the day before them and the day after."""
    return Spell(first=first - _DAY, last=last + _DAY)


def around(today: date) -> Spell:
    """Whatever is asked of a plan that begins today, and of the days whose jobs may still wait."""
    return over(today - _BACK, today + _AHEAD)
