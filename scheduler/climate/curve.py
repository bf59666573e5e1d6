"""The year's averages at a site as curves one can ask on any date.

A curve is a mean and up to two yearly waves: enough for monthly averages to within about a degree,
smooth, and the same in every year.
"""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from functools import lru_cache
from math import cos, pi, sin

from scheduler.profile.values import Profile

TROPICAL_YEAR_DAYS = 365.2422
HALF_YEAR = timedelta(weeks=26)
_EPOCH = date(2000, 1, 1).toordinal()
# Rough shape of a site nobody has described. From memory, no source: sea-level mean of 27 °C at
# the equator and 32 °C less at the poles, seasons of 0.2 °C a degree of latitude, days 10 °C
# warmer than nights, the coldest time four weeks after the shortest day.
_EQUATOR_MEAN_C = 27.0
_POLE_DROP_C = 32.0
_SWING_C_PER_DEG = 0.2
_LARGEST_SWING_C = 14.0
_HALF_DAILY_RANGE_C = 5.0
_USUAL_HUMIDITY = 0.8  # common practice, no source
_COLDEST_SHARE_OF_YEAR = 0.05
_LAPSE_C_PER_M = 0.0065  # International Standard Atmosphere


@dataclass(frozen=True, slots=True)
class Wave:
    """A yearly course: its mean, and cosine and sine parts of one and two cycles a year."""

    mean: float
    yearly: tuple[float, float] = (0.0, 0.0)
    half_yearly: tuple[float, float] = (0.0, 0.0)

    def at(self, share_of_year: float) -> float:
        """The value at that share of the year, counted from 1 January."""
        angle = 2 * pi * share_of_year
        value = self.mean + self.yearly[0] * cos(angle) + self.yearly[1] * sin(angle)
        return value + self.half_yearly[0] * cos(2 * angle) + self.half_yearly[1] * sin(2 * angle)


@dataclass(frozen=True, slots=True)
class Averages:
    """Average night low, day high and humidity over the year; `estimated` when nobody gave them."""

    low: Wave
    high: Wave
    humidity: Wave | None
    estimated: bool
    southern: bool = False

    def low_c(self, day: date) -> float:
        """The average night low on that date."""
        return self.low.at(self.share_of_year(day))

    def high_c(self, day: date) -> float:
        """The average day high on that date."""
        return self.high.at(self.share_of_year(day))

    def humidity_at(self, share: float) -> float:
        """The average humidity, from 0 to 1, at that share of the year; 0.8 where not given."""
        return self.humidity.at(share) / 100 if self.humidity else _USUAL_HUMIDITY

    def share_of_year(self, day: date) -> float:
        """How far the sun's year has gone on `day`, from 0 on 1 January to just under 1.

        In the south it is taken half a year off the north's, so that mirrored climates agree to
        the day; that moves it by 0.6 days at most.
        """
        if self.southern:
            return (_northern_share(day - HALF_YEAR) + 0.5) % 1.0
        return _northern_share(day)


def hottest_high_c(at: Averages) -> float:
    """The highest average day high of the year."""
    return max(at.high.at(day / 365) for day in range(365))


def _northern_share(day: date) -> float:
    return (day.toordinal() - _EPOCH) / TROPICAL_YEAR_DAYS % 1.0


def averages(profile: Profile) -> Averages:
    """The site's averages as declared, or estimated from latitude and elevation."""
    given = profile.climate
    latitude_deg = profile.site.latitude_deg
    humidity = _from_months(given.humidity_percent) if given and given.humidity_percent else None
    if given and given.lows_c and given.highs_c:
        low, high = _from_months(given.lows_c), _from_months(given.highs_c)
        return Averages(low, high, humidity, estimated=False, southern=latitude_deg < 0)
    if given and given.coldest_month_low_c is not None and given.warmest_month_high_c is not None:
        coldest_c, warmest_c = given.coldest_month_low_c, given.warmest_month_high_c
        half_range_c = min(_HALF_DAILY_RANGE_C, (warmest_c - coldest_c) / 4)
        swing_c = (warmest_c - coldest_c) / 2 - half_range_c
        mean_c = (warmest_c + coldest_c) / 2
        estimated = False
    else:
        mean_c = _EQUATOR_MEAN_C - _POLE_DROP_C * sin(latitude_deg * pi / 180) ** 2
        mean_c -= _LAPSE_C_PER_M * profile.site.elevation_m
        swing_c = min(_SWING_C_PER_DEG * abs(latitude_deg), _LARGEST_SWING_C)
        half_range_c = _HALF_DAILY_RANGE_C
        estimated = True
    coldest = _COLDEST_SHARE_OF_YEAR + (0.5 if latitude_deg < 0 else 0.0)
    parts = (-swing_c * cos(2 * pi * coldest), -swing_c * sin(2 * pi * coldest))
    low, high = Wave(mean_c - half_range_c, parts), Wave(mean_c + half_range_c, parts)
    return Averages(low, high, humidity, estimated, southern=latitude_deg < 0)


def _from_months(values: Sequence[float]) -> Wave:
    """The least-squares waves through twelve mid-month values."""
    count = len(values)

    def part(cycles: int, wave: Callable[[float], float]) -> float:
        angles = (2 * pi * cycles * (month + 0.5) / count for month in range(count))
        return 2 / count * sum(v * wave(a) for v, a in zip(values, angles, strict=True))

    return Wave(sum(values) / count, (part(1, cos), part(1, sin)), (part(2, cos), part(2, sin)))


@lru_cache(maxsize=256)
def passings(
    wave: Wave, value: float, *, rising: bool, hysteresis: float = 2.0
) -> tuple[float, ...]:
    """The shares of the year at which the wave passes the value in that direction.

    It counts again only after the curve has been `hysteresis` back on the other side.
    """
    sign = 1.0 if rising else -1.0
    steps = 732  # half days; two years, so that the second starts in the right state
    armed, found = False, []
    for step in range(2 * steps):
        share = step / steps
        above = sign * (wave.at(share) - value)
        if above < -hysteresis:
            armed = True
        elif above >= 0 and armed:
            armed = False
            if step >= steps:
                found.append(share - 1)
    return tuple(found)
