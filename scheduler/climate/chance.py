"""The chance, by date, that a night is as cold or a day as hot as something waits for.

Single nights and days stray from the average like a normal distribution. Against counts in the
United Kingdom, the United States, Australia and CLIMAT such chances are good to about ten points.
"""

from collections.abc import Sequence
from datetime import date, timedelta
from functools import lru_cache
from itertools import accumulate
from math import erf, sqrt
from typing import Literal, NamedTuple

from scheduler.climate.curve import Averages

# Due at 20 %: in US daily records 92 % of frosts are then looked for and 31 % of looks find none.
DUE_FROM, DUE_UNTIL = 0.20, 0.10
STEPS = 366
_MeanAndSd = tuple[float, float]
_DAY = timedelta(days=1)
# Cold nights come together; fitted on the first frosts at 126 US stations, not checked elsewhere.
_TOGETHER = 0.6
_NORTHERN_SUMMER, _SOUTHERN_SUMMER = (8, 1), (2, 1)
_YEAR_DAYS = 365


class Extreme(NamedTuple):
    """A night (`low`) as cold as `at_c`, a day (`high`) as hot, or one as cold (`high below`)."""

    of: Literal["low", "high", "high below"]
    at_c: float


FROST = Extreme("low", 0.0)


class FrostDate(NamedTuple):
    """A date in half of all years, and in one of ten."""

    usual: date
    one_in_ten: date


def below(value: float, mean: float, sd: float) -> float:
    """The chance of that value or less where values stray by `sd` from `mean`; 0 or 1 at no sd."""
    if sd <= 0:
        return 1.0 if value >= mean else 0.0
    return (1 + erf((value - mean) / sd / sqrt(2))) / 2


def chance(averages: Averages, extreme: Extreme, share: float) -> float:
    """The chance of it on one night or day at that share of the year."""
    low = averages.low.at(share), averages.low_sd_at(share)
    high = averages.high.at(share), averages.high_sd_at(share)
    return _chance(extreme, low, high)


def chance_at(averages: Averages, extreme: Extreme, step: int) -> float:
    """The same at one of the 366 steps of the year."""
    lows, highs = _courses(averages)
    return _chance(extreme, lows[step], highs[step])


def _chance(extreme: Extreme, low: _MeanAndSd, high: _MeanAndSd) -> float:
    if extreme.of == "low":
        return below(extreme.at_c, *low)
    colder = below(extreme.at_c, *high)
    return colder if extreme.of == "high below" else 1 - colder


@lru_cache(maxsize=64)
def _courses(averages: Averages) -> tuple[tuple[_MeanAndSd, ...], tuple[_MeanAndSd, ...]]:
    """Lows and highs at each step; every sign of frost and heat asks for them."""
    shares = [step / STEPS for step in range(STEPS)]
    lows = tuple((averages.low.at(share), averages.low_sd_at(share)) for share in shares)
    highs = tuple((averages.high.at(share), averages.high_sd_at(share)) for share in shares)
    return lows, highs


@lru_cache(maxsize=256)
def chances(averages: Averages, extreme: Extreme) -> tuple[float, ...]:
    """The chance of it at each of 366 steps of the year."""
    return tuple(chance_at(averages, extreme, step) for step in range(STEPS))


@lru_cache(maxsize=256)
def due_steps(averages: Averages, extreme: Extreme) -> tuple[bool, ...]:
    """At which steps it is to be reckoned with: from a chance of 20 % until one below 10 %."""
    return held(chances(averages, extreme))


def held(by_step: Sequence[float]) -> tuple[bool, ...]:
    """At which steps of a circle one holds that begins at 20 % and ends below 10 %."""
    now = [False]
    for value in [*by_step, *by_step]:  # twice round, so that the second begins as it ends
        now.append(value >= DUE_FROM or (now[-1] and value >= DUE_UNTIL))
    return tuple(now[-len(by_step) :])


def is_due(averages: Averages, extreme: Extreme, day: date) -> bool:
    """Whether it is to be reckoned with on that date."""
    return due_steps(averages, extreme)[step_of(averages, day)]


def step_of(averages: Averages, day: date) -> int:
    """The step of the year, of 366, that the date lies in."""
    return int(averages.share_of_year(day) * STEPS)


@lru_cache(maxsize=256)
def turns(averages: Averages, extreme: Extreme, *, begins: bool) -> tuple[float, ...]:
    """The shares of the year at which it begins, or ends, to be reckoned with."""
    due = due_steps(averages, extreme)
    return tuple(
        step / STEPS for step in range(STEPS) if due[step] == begins and due[step - 1] != begins
    )


def nights_a_year(averages: Averages, extreme: Extreme) -> float:
    """On how many nights or days of an average year it comes."""
    return sum(chances(averages, extreme)) * _YEAR_DAYS / STEPS


def first_frost(averages: Averages, year: int) -> FrostDate | None:
    """The first frost of the cold half that begins in the summer of `year`; None: rarely any.

    In the south that half begins in February.
    """
    start = date(year, *(_SOUTHERN_SUMMER if averages.southern else _NORTHERN_SUMMER))
    days = [start + n * _DAY for n in range(_YEAR_DAYS)]
    found = [_reached(averages, days, none_by) for none_by in (0.5, 0.9)]
    return FrostDate(found[0], found[1]) if found[0] and found[1] else None


def last_frost(averages: Averages, year: int) -> FrostDate | None:
    """The last frost before the summer of `year`; one year in ten it is after `one_in_ten`."""
    end = date(year, *(_SOUTHERN_SUMMER if averages.southern else _NORTHERN_SUMMER))
    days = [end - n * _DAY for n in range(_YEAR_DAYS)]
    found = [_reached(averages, days, none_by) for none_by in (0.5, 0.9)]
    return FrostDate(found[0], found[1]) if found[0] and found[1] else None


def _reached(averages: Averages, days: Sequence[date], none_by: float) -> date | None:
    """The first of the days by which the chance that none has come falls to `none_by`."""
    by_step = chances(averages, FROST)
    still_none = accumulate(
        ((1 - by_step[step_of(averages, day)]) ** _TOGETHER for day in days), float.__mul__
    )
    return next((day for day, none in zip(days, still_none, strict=True) if none <= none_by), None)
