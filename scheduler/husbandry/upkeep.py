"""How often a house of this size, with these birds, wants which work.

Our own reckoning between stated bounds, common practice, no source: the wetter a square metre of
floor gets, the sooner it is stirred, topped up and cleaned out.
"""

from scheduler.husbandry.consumption import BeddingLoad
from scheduler.husbandry.needs import DRINKER_LOOK_UNDER_DAYS, HENS_A_NEST

_WEEK_DAYS = 7
STIR_MOST_A_WEEK = 4
CLEANINGS_LEAST = 2  # Colorado State Univ. Ext. 9.377, quoted second-hand
# Water on a square metre a day, in grams, from which the shorter interval holds.
_TOP_UP_DAYS: tuple[tuple[float, int], ...] = ((200.0, 14), (100.0, 28), (0.0, 56))
_CLEANINGS: tuple[tuple[float, int], ...] = ((250.0, 6), (150.0, 4), (0.0, CLEANINGS_LEAST))


def stirs_a_week(load: BeddingLoad) -> int:
    """One to four times a week."""
    return min(-(-_WEEK_DAYS // load.stir_every_days), STIR_MOST_A_WEEK)


def top_up_days(load: BeddingLoad) -> int:
    """Every 14, 28 or 56 days."""
    return next(days for least, days in _TOP_UP_DAYS if load.water_g_m2_day >= least)


def cleanings_a_year(load: BeddingLoad) -> int:
    """Two, four or six times, the deep clean among them; the load is that over the year."""
    return next(times for least, times in _CLEANINGS if load.water_g_m2_day >= least)


def nest_refreshes_a_week(hens: int, nests: int | None) -> int:
    """Twice where more than five hens share a nest, else once."""
    return 2 if nests and hens / nests > HENS_A_NEST else 1


def wants_evening_look(capacity_l: float | None, need_l: float) -> bool:
    """Whether full drinkers would not last a day and a half; unknown drinkers are not looked at."""
    return capacity_l is not None and capacity_l < DRINKER_LOOK_UNDER_DAYS * need_l
