"""Water, feed, manure and bedding moisture of the birds, a day at a time."""

import itertools
import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import pairwise

from scheduler.husbandry.figure import POULTRY_HUB, WATER_IN_HEAT, Source
from scheduler.husbandry.groups import Group
from scheduler.profile.coop import Coop

# Litres a grown hen a day by temperature: 0.27 at 21 °C (Poultry Hub); to plan for, 0.5 from 32 and
# 0.65 from 38 °C (common practice, no source).
_WATER_L: tuple[tuple[float, float], ...] = ((21.0, 0.27), (32.0, 0.50), (38.0, 0.65))
_REFERENCE_KG = 2.0
_KCAL_PER_G = 2.85  # typical layer feed, from memory
_COLDEST_C, _WARMEST_C = -5.0, 30.0  # the energy equation is not stretched beyond
_EGG_G = 60.0
MANURE_TO_FEED = 1.15  # Ohio State Univ. Extension Bulletin 804
_MANURE_WATER = 0.75
_INDOOR_SHARE = 0.5  # of the droppings fall at night, common practice, no source
_BAG_MOST_DAYS = 365
REORDER_SPARE_DAYS = 3  # common practice, no source


def water_l_a_day(birds: Iterable[Group], air_c: float) -> float:
    """What the birds drink a day, by mass and temperature."""
    kg = sum(group.count * math.pow(group.mass_kg, 0.75) for group in birds)
    return _water_l_a_hen(air_c) * kg / math.pow(_REFERENCE_KG, 0.75)


def water_source(air_c: float) -> Source:
    """Where the figure of what they drink at that temperature comes from."""
    return POULTRY_HUB if air_c <= _WATER_L[0][0] else WATER_IN_HEAT


def _water_l_a_hen(air_c: float) -> float:
    if air_c <= _WATER_L[0][0]:
        return _WATER_L[0][1]
    for (cool_c, less_l), (warm_c, more_l) in pairwise(_WATER_L):
        if air_c <= warm_c:
            return less_l + (more_l - less_l) * (air_c - cool_c) / (warm_c - cool_c)
    return _WATER_L[-1][1]


def energy_kcal_a_day(mass_kg: float, air_c: float, lay_share: float) -> float:
    """Metabolisable energy of one hen a day at constant mass (NRC 1994, from memory)."""
    return math.pow(mass_kg, 0.75) * (173 - 1.95 * air_c) + 2.07 * _EGG_G * lay_share


def feed_g_a_day(birds: Iterable[Group], air_c: float) -> float:
    """Feed of the birds a day for the eggs they lay; beyond −5 and 30 °C the nearer one holds."""
    within_c = min(max(air_c, _COLDEST_C), _WARMEST_C)
    return sum(
        group.count * energy_kcal_a_day(group.mass_kg, within_c, group.lay_share) / _KCAL_PER_G
        for group in birds
    )


def days_fed(bag_kg: float, fed_g: Iterable[float]) -> float:
    """How long a bag lasts birds that eat so much on each day from the first, a year at most."""
    left_g, days = bag_kg * 1000, 0.0
    for today_g in itertools.islice(fed_g, _BAG_MOST_DAYS):
        if today_g >= left_g:
            return days + left_g / today_g
        left_g, days = left_g - today_g, days + 1
    return days


def reorder_on(opened: date, lasts_days: float, delivery_days: int) -> date:
    """The day to order the next bag: delivery time and three days before this one is empty."""
    return opened + timedelta(days=max(int(lasts_days) - delivery_days - REORDER_SPARE_DAYS, 0))


def manure_g_a_day(feed_g: float) -> float:
    """Fresh manure from dry feed."""
    return MANURE_TO_FEED * feed_g


@dataclass(frozen=True, slots=True, kw_only=True)
class BeddingLoad:
    """Water that droppings bring onto a square metre of floor, and how often to stir for it."""

    water_g_m2_day: float
    stir_every_days: int


# Our own reckoning, common practice, no source: the top 2 cm of bedding (100 kg/m³) take up 0.42 kg
# of water a square metre between 15 and 30 % moisture; air carries off the larger part of what
# comes, less in the cold.
_TOP_HOLDS_G_M2 = 420.0
_DRIED_OFF = {"cold": 0.50, "mild": 0.65, "warm": 0.75}
STIR_LEAST_DAYS, STIR_MOST_DAYS = 2, 10


def bedding_load(
    birds: Iterable[Group], floor_m2: float, air_c: float, *, drinker_inside: bool
) -> BeddingLoad:
    """The moisture load of this floor, and the stirring interval between 2 and 10 days.

    An open drinker inside adds a quarter (common practice, no source).
    """
    droppings_g = manure_g_a_day(feed_g_a_day(birds, air_c)) * _INDOOR_SHARE
    water_g = droppings_g * _MANURE_WATER * (1.25 if drinker_inside else 1.0) / floor_m2
    season = "cold" if air_c < 5 else "warm" if air_c >= 15 else "mild"  # noqa: PLR2004 - °C
    stays_g = water_g * (1 - _DRIED_OFF[season])
    days = int(_TOP_HOLDS_G_M2 / stays_g) if stays_g else STIR_MOST_DAYS
    return BeddingLoad(
        water_g_m2_day=water_g,
        stir_every_days=min(max(days, STIR_LEAST_DAYS), STIR_MOST_DAYS),
    )


def capacity_l(coop: Coop) -> float | None:
    """What all drinkers hold, when it is known of each."""
    known = [d.capacity_l * d.count for d in coop.drinker if d.capacity_l is not None]
    return sum(known) if known and len(known) == len(coop.drinker) else None


PLUMBED = frozenset({"nipple", "cup"})


def has_open_water(coop: Coop) -> bool:
    """Whether birds can walk, scratch or dirty into a drinker of the coop."""
    return any(drinker.type not in PLUMBED for drinker in coop.drinker)


def floor_load(coop: Coop, birds: Sequence[Group], air_c: float) -> BeddingLoad | None:
    """The moisture load of the coop's floor; None where it is not known or nobody lives there.

    A drinker inside counts as open unless it has nipples, which do not spill.
    """
    if not coop.floor or not birds:
        return None
    spills = any(drinker.inside and drinker.type != "nipple" for drinker in coop.drinker)
    return bedding_load(birds, coop.floor.area_m2, air_c, drinker_inside=spills)


def drinker_days(capacity_l: float, need_l: float) -> float:
    """How long full drinkers last."""
    return capacity_l / need_l
