"""The year's averages at a site as curves that one can ask on any date, and how far days stray.

They are the keeper's own, those of the climate map, or, where it has none, a guess from latitude.
"""

from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from math import cos, exp, hypot, log, pi, sin
from typing import Literal, NamedTuple

from scheduler.climate.grid import land_at, year_at
from scheduler.climate.wave import Wave, through_months
from scheduler.profile.site import Climate
from scheduler.profile.values import Profile

TROPICAL_YEAR_DAYS = 365.2422
HALF_YEAR = timedelta(weeks=26)
_EPOCH = date(2000, 1, 1).toordinal()
# Rough shape of a place that is on no map. From memory, no source: sea-level mean of 27 °C at
# the equator and 32 °C less at the poles, seasons of 0.2 °C a degree of latitude, days 10 °C
# warmer than nights, the coldest time four weeks after the shortest day, days that stray by
# 1.5 °C at the equator and 0.06 °C more a degree.
_EQUATOR_MEAN_C = 27.0
_POLE_DROP_C = 32.0
_SWING_C_PER_DEG = 0.2
_LARGEST_SWING_C = 14.0
_HALF_DAILY_RANGE_C = 5.0
_EQUATOR_SD_C, _SD_C_PER_DEG = 1.5, 0.06
_USUAL_HUMIDITY_PERCENT = 80.0  # common practice, no source
_COLDEST_SHARE_OF_YEAR = 0.05
_LAPSE_C_PER_M = 0.0065  # International Standard Atmosphere
_LEAST_HUMIDITY = 0.1


ClimateSource = Literal["as given", "from the climate map", "estimated from latitude"]
_USUAL_LN_SD = Wave(log(4.0))  # of a place that nobody has described


# How far it is said to be off: four places in five are within it, in the mountains within twice it.
_SAID_C, _SAID_IN_MOUNTAINS_C = 1.5, 3.0
_HIGH_M = 1000.0


class _Error(NamedTuple):
    """How far an average itself may be off, in °C."""

    low_c: float
    high_c: float


# Root mean square against 2,845 stations that were left out of the map (CLIMAT 2003-2021), without
# what no average can know; wider where the height is not told; and of the guess from latitude.
_OF_MAP, _OF_MAP_AT_SOME_HEIGHT, _OF_LATITUDE = _Error(1.3, 1.2), _Error(1.7, 1.9), _Error(5.3, 6.2)


@dataclass(frozen=True, slots=True)
class Averages:
    """Average night low, day high and humidity over the year, and the spread of single days.

    `humidity` is the day's mean in percent. `low_ln_sd` and `high_ln_sd` are the logarithms of the
    standard deviation of single nights and days in °C; `low_error_c` and `high_error_c` how far the
    averages may be off, `said_off_c` how far they are said to be. `estimated` when nobody gave
    them, `mapped` when the map did.
    """

    low: Wave
    high: Wave
    humidity: Wave | None
    estimated: bool
    southern: bool = False
    mapped: bool = False
    low_ln_sd: Wave = _USUAL_LN_SD
    high_ln_sd: Wave = _USUAL_LN_SD
    low_error_c: float = 0.0
    high_error_c: float = 0.0
    said_off_c: float = 0.0

    @property
    def source(self) -> ClimateSource:
        """Where the temperatures are from."""
        if not self.estimated:
            return "as given"
        return "from the climate map" if self.mapped else "estimated from latitude"

    def low_c(self, day: date) -> float:
        """The average night low on that date."""
        return self.low.at(self.share_of_year(day))

    def high_c(self, day: date) -> float:
        """The average day high on that date."""
        return self.high.at(self.share_of_year(day))

    def low_sd_at(self, share: float) -> float:
        """By how much a single night strays from what is said, in °C (standard deviation)."""
        return hypot(exp(self.low_ln_sd.at(share)), self.low_error_c)

    def high_sd_at(self, share: float) -> float:
        """By how much a single day strays from what is said, in °C (standard deviation)."""
        return hypot(exp(self.high_ln_sd.at(share)), self.high_error_c)

    def humidity_at(self, share: float) -> float:
        """The day's mean humidity, from 0.1 to 1, at that share of the year; 0.8 if not known."""
        percent = self.humidity.at(share) if self.humidity else _USUAL_HUMIDITY_PERCENT
        return min(max(percent / 100, _LEAST_HUMIDITY), 1.0)

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
    """The site's averages as declared, as the climate map has them, or guessed from latitude."""
    site = profile.site
    return _averages(
        profile.climate,
        site.latitude_deg,
        site.longitude_deg,
        site.elevation_m,
        profile.climate_map,
    )


