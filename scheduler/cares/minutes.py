"""How long the work takes: the catalogue's minutes are for twelve birds, each bird's share apart.

All of them common practice, no source: a keeper's own number stands over them.
"""

from collections.abc import Iterable
from math import ceil, floor

from scheduler.cares.catalogue import Care
from scheduler.profile.flock import Flock

USUAL_BIRDS = 12
_BY = 3
_LOCK_UP, _LOCK_UP_A_BIRD = 2.0, 0.08  # count with a torch, shut, latch


def minutes_for(care: Care, flocks: Iterable[Flock]) -> int:
    """The whole minutes that the care takes for those birds, one at least."""
    birds = sum(flock.birds for flock in flocks)
    return scaled(care.minutes, care.a_bird, birds) if care.a_bird else care.minutes


def lock_up_minutes(flocks: Iterable[Flock]) -> int:
    """The whole minutes of a lock-up of one house; none where no bird sleeps."""
    birds = sum(flock.birds for flock in flocks)
    return scaled(_LOCK_UP, _LOCK_UP_A_BIRD, birds) if birds else 0


def scaled(usual: float, a_bird: float, birds: int) -> int:
    """Minutes for so many birds, from those for twelve and each bird's share.

    They are counted by threes, so that one hen more or fewer seldom moves a calendar.
    """
    counted = ceil(birds / _BY) * _BY
    return max(floor(usual + a_bird * (counted - USUAL_BIRDS) + 0.5), 1)
