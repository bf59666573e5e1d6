"""A yearly course as a mean and up to two waves: enough for monthly averages to about a degree."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from math import cos, pi, sin

Parts = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Wave:
    """A yearly course: its mean, and cosine and sine parts of one and two cycles a year."""

    mean: float
    yearly: Parts = (0.0, 0.0)
    half_yearly: Parts = (0.0, 0.0)

    def at(self, share_of_year: float) -> float:
        """The value at that share of the year, counted from 1 January."""
        angle = 2 * pi * share_of_year
        value = self.mean + self.yearly[0] * cos(angle) + self.yearly[1] * sin(angle)
        return value + self.half_yearly[0] * cos(2 * angle) + self.half_yearly[1] * sin(2 * angle)

    def raised(self, by: float) -> "Wave":
        """The same course, so much higher all year."""
        return replace(self, mean=self.mean + by)

    def stretched(self, times: float) -> "Wave":
        """The same course with every value so many times as large."""
        (a, b), (c, d) = self.yearly, self.half_yearly
        return Wave(times * self.mean, (times * a, times * b), (times * c, times * d))

    def plus(self, other: "Wave") -> "Wave":
        """The sum of both on each date."""
        (a, b), (c, d) = self.yearly, self.half_yearly
        (e, f), (g, h) = other.yearly, other.half_yearly
        return Wave(self.mean + other.mean, (a + e, b + f), (c + g, d + h))

    def of_months(self) -> list[float]:
        """Its values in the middle of each twelfth of the year."""
        return [self.at((month + 0.5) / 12) for month in range(12)]


def through_months(values: Sequence[float]) -> Wave:
    """The least-squares waves through twelve mid-month values."""
    count = len(values)

    def part(cycles: int, wave: Callable[[float], float]) -> float:
        angles = (2 * pi * cycles * (month + 0.5) / count for month in range(count))
        return 2 / count * sum(v * wave(a) for v, a in zip(values, angles, strict=True))

    return Wave(sum(values) / count, (part(1, cos), part(1, sin)), (part(2, cos), part(2, sin)))


@lru_cache(maxsize=256)
def passings(
    wave: Wave, value: float, *, rising: bool, hysteresis: float = 2.0
) -> tuple[float, ...]:
    """The shares of the year at which the wave passes the value in that direction.

    It counts again only after the curve has been `hysteresis` back on the other side.
    """
    sign = 1.0 if rising else -1.0
    steps = 732  # half days; two years, so that the second starts in the right state
    armed, found = False, []
    for step in range(2 * steps):
        share = step / steps
        above = sign * (wave.at(share) - value)
        if above < -hysteresis:
            armed = True
        elif above >= 0 and armed:
            armed = False
            if step >= steps:
                found.append(share - 1)
    return tuple(found)
