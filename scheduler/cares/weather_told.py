"""Whether it is as cold or as hot as a care waits for, by what was told or by the average."""

from collections.abc import Collection
from datetime import date

from scheduler.cares.hot_day import index_f
from scheduler.cares.records import Report
from scheduler.cares.triggers import WeatherSign
from scheduler.climate.curve import Averages

# All common practice, no source.
_ORDINARY_HEAT_C = 30.0  # heat told without a figure
_UNUSED_TO_HEAT_C, _UNUSED_DAYS = 2.0, 3
_ABOVE_ORDINARY_C, HEAT_ANYWHERE_C = 5.0, 40.0


def shows(  # noqa: PLR0913 - the weather of a day in parts
    sign: WeatherSign,
    told: Collection[Report],
    averages: Averages,
    day: date,
    *,
    warmest_c: float,
    by_average: bool,
) -> bool:
    """Whether any report, or the average, is as cold or as hot: the worst that holds counts.

    `warmest_c` is the year's highest average; `by_average`: on that day the average counts, too.
    """
    average_c = averages.low_c(day) if sign.of == "low" else averages.high_c(day)
    if sign.sign == "frost":
        return any((one.air_c or 0.0) <= sign.at for one in told) or average_c <= sign.at
    limit_c = sign.at
    if sign.emergency and warmest_c >= sign.at:
        limit_c = min(average_c + _ABOVE_ORDINARY_C, HEAT_ANYWHERE_C)

    def is_reached(air_c: float) -> bool:
        return air_c >= limit_c or (
            sign.index is not None and index_f(averages, day, air_c) >= sign.index
        )

    if any(is_reached(felt_c(one, day)) for one in told):
        return True
    return by_average and is_reached(average_c)


def felt_c(heat: Report, day: date) -> float:
    """What told heat counts as on that day, in °C: more while the birds are not used to it."""
    unused = (day - heat.spell.first).days < _UNUSED_DAYS
    told_c = _ORDINARY_HEAT_C if heat.air_c is None else heat.air_c
    return told_c + (_UNUSED_TO_HEAT_C if unused else 0.0)
