"""How much earlier than under a clear sky an evening is too dark for hens to find their perch.

Clear-sky light on the ground by the US Naval Observatory's model (Circular 171, Janiczek & DeYoung
1987): near −4° it falls by the factor e in 1/0.98 of a degree. Cloud over a share N of the sky
leaves 1 − 0.75 · N^3.4 of it (Kasten & Czeplak 1980); rain at dusk, a tenth (common practice).
"""

from datetime import date, datetime, timedelta
from math import log
from typing import NamedTuple

from scheduler.cares.lock_up import BY_LIGHT, LockUp
from scheduler.cares.whole_seconds import nearest_second
from scheduler.light.sun import At, Sky

PERCHED_DEG = -4.0  # hens are on the perch; as the usual lock-up
_LN_A_DEG = 0.98
_MOST_TAKEN, _POWER = 0.75, 3.4
_RAIN_MM_H, _RAIN_TAKES = 0.5, 10.0
_SUNSET_DEG = -0.833
_BEFORE_SUNSET = timedelta(minutes=10)
_MINUTE = timedelta(minutes=1)
MOST_MINUTES = 20
_LEAST_MINUTES = 3  # less is within what hens and clouds differ by


def minutes_earlier(sky: Sky, day: date, cloud: float, rain_mm_h: float) -> int:
    """By how many whole minutes, 0 or 3 to 20, and never to more than ten before sunset.

    0 where the sun does not set, or does not sink to −4°.
    """
    clear = sky.crossing(day, "evening", PERCHED_DEG)
    sunset = sky.crossing(day, "evening", _SUNSET_DEG)
    if not (isinstance(clear, At) and isinstance(sunset, At)):
        return 0
    dimmed = 1 / (1 - _MOST_TAKEN * min(max(cloud, 0.0), 1.0) ** _POWER)
    if rain_mm_h >= _RAIN_MM_H:
        dimmed = _RAIN_TAKES
    under_cloud = sky.crossing(day, "evening", PERCHED_DEG + log(dimmed) / _LN_A_DEG)
    if not isinstance(under_cloud, At):
        return 0
    earliest = max(under_cloud.instant, sunset.instant - _BEFORE_SUNSET)
    minutes = min((clear.instant - earliest) // _MINUTE, MOST_MINUTES)
    return minutes if minutes >= _LEAST_MINUTES else 0


class Dark(NamedTuple):
    """When under an evening's cloud it is as dark as at −4° in the clear, and how much earlier."""

    at: datetime
    minutes: int


def early_by(shut: LockUp, dark: Dark | None) -> int:
    """How many minutes before the lock-up it is dark; 0 where another clock than light sets it.

    Never more than cloud takes away: a lock-up that is late in the clear is late under cloud.
    """
    if dark is None or shut.basis not in BY_LIGHT:
        return 0
    return min(max((shut.instant - dark.at) // _MINUTE, 0), dark.minutes)


def dark_under_cloud(sky: Sky, day: date, minutes: int) -> Dark | None:
    """It is dark so many minutes early; None at none, and where the sun does not sink to −4°."""
    clear = sky.crossing(day, "evening", PERCHED_DEG)
    if not minutes or not isinstance(clear, At):
        return None
    return Dark(nearest_second(clear.instant) - minutes * _MINUTE, minutes)
