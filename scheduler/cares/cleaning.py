"""When in the year a house is cleaned: out of frost, never twice within five weeks.

The deep clean comes as nights warm past 3 °C, and where they never cross it, fifteen weeks after
the shortest day. The other changes of all bedding share out the rest of the year.
"""

from bisect import bisect_left
from collections.abc import Iterable
from functools import lru_cache
from itertools import combinations
from math import inf, nextafter

from scheduler.climate.chance import DUE_FROM, FROST, STEPS, chances
from scheduler.climate.curve import TROPICAL_YEAR_DAYS, Averages
from scheduler.climate.wave import passings

# So that a month lies between them, whatever the weekday, and more than five weeks beside the deep
# clean.
_APART_STEPS, _FROM_DEEP_STEPS = 36, 43
_WEEK_STEPS = 7  # it is done on the weekly day that follows
NIGHTS_WARM_C = 3.0
_SPRING = 105 / TROPICAL_YEAR_DAYS  # of the northern year: fifteen weeks after the shortest day


@lru_cache(maxsize=64)
def cleanings(averages: Averages, times: int) -> tuple[float, ...]:
    """Shares of the year of `times` cleanings at most and two at least, the deep clean first.

    The deep clean waits for the frost to end, the others come before it begins.
    """
    limit = _limit(averages)
    dry = [worst < limit for worst in _worst(averages)]
    spring = (_SPRING + (0.5 if averages.southern else 0.0)) % 1.0
    warm = next(iter(passings(averages.low, NIGHTS_WARM_C, rising=True)), spring)
    deep = _with_room(dry, _next_dry(dry, int(warm * STEPS), 1))
    kept = [deep]
    for number in range(1, times):
        step = _next_dry(dry, int(deep + number * STEPS / times) % STEPS, -1)
        if _apart(step, deep) >= _FROM_DEEP_STEPS and all(
            _apart(step, other) >= _APART_STEPS for other in kept
        ):
            kept.append(step)
    if len(kept) == 1:
        kept.append(
            max((step for step in range(STEPS) if dry[step]), key=lambda s: _apart(s, deep))
        )
    return tuple(step / STEPS for step in kept)


def is_frosty(averages: Averages, step: int) -> bool:
    """Whether frost is likely then: 20 %, or what leaves a dry season."""
    return chances(averages, FROST)[step] >= _limit(averages)


@lru_cache(maxsize=64)
def _limit(averages: Averages) -> float:
    """The chance below which two cleanings find room: 20 %, or that of the mildest weeks."""
    worst = _worst(averages)
    if _has_room(step for step in range(STEPS) if worst[step] < DUE_FROM):
        return DUE_FROM
    by_chance = sorted(range(STEPS), key=worst.__getitem__)
    enough = bisect_left(range(STEPS), True, key=lambda n: _has_room(by_chance[: n + 1]))
    return nextafter(worst[by_chance[enough]], inf)


def _has_room(steps: Iterable[int]) -> bool:
    """Whether there is room for a deep clean and another among the steps."""
    return any(_apart(one, other) >= _FROM_DEEP_STEPS for one, other in combinations(steps, 2))


@lru_cache(maxsize=64)
def _worst(averages: Averages) -> tuple[float, ...]:
    """By step the highest chance of frost until the weekly day that follows."""
    by_step = chances(averages, FROST)
    twice = (*by_step, *by_step)
    return tuple(max(twice[step : step + _WEEK_STEPS + 1]) for step in range(STEPS))


def _with_room(dry: list[bool], step: int) -> int:
    """The dry step nearest to that one which leaves room for another cleaning."""
    steps = [one for one in range(STEPS) if dry[one]]
    by_distance = sorted(steps, key=lambda one: _apart(one, step))
    return next(
        one for one in by_distance if any(_apart(one, other) >= _FROM_DEEP_STEPS for other in steps)
    )


def _next_dry(dry: list[bool], step: int, way: int) -> int:
    while not dry[step % STEPS]:
        step += way
    return step % STEPS


def _apart(one: int, other: int) -> int:
    apart = abs(one - other)
    return min(apart, STEPS - apart)
