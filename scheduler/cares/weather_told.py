"""Whether it is as cold or as hot as a care waits for: by what was told, decided, or is usual."""

from collections.abc import Collection
from datetime import date

from scheduler.cares.decided import DecidedDay
from scheduler.cares.records import Report
from scheduler.cares.told_heat import ORDINARY_HEAT_C, felt_c
from scheduler.cares.triggers import WeatherSign
from scheduler.cares.weather_signs import is_usual, key_of, limit_c
from scheduler.climate.curve import Averages


def shows(  # noqa: PLR0913, PLR0917 - the weather of a day in parts
    sign: WeatherSign,
    told: Collection[Report],
    decided: DecidedDay | None,
    averages: Averages,
    day: date,
    usual_counts: bool,
) -> bool:
    """Whether it holds: the worst of what was told and what was decided, or else is usual."""
    if any(says(one, sign, averages, day) for one in told):
        return True
    if decided and (key_of(sign) in decided.signs or key_of(sign) in decided.stood):
        return True
    # What comes only so often is a standing look at what the year asks for.
    is_known = decided is not None and not sign.usual_days
    return usual_counts and not is_known and is_usual(sign, averages, day)


def says(one: Report, sign: WeatherSign, averages: Averages, day: date) -> bool:
    """Whether the report makes the sign hold on that day."""
    if sign.sign == "frost":
        return (one.air_c or 0.0) <= sign.at
    if one.forecast and sign.emergency:  # it may be by damp, which its degrees do not say
        return one.rings
    if one.forecast:
        return felt_c(one, day) >= limit_c(sign, averages, day)
    if one.air_c is None and not sign.emergency and sign.at <= ORDINARY_HEAT_C:
        return True
    return felt_c(one, day) >= limit_c(sign, averages, day)