@lru_cache(maxsize=32)
def _averages(
    given: Climate | None,
    latitude_deg: float,
    longitude_deg: float,
    elevation_m: float | None,
    climate_map: bytes,
) -> Averages:
    usual = _mapped(climate_map, latitude_deg, longitude_deg, elevation_m)
    if usual is None:
        usual = _guessed(latitude_deg, elevation_m or 0.0)
    return _as_given(given, usual) if given else usual


def _mapped(
    climate_map: bytes, latitude_deg: float, longitude_deg: float, elevation_m: float | None
) -> Averages | None:
    found = year_at(climate_map, latitude_deg, longitude_deg, elevation_m)
    if found is None:
        return None
    is_high = _is_high(climate_map, latitude_deg, longitude_deg, elevation_m)
    error = _OF_MAP_AT_SOME_HEIGHT if elevation_m is None else _OF_MAP
    return Averages(
        found.low, found.high, found.humidity.stretched(100.0), estimated=True,
        southern=latitude_deg < 0, mapped=True,
        low_ln_sd=found.low_ln_sd, high_ln_sd=found.high_ln_sd,
        low_error_c=error.low_c, high_error_c=error.high_c,
        said_off_c=_SAID_IN_MOUNTAINS_C if is_high else _SAID_C,
    )  # fmt: skip


def _is_high(
    climate_map: bytes, latitude_deg: float, longitude_deg: float, elevation_m: float | None
) -> bool:
    land = land_at(climate_map, latitude_deg, longitude_deg)
    return (land is not None and land.is_hilly) or (elevation_m or 0.0) > _HIGH_M


def _guessed(latitude_deg: float, elevation_m: float) -> Averages:
    mean_c = _EQUATOR_MEAN_C - _POLE_DROP_C * sin(latitude_deg * pi / 180) ** 2
    mean_c -= _LAPSE_C_PER_M * elevation_m
    swing_c = min(_SWING_C_PER_DEG * abs(latitude_deg), _LARGEST_SWING_C)
    coldest = _COLDEST_SHARE_OF_YEAR + (0.5 if latitude_deg < 0 else 0.0)
    parts = (-swing_c * cos(2 * pi * coldest), -swing_c * sin(2 * pi * coldest))
    ln_sd = Wave(log(_EQUATOR_SD_C + _SD_C_PER_DEG * abs(latitude_deg)))
    return Averages(
        Wave(mean_c - _HALF_DAILY_RANGE_C, parts), Wave(mean_c + _HALF_DAILY_RANGE_C, parts),
        None, estimated=True, southern=latitude_deg < 0, low_ln_sd=ln_sd, high_ln_sd=ln_sd,
        low_error_c=_OF_LATITUDE.low_c, high_error_c=_OF_LATITUDE.high_c,
    )  # fmt: skip


def _as_given(given: Climate, usual: Averages) -> Averages:
    """The keeper's own figures, as far as there are any, in place of what is usual."""
    if given.humidity_percent:
        usual = replace(usual, humidity=through_months(given.humidity_percent))
    if given.lows_c and given.highs_c:
        low, high = through_months(given.lows_c), through_months(given.highs_c)
    elif given.coldest_month_low_c is not None and given.warmest_month_high_c is not None:
        coldest_c, warmest_c = min(usual.low.of_months()), max(usual.high.of_months())
        times = (given.warmest_month_high_c - given.coldest_month_low_c) / (warmest_c - coldest_c)
        raised_c = given.coldest_month_low_c - times * coldest_c
        low = usual.low.stretched(times).raised(raised_c)
        high = usual.high.stretched(times).raised(raised_c)
    else:
        return usual
    return replace(
        usual, low=low, high=high, estimated=False, mapped=False,
        low_error_c=0.0, high_error_c=0.0, said_off_c=0.0,
    )  # fmt: skip
