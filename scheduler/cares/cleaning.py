"""When in the year a house is cleaned: out of frost, never twice within five weeks.

The deep clean comes as nights warm past 3 °C, and where they never cross it, fifteen weeks after
the shortest day. The other changes of all bedding share out the rest of the year.
"""

from functools import lru_cache

from scheduler.climate.chance import DUE_FROM, FROST, STEPS, chances
from scheduler.climate.curve import TROPICAL_YEAR_DAYS, Averages
from scheduler.climate.wave import passings

_APART_STEPS = 36  # so that a month lies between them, whatever the weekday
_WEEK_STEPS = 7  # it is done on the weekly day that follows
NIGHTS_WARM_C = 3.0
_SPRING = 105 / TROPICAL_YEAR_DAYS  # of the northern year: fifteen weeks after the shortest day
_LIMITS = (DUE_FROM, *(n / 10 for n in range(3, 11)))


@lru_cache(maxsize=64)
def cleanings(averages: Averages, times: int) -> tuple[float, ...]:
    """Shares of the year of `times` cleanings at most and two at least, the deep clean first.

    The deep clean waits for the frost to end, the others come before it begins.
    """
    dry = [not is_frosty(averages, step) for step in range(STEPS)]
    spring = (_SPRING + (0.5 if averages.southern else 0.0)) % 1.0
    warm = next(iter(passings(averages.low, NIGHTS_WARM_C, rising=True)), spring)
    deep = _next_dry(dry, int(warm * STEPS), 1)
    kept = [deep]
    for number in range(1, times):
        step = _next_dry(dry, int(deep + number * STEPS / times) % STEPS, -1)
        if all(_apart(step, other) >= _APART_STEPS for other in kept):
            kept.append(step)
    if len(kept) == 1:
        kept.append(
            max((step for step in range(STEPS) if dry[step]), key=lambda s: _apart(s, deep))
        )
    return tuple(step / STEPS for step in kept)


def is_frosty(averages: Averages, step: int) -> bool:
    """Whether frost is likely in the week from that step on: 20 %, or what leaves a dry season."""
    return _worst(averages)[step] >= _limit(averages)


@lru_cache(maxsize=64)
def _limit(averages: Averages) -> float:
    """The least of the chances below which two cleanings a month apart find room."""
    worst = _worst(averages)
    for limit in _LIMITS:
        dry = [step for step in range(STEPS) if worst[step] < limit]
        if dry and any(_apart(step, dry[0]) >= _APART_STEPS for step in dry):
            return limit
    return 2.0  # certain frost all year


@lru_cache(maxsize=64)
def _worst(averages: Averages) -> tuple[float, ...]:
    by_step = chances(averages, FROST)
    twice = (*by_step, *by_step)
    return tuple(max(twice[step : step + _WEEK_STEPS + 1]) for step in range(STEPS))


def _next_dry(dry: list[bool], step: int, way: int) -> int:
    while not dry[step % STEPS]:
        step += way
    return step % STEPS


def _apart(one: int, other: int) -> int:
    apart = abs(one - other)
    return min(apart, STEPS - apart)
