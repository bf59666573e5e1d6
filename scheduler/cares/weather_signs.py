"""Which signs of frost and heat hold on a day: by what is usual there, or by what was decided.

A sign holds from a chance of 20 % on, until one below 10 %. Where heat is the rule, its jobs are a
standing arrangement, and a sign holds only beyond what is usual.
"""

from collections.abc import Iterable
from datetime import date, timedelta
from functools import lru_cache

from scheduler.cares.hot_day import index_f
from scheduler.cares.triggers import WeatherSign
from scheduler.climate.chance import (
    DUE_FROM,
    DUE_UNTIL,
    STEPS,
    Extreme,
    below,
    chance_at,
    held,
    step_of,
)
from scheduler.climate.curve import Averages
from scheduler.climate.weather import Weather

# All common practice, no source.
_IS_THE_RULE_DAYS, _IS_THE_RULE_FROM = 90, 0.5
_ABOVE_ORDINARY_C, HEAT_ANYWHERE_C = 5.0, 40.0
_COLDEST_HEAT_C = 15.0  # below it no air is a heat stress, however damp
_HALVINGS = 12
_WEEK = 7  # the damp of the year changes slowly
_SAMPLE = date(2028, 1, 1)  # a year that has a date for each step
_DAY = timedelta(days=1)
EMERGENCY = "emergency"


def key_of(sign: WeatherSign) -> str:
    """By what a decision knows the sign: cares that wait for the same share it."""
    index = "" if sign.index is None else f"{sign.index:g}"
    parts = (sign.sign, sign.of, f"{sign.at:g}", index, EMERGENCY if sign.emergency else "")
    return ":".join(parts).rstrip(":")


def limit_c(sign: WeatherSign, averages: Averages, day: date) -> float:
    """From which temperature on it holds: with the damp of the place, beyond what is the rule."""
    return _limits(sign, averages)[step_of(averages, day)]


def is_usual(sign: WeatherSign, averages: Averages, day: date) -> bool:
    """Whether it is to be reckoned with on that date as the year goes there; an emergency never."""
    return _usual(sign, averages)[step_of(averages, day)]


def is_ordinary(sign: WeatherSign, averages: Averages) -> bool:
    """Whether such heat is the rule there: on more than ninety days of the year it is the likelier.

    By the chance at which it is to be reckoned with, it would be the rule in Paris.
    """
    return sum(ordinary_steps(sign, averages)) > _IS_THE_RULE_DAYS


@lru_cache(maxsize=128)
def ordinary_steps(sign: WeatherSign, averages: Averages) -> tuple[bool, ...]:
    """At which steps of the year such heat is likelier than not; of frost never."""
    if sign.sign != "heat":
        return (False,) * STEPS
    return tuple(likely >= _IS_THE_RULE_FROM for likely in _chances(sign, averages))


def signs_of(
    signs: Iterable[WeatherSign], averages: Averages, weather: Weather, before: frozenset[str]
) -> frozenset[str]:
    """The keys of those that hold on that day, `before` having held at the last decision.

    An emergency holds where what is expected reaches its limit.
    """
    return frozenset(
        key_of(sign)
        for sign in signs
        if _holds(sign, averages, weather, had=key_of(sign) in before)
    )


def _holds(sign: WeatherSign, averages: Averages, weather: Weather, *, had: bool) -> bool:
    limit = limit_c(sign, averages, weather.day)
    if _is_damp_heat(sign, averages, weather):
        return True
    if sign.emergency:
        return had or weather.high_c.value >= limit
    of = weather.low_c if sign.of == "low" else weather.high_c
    colder = below(limit, of.value, of.sd)
    likely = colder if sign.sign == "frost" else 1 - colder
    return likely >= (DUE_UNTIL if had else DUE_FROM)


def _is_damp_heat(sign: WeatherSign, averages: Averages, weather: Weather) -> bool:
    """Whether an hour's own damp makes its index, where such heat is not the rule."""
    if sign.index is None or weather.index_f is None or weather.index_f.value < sign.index:
        return False
    step = step_of(averages, weather.day)
    return _limits(sign, averages)[step] <= _with_damp(sign, averages)[step]


@lru_cache(maxsize=128)
def _usual(sign: WeatherSign, averages: Averages) -> tuple[bool, ...]:
    if sign.emergency or (is_ordinary(sign, averages) and not sign.usual_days):
        return (False,) * STEPS
    return _by_year(sign, averages)


@lru_cache(maxsize=128)
def _by_year(sign: WeatherSign, averages: Averages) -> tuple[bool, ...]:
    """At which steps of the year it is to be reckoned with, be it the rule or not."""
    return held(_chances(sign, averages))


@lru_cache(maxsize=128)
def _chances(sign: WeatherSign, averages: Averages) -> tuple[float, ...]:
    limits = _with_damp(sign, averages)
    return tuple(_chance(sign, averages, step, limits[step]) for step in range(STEPS))


def _chance(sign: WeatherSign, averages: Averages, step: int, limit: float) -> float:
    if sign.sign == "heat":
        return chance_at(averages, Extreme("high", limit), step)
    return chance_at(averages, Extreme("low" if sign.of == "low" else "high below", limit), step)


@lru_cache(maxsize=128)
def _limits(sign: WeatherSign, averages: Averages) -> tuple[float, ...]:
    limits = _with_damp(sign, averages)
    if sign.emergency:
        return tuple(
            max(limit, min(averages.high.at(step / STEPS) + _ABOVE_ORDINARY_C, HEAT_ANYWHERE_C))
            if likely >= DUE_FROM
            else limit
            for step, (limit, likely) in enumerate(
                zip(limits, _chances(sign, averages), strict=True)
            )
        )
    if not is_ordinary(sign, averages):
        return limits
    return tuple(
        max(limit, averages.high.at(step / STEPS) + averages.high_sd_at(step / STEPS))
        for step, limit in enumerate(limits)
    )


@lru_cache(maxsize=128)
def _with_damp(sign: WeatherSign, averages: Averages) -> tuple[float, ...]:
    """By step: its temperature, or the lower one at which the usual damp makes its index."""
    if sign.index is None:
        return (sign.at,) * STEPS
    weeks = [
        _air_of_index(averages, _SAMPLE + (first + _WEEK // 2) * _DAY, sign.index, sign.at)
        for first in range(0, STEPS, _WEEK)
    ]
    return tuple(weeks[step // _WEEK] for step in range(STEPS))


def _air_of_index(averages: Averages, day: date, index: float, most_c: float) -> float:
    if index_f(averages, day, most_c) < index:
        return most_c
    low_c, high_c = _COLDEST_HEAT_C, most_c
    for _ in range(_HALVINGS):
        middle_c = (low_c + high_c) / 2
        if index_f(averages, day, middle_c) >= index:
            high_c = middle_c
        else:
            low_c = middle_c
    return high_c
