"""What a house owes its birds, by rule set, kind and age, in SI units: least, and comfortable.

One function for each thing, which the check, the figures and the shopping list ask.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from scheduler.husbandry.age import OFF_HEAT_WEEKS, nesting, weeks_old
from scheduler.husbandry.consumption import water_l_a_day
from scheduler.husbandry.groups import groups
from scheduler.husbandry.growth import CHICK_FEEDER_IN, chick_feeder_m, chick_floor_m2
from scheduler.profile.fields import Kind
from scheduler.profile.flock import Flock
from scheduler.profile.units import FOOT_M, INCH_M

RuleSet = Literal["backyard", "eu"]
RULE_SETS: tuple[RuleSet, ...] = get_args(RuleSet)
_SQ_FT_M2, _INCH_M = float(FOOT_M**2), float(INCH_M)
BEDDING_DEPTH_M = 0.10  # about four inches, common practice, no source
# High ones, and all of them with the low ones, a bird: common practice, no source.
HIGH_VENTS_M2, ALL_VENTS_M2 = (0.1 * _SQ_FT_M2, 0.2 * _SQ_FT_M2), (0.2 * _SQ_FT_M2, _SQ_FT_M2)
# A grown bird that is in all day, as the job of a housing order says; common practice, no source.
ORDER_FLOOR_M2 = 4.0 * _SQ_FT_M2
HENS_A_NEST = 5
NEST_BEDDING_M = (0.05, 0.10)  # two to four inches, common practice, no source
DRINKER_LOOK_UNDER_DAYS = 1.5  # below, full drinkers are looked at in the evening too
GROWN_WEEKS = 16  # from here on a young bird needs the space of a grown one
_CHICK_SPARE = 1.5  # common practice, no source

# Least and comfortable a bird, by kind. Common practice, no source: 3 to 4 sq ft inside where there
# is a run, 4 to 10 in the run, 8 to 12 in of perch for a heavy bird, 6 to 8 for a bantam.
_FLOOR_SQ_FT: dict[Kind, tuple[float, float]] = {
    "bantam": (2.0, 3.0), "light": (3.0, 4.0), "medium": (3.0, 4.0), "heavy": (4.0, 5.0),
}  # fmt: skip
_RUN_SQ_FT: dict[Kind, tuple[float, float]] = {
    "bantam": (3.0, 8.0), "light": (4.0, 10.0), "medium": (4.0, 10.0), "heavy": (5.0, 12.0),
}  # fmt: skip
_PERCH_IN: dict[Kind, tuple[float, float]] = {
    "bantam": (6.0, 8.0), "light": (8.0, 9.0), "medium": (9.0, 10.0), "heavy": (10.0, 12.0),
}  # fmt: skip
_FEEDER_IN = (CHICK_FEEDER_IN[-1][1], 4.0)
# Top of the timber, least and most, in metres: a foot closes round it and covers the toes in frost.
PERCH_WIDTH_M: dict[Kind, tuple[float, float]] = {
    "bantam": (0.025, 0.075), "light": (0.038, 0.10), "medium": (0.038, 0.10),
    "heavy": (0.05, 0.10),
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Need:
    """Of one thing, for all the birds together: what is least, and what is comfortable."""

    least: float
    comfortable: float

    def __add__(self, other: "Need") -> "Need":
        return Need(self.least + other.least, self.comfortable + other.comfortable)


NOTHING = Need(0.0, 0.0)
NeedOf = Callable[[Iterable[Flock], date], Need]


def floor_m2(flocks: Iterable[Flock], day: date) -> Need:
    """Indoor floor: grown birds by kind, young ones under 16 weeks by age (P. Clauer)."""
    return sum((_floor_of(flock, day) for flock in flocks), NOTHING)


def _floor_of(flock: Flock, day: date) -> Need:
    grown = _times(flock.hens + flock.roosters, _FLOOR_SQ_FT[flock.kind], _SQ_FT_M2)
    return grown + floor_of_the_young_m2(flock, day)


def floor_of_the_young_m2(flock: Flock, day: date) -> Need:
    """Indoor floor of the flock's young: by age under 16 weeks, then as for grown ones."""
    weeks = weeks_old(flock, day)
    if weeks is None or weeks >= GROWN_WEEKS:
        return _times(flock.young, _FLOOR_SQ_FT[flock.kind], _SQ_FT_M2)
    return _times(flock.young, (1.0, _CHICK_SPARE), chick_floor_m2(weeks))


def run_m2(flocks: Iterable[Flock], day: date) -> Need:
    """The fenced run, for every chicken by kind."""
    del day
    return sum((_times(f.chickens, _RUN_SQ_FT[f.kind], _SQ_FT_M2) for f in flocks), NOTHING)


def perch_m(flocks: Iterable[Flock], day: date) -> Need:
    """Length of perch by kind; none for chicks under six weeks."""
    total = NOTHING
    for flock in flocks:
        weeks = weeks_old(flock, day)
        perching = weeks is None or weeks >= OFF_HEAT_WEEKS
        count = flock.hens + flock.roosters + (flock.young if perching else 0)
        total += _times(count, _PERCH_IN[flock.kind], _INCH_M)
    return total


def feeder_m(flocks: Iterable[Flock], day: date) -> Need:
    """Feeding edge: of young birds by age (P. Clauer), of all others as from eight weeks on."""
    total = NOTHING
    for flock in flocks:
        weeks = weeks_old(flock, day)
        young_m = chick_feeder_m(CHICK_FEEDER_IN[-1][0] if weeks is None else weeks)
        total += _times(flock.hens + flock.roosters, _FEEDER_IN, _INCH_M)
        total += _times(flock.young, (1.0, _FEEDER_IN[1] / _FEEDER_IN[0]), young_m)
    return total


def water_l(flocks: Iterable[Flock], day: date, hottest_c: float) -> Need:
    """A day's water at the temperature of the hottest average day; comfortably a day and a half's.

    What is comfortable on that day brings no second look at the drinkers.
    """
    least_l = water_l_a_day(groups(flocks, day), hottest_c)
    return Need(least_l, least_l * DRINKER_LOOK_UNDER_DAYS)


def a_chicken(least: float, comfortable: float) -> NeedOf:
    """The same for every chicken, young or old."""
    return lambda flocks, _: _times(sum(f.chickens for f in flocks), (least, comfortable))


def a_nesting_bird(least: float, comfortable: float) -> NeedOf:
    """The same for every bird that lays, or soon will."""
    one = (least, comfortable)
    return lambda flocks, day: _times(sum(nesting(flock, day) for flock in flocks), one)


def _times(count: int, each: tuple[float, float], unit: float = 1.0) -> Need:
    return Need(count * each[0] * unit, count * each[1] * unit)
