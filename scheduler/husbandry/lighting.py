"""A light programme: an equal choice to none, and only with feed and water inside overnight.

Light lengthens short days on the morning side, so that dusk stays natural; it is never shortened
in lay. Lamps and wiring are an electrician's work; dust on a hot lamp burns.
"""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, datetime, timedelta

TARGET_HOURS = 14.0  # Morris 2004: constant 14 h lays as many as a step-up programme
# Michigan State Univ. Extension, in Agri-View 2019, second-hand.
STEP_HOURS_A_WEEK = 1.0
NOT_BEFORE_WEEKS = 16
# Management guides of layer breeders give about this much light in lay (from memory).
LUX_LEAST, LUX_MOST = 10, 30
_AFTER_SUNRISE = timedelta(minutes=15)
AWAKE_NOTE, AWAKE_PROBLEM = timedelta(hours=1), timedelta(hours=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class LampDay:
    """The lamp on one morning: on, off; aware UTC."""

    on: datetime
    off: datetime


def target_hours(longest_day: timedelta) -> float:
    """The smaller of 14 h and the longest day of the site."""
    return min(TARGET_HOURS, longest_day / timedelta(hours=1))


def lamp(sunrise: datetime, sunset: datetime, hours: float) -> LampDay | None:
    """On so that light and day make `hours` until sunset, off a quarter of an hour after sunrise.

    Never off later than sunset; None when the day is long enough by itself.
    """
    on = sunset - timedelta(hours=hours)
    return LampDay(on=on, off=min(sunrise + _AFTER_SUNRISE, sunset)) if on < sunrise else None


def season(
    daylight: Callable[[date], timedelta], year: int, hours: float
) -> tuple[date, date] | None:
    """First and last lamp day of the winter that begins in the sun's year of `year`.

    The day on which daylight falls under the hours, and the day before it is back; None when days
    are never so short.
    """
    day, end = date(year, 1, 1), date(year + 2, 1, 1)
    longest = max(daylight(day + timedelta(days=n)) for n in range(366))
    # Where the target is the longest day itself, a minute less: no two years have the same.
    limit = min(timedelta(hours=hours), longest - timedelta(minutes=1))
    start: date | None = None
    while day < end:
        before, now = daylight(day - timedelta(days=1)), daylight(day)
        if before >= limit > now and start is None:
            start = day
        if before < limit <= now and start is not None:
            return start, day - timedelta(days=1)
        day += timedelta(days=1)
    return None


def stepped_hours(natural_hours: float, weeks_since_start: int, target: float) -> float:
    """The hours to hold: from the natural day up by an hour a week at most, until the target."""
    return min(target, natural_hours + STEP_HOURS_A_WEEK * (weeks_since_start + 1))
