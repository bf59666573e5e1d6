"""How hot a day is for hens: the air and its damp at the hottest hour, as one index."""

from datetime import date

from scheduler.climate.curve import Averages
from scheduler.climate.humidity import humidity_at_high
from scheduler.husbandry.air import Weather
from scheduler.husbandry.heat import heat_index_f, humidity_ratio, relative_humidity


def noon(averages: Averages, day: date) -> Weather:
    """The hottest hour of the average day of that date."""
    return Weather(air_c=averages.high_c(day), humidity=humidity_at_high(averages, day))


def index_f(averages: Averages, day: date, air_c: float) -> float:
    """The heat index of that air on that date: it holds the water that an average noon holds."""
    usual = noon(averages, day)
    if air_c == usual.air_c:
        return heat_index_f(air_c, usual.humidity)
    water = humidity_ratio(usual.air_c, usual.humidity)
    return heat_index_f(air_c, relative_humidity(air_c, water))
