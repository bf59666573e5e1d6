"""What dries a house at night: its vents as they are, larger ones, or dry bedding alone.

By still air. The most that airing is asked for is what vents of the comfortable size let through:
beyond that a house is not aired but open.
"""

from collections.abc import Iterable, Sequence
from dataclasses import replace
from functools import lru_cache
from typing import Literal

from scheduler.husbandry.air import (
    SUMMER_RISE_K,
    TARGET_HUMIDITY,
    TO_SPARE,
    Openings,
    Shell,
    Weather,
    balance,
    balance_at,
    openings,
    wanted_for_heat_m3_h,
    wanted_for_moisture_m3_h,
    wetness,
)
from scheduler.husbandry.criterion import SLACK
from scheduler.husbandry.groups import Group, head_count
from scheduler.husbandry.heat import output
from scheduler.husbandry.needs import ALL_VENTS_M2
from scheduler.profile.coop import Vent

# It is dry; it would be with the low vents open too; with larger vents; these would help, and no
# more than that; no vents would.
Drying = Literal["dry", "open", "enlarge", "larger helps", "bedding"]
_WORTH_IT = 0.05  # of what the air can carry; common practice, no source
_SHUT = Openings(high_m2=0.0, low_m2=0.0, apart_m=1.0)
_APART_M = 0.9  # of openings that nobody has told of, as of those that nobody has measured
_STEPS, _HALVINGS = 16, 12  # to a thousandth of the air


def drying(
    birds: Sequence[Group],
    house: Shell,
    through: Openings,
    vents: Iterable[Vent],
    night: Weather,
) -> Drying:
    """What brings the air inside to 75 % on that night, with the vents set to `through`.

    Nobody whose vents are of the comfortable size is told to enlarge them.
    """
    vents = tuple(vents)
    if not birds or balance(birds, house, through, night).humidity <= TARGET_HUMIDITY:
        return "dry"
    every = balance(birds, house, openings(vents, 1.0, 1.0), night)
    if every.humidity <= TARGET_HUMIDITY:
        return "open"
    widest = comfortable(vents, birds)
    wanted = _air_that_dries_m3_h(tuple(birds), house, widest, night)
    if wanted is not None and wanted > every.flow_m3_h:
        return "enlarge"
    best = balance(birds, house, widest, night)
    gain = wetness(birds, every, night) - wetness(birds, best, night)
    return "larger helps" if gain >= _WORTH_IT else "bedding"


def comfortable(vents: Iterable[Vent], birds: Sequence[Group]) -> Openings:
    """The vents wide open, and enlarged to the size that is comfortable where they are smaller."""
    through = openings(vents, 1.0, 1.0)
    total_m2 = through.high_m2 + through.low_m2
    wanted_m2 = ALL_VENTS_M2[1] * head_count(birds)
    if not total_m2:
        return Openings(high_m2=wanted_m2 / 2, low_m2=wanted_m2 / 2, apart_m=_APART_M)
    times = wanted_m2 / total_m2 if total_m2 < wanted_m2 * (1 - SLACK) else 1.0
    return replace(through, high_m2=through.high_m2 * times, low_m2=through.low_m2 * times)


def wanted_air_m3_h(
    birds: Sequence[Group], house: Shell | None, vents: Iterable[Vent], night: Weather
) -> float | None:
    """Air that keeps the inside at 75 %, a fifth to spare; None where airing alone cannot.

    Of a house that is not known it is taken to be 2 K warmer than outside, as long as the birds'
    warmth would do that if it all went into that air.
    """
    if house:
        found = _air_that_dries_m3_h(tuple(birds), house, comfortable(vents, birds), night)
        return None if found is None else TO_SPARE * found
    inside_c = night.air_c + SUMMER_RISE_K
    given = output(birds, inside_c)
    wanted = wanted_for_moisture_m3_h(given, inside_c, night)
    if wanted is None or wanted > TO_SPARE * wanted_for_heat_m3_h(given):
        return None
    return wanted


@lru_cache(maxsize=256)
def _air_that_dries_m3_h(
    birds: tuple[Group, ...], house: Shell, widest: Openings, night: Weather
) -> float | None:
    """The least air with which the inside comes to 75 %, up to what the widest vents let in.

    More air is drier only up to a point: beyond it the house cools and grows damper again.
    """

    def damp(moved_m3_h: float) -> bool:
        return balance_at(birds, house, moved_m3_h, night).humidity > TARGET_HUMIDITY

    least_m3_h = balance(birds, house, _SHUT, night).flow_m3_h
    most_m3_h = balance(birds, house, widest, night).flow_m3_h
    times: float = (most_m3_h / least_m3_h) ** (1 / _STEPS)
    steps = [least_m3_h * times**step for step in range(_STEPS + 1)]
    enough = next((step for step, moved_m3_h in enumerate(steps) if not damp(moved_m3_h)), None)
    if not enough:
        return None if enough is None else least_m3_h
    low, high = steps[enough - 1], steps[enough]
    for _ in range(_HALVINGS):
        middle = (low * high) ** 0.5
        low, high = (middle, high) if damp(middle) else (low, middle)
    return high
