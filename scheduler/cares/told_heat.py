"""How hot a day is to be reckoned: as told, as decided, or else as usual."""

from datetime import date

from scheduler.cares.records import Records, Report
from scheduler.climate.curve import Averages

# All common practice, no source.
ORDINARY_HEAT_C = 30.0  # heat told without a figure
_UNUSED_TO_HEAT_C, _UNUSED_DAYS = 2.0, 3


def felt_c(heat: Report, day: date) -> float:
    """What told heat counts as on that day, in °C: more while the birds are not used to it."""
    unused = (day - heat.spell.first).days < _UNUSED_DAYS
    told_c = ORDINARY_HEAT_C if heat.air_c is None else heat.air_c
    return told_c + (_UNUSED_TO_HEAT_C if unused else 0.0)


def felt_most_c(averages: Averages, records: Records, day: date) -> float:
    """What the hottest of that day counts as, in °C: told, decided, or else usual."""
    return max(
        [high_c(averages, records, day), *(felt_c(one, day) for one in records.of("heat", day))]
    )


def high_c(averages: Averages, records: Records, day: date) -> float:
    """The high of that day in °C as decided or else as is usual, whatever was told of it."""
    decided = records.weather_on(day)
    return decided.weather.high_c.value if decided else averages.high_c(day)
