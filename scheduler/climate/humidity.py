"""How damp the air outside is at the night's low and at the day's high, from the day's average.

Vapour pressure stays nearly the same from night to day, so that of the day's mean temperature and
humidity is taken for both (from memory; against 3 p.m. in Australia 5 points too dry, ±8).
"""

from datetime import date
from math import exp

from scheduler.climate.curve import Averages


def humidity_at_low(averages: Averages, day: date) -> float:
    """The humidity, from 0 to 1, at the low of the average night on that date."""
    return night_humidity(averages, averages.share_of_year(day))


def humidity_at_high(averages: Averages, day: date) -> float:
    """The humidity, from 0 to 1, at the high of the average day on that date."""
    return day_humidity(averages, averages.share_of_year(day))


def night_humidity(averages: Averages, share: float) -> float:
    """The humidity, from 0 to 1, at the average night's low at that share of the year."""
    return _humidity(averages, share, averages.low.at(share))


def day_humidity(averages: Averages, share: float) -> float:
    """The humidity, from 0 to 1, at the average day's high at that share of the year."""
    return _humidity(averages, share, averages.high.at(share))


def saturation_hpa(air_c: float) -> float:
    """Vapour pressure of saturated air, over water (Alduchov & Eskridge 1996, from memory)."""
    return 6.1094 * exp(17.625 * air_c / (air_c + 243.04))


def _humidity(averages: Averages, share: float, air_c: float) -> float:
    mean_c = (averages.low.at(share) + averages.high.at(share)) / 2
    vapour_hpa = max(averages.humidity_at(share), 0.0) * saturation_hpa(mean_c)
    return min(1.0, vapour_hpa / saturation_hpa(air_c))
