"""When in the year a house is cleaned: never in hard frost, never twice within five weeks.

The deep clean comes as nights warm past 3 °C, and where they never cross it, fifteen weeks after
the shortest day. The other changes of all bedding share out the rest of the year.
"""

from functools import lru_cache

from scheduler.climate.curve import TROPICAL_YEAR_DAYS, Averages, passings

HARD_FROST_C = -2.0  # 28 °F, from memory; wet boards do not dry below it (common practice)
_APART = 36 / TROPICAL_YEAR_DAYS  # so that a month lies between them, whatever the weekday
NIGHTS_WARM_C = 3.0
_SPRING = 0.27  # share of the northern year: fifteen weeks after the shortest day
_STEPS = 366
_WEEK = 7 / TROPICAL_YEAR_DAYS  # it is done on the weekly day that follows


@lru_cache(maxsize=64)
def cleanings(averages: Averages, times: int) -> tuple[float, ...]:
    """Shares of the year of `times` cleanings at most, the deep clean first.

    Those that would fall in hard frost come before it. Where all the year is hard frost, none.
    """
    frost_free = [step for step in range(_STEPS) if not _is_hard_frost(averages, step / _STEPS)]
    if not frost_free:
        return ()
    spring = (_SPRING + (0.5 if averages.southern else 0.0)) % 1.0
    deep = next(iter(passings(averages.low, NIGHTS_WARM_C, rising=True)), spring)
    kept: list[float] = []
    for number in range(times):
        share = (deep + number / times) % 1.0
        while _is_hard_frost(averages, share):
            share = (share - 1 / _STEPS) % 1.0
        apart = [abs(share - other) % 1.0 for other in kept]
        if all(min(one, 1.0 - one) >= _APART for one in apart):
            kept.append(share)
    return tuple(kept)


def _is_hard_frost(averages: Averages, share: float) -> bool:
    """Whether a night of the week that begins then is one, by the average."""
    return any(averages.low.at(at) < HARD_FROST_C for at in (share, share + _WEEK))
