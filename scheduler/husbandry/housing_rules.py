"""The rules of the housing check, by rule set: what birds need, and what there is of it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Literal

from scheduler.husbandry import needs
from scheduler.husbandry.consumption import PLUMBED
from scheduler.husbandry.criterion import ROUND_SLACK, SLACK
from scheduler.husbandry.figure import CLAUER, COMMON_PRACTICE, EU_DIRECTIVE, NESTS, Source
from scheduler.husbandry.fittings import inch_m
from scheduler.husbandry.needs import Need, NeedOf, RuleSet
from scheduler.profile.coop import Coop, Drinker, Feeder
from scheduler.profile.flock import Flock
from scheduler.profile.units import FOOT_M, INCH_M, Dimension, Units
from scheduler.wording.husbandry.housing import HousingAsides, HousingLabels, ToMeasure
from scheduler.wording.words import Words

_SQ_FT_M2 = float(FOOT_M**2)
_INCH_M = float(INCH_M)
_ROUND_TO_STRAIGHT = 2.5  # Art. 4: 10 cm a hen at a trough, 4 cm at a round feeder; so of water


@dataclass(frozen=True, slots=True, kw_only=True)
class HousingRule:
    """What birds need of one thing, and what there is of it; `binds` when it is of the house.

    `aside` is what its label says beyond the name of the thing.
    """

    key: str
    label: Words
    dimension: Dimension | Literal["count"]
    have: Callable[[Coop], float | None]
    need: NeedOf
    source: Source
    measure: Words
    aside: Words | None = None
    binds: bool = True
    in_inches: bool = False

    def needed(self, flocks: tuple[Flock, ...], day: date, units: Units) -> Need:
        """What the birds need, in the keeper's inches where it is so many of them a bird."""
        need = self.need(flocks, day)
        if not self.in_inches:
            return need
        share = inch_m(units) / _INCH_M
        return Need(need.least * share, need.comfortable * share)

    @property
    def slack(self) -> float:
        """By what share it may fall short: inches are said in round centimetres."""
        return ROUND_SLACK if self.in_inches else SLACK


def floor_m2(coop: Coop) -> float | None:
    return coop.floor.area_m2 if coop.floor else None


def _nests(coop: Coop) -> float | None:
    return float(coop.nests.count) if coop.nests and coop.nests.count is not None else None


def _perch(coop: Coop) -> float | None:
    return coop.perches.length_m if coop.perches else None


def _run(coop: Coop) -> float | None:
    return coop.run.floor.area_m2 if coop.run and coop.run.floor else None


def _drinkers_as_trough(coop: Coop) -> float | None:
    open_ones = [each for each in coop.drinker if each.type not in PLUMBED]
    return _edge(open_ones, "bell", "bucket")


def _edge(ones: Sequence[Feeder | Drinker], *round_ones: str) -> float | None:
    """The edges of all together, round ones as so much trough; None unless each is known."""
    edges_m = [
        each.length_m * each.count * (_ROUND_TO_STRAIGHT if each.type in round_ones else 1.0)
        for each in ones
        if each.length_m is not None
    ]
    return sum(edges_m) if edges_m and len(edges_m) == len(ones) else None


def _nipples(coop: Coop) -> float | None:
    counted = [each.nipples * each.count for each in plumbed(coop) if each.nipples is not None]
    return float(sum(counted)) if len(counted) == len(plumbed(coop)) else None


def plumbed(coop: Coop) -> list[Drinker]:
    return [each for each in coop.drinker if each.type in PLUMBED]


def _vents_m2(coop: Coop, *places: str) -> float | None:
    here = (vent.area_m2 for vent in coop.vent if vent.place in places)
    return sum(here, start=0.0) if coop.vent else None


_BACKYARD: tuple[HousingRule, ...] = (
    HousingRule(
        key="floor", label=HousingLabels.indoor_floor,
        dimension="area", source=COMMON_PRACTICE, have=floor_m2,
        need=needs.floor_m2, measure=ToMeasure.floor,
    ),
    HousingRule(
        key="run", label=HousingLabels.run, dimension="area", source=COMMON_PRACTICE, have=_run,
        need=needs.run_m2, measure=ToMeasure.run,
    ),
    HousingRule(
        key="perch", label=HousingLabels.perch_length,
        dimension="length", source=COMMON_PRACTICE, have=_perch,
        need=needs.perch_m, measure=ToMeasure.perches, in_inches=True,
    ),
    HousingRule(
        key="nests", label=HousingLabels.nests, dimension="count", source=NESTS, have=_nests,
        need=needs.a_nesting_bird(1 / needs.HENS_A_NEST, 1 / 4), measure=ToMeasure.nests,
    ),
    HousingRule(
        key="feeder", label=HousingLabels.feeder_length, dimension="length", source=CLAUER,
        have=lambda coop: _edge(coop.feeder), need=needs.feeder_m, binds=False, in_inches=True,
        measure=ToMeasure.feeders,
    ),
    HousingRule(
        key="vents-winter", label=HousingLabels.high_vents, aside=HousingAsides.for_winter,
        dimension="area",
        source=COMMON_PRACTICE, have=lambda coop: _vents_m2(coop, "high"),
        need=needs.a_chicken(*needs.HIGH_VENTS_M2), measure=ToMeasure.high_vents,
    ),
    HousingRule(
        key="vents-summer", label=HousingLabels.all_vents, aside=HousingAsides.for_summer,
        dimension="area",
        source=COMMON_PRACTICE, have=lambda coop: _vents_m2(coop, "high", "low"),
        need=needs.a_chicken(*needs.ALL_VENTS_M2), measure=ToMeasure.all_vents,
    ),
)  # fmt: skip
_EU: tuple[HousingRule, ...] = (
    HousingRule(
        key="floor", label=HousingLabels.usable_area,
        dimension="area", source=EU_DIRECTIVE, have=floor_m2,
        need=needs.a_chicken(1 / 9, 1 / 6), measure=ToMeasure.floor,
    ),
    HousingRule(
        key="perch", label=HousingLabels.perch_length,
        dimension="length", source=EU_DIRECTIVE, have=_perch,
        need=needs.a_chicken(0.15, 0.20), measure=ToMeasure.perches,
    ),
    HousingRule(
        key="nests", label=HousingLabels.nests, dimension="count", source=EU_DIRECTIVE,
        have=_nests, need=needs.a_nesting_bird(1 / 7, 1 / 5), measure=ToMeasure.nests,
    ),
    HousingRule(
        key="feeder", label=HousingLabels.feeder_edge, aside=HousingAsides.round_ones,
        dimension="length",
        source=EU_DIRECTIVE, have=lambda coop: _edge(coop.feeder, "tube"),
        need=needs.a_chicken(0.10, 0.12),
        measure=ToMeasure.feeders_and_rims, binds=False,
    ),
)  # fmt: skip
NIPPLES = HousingRule(
    key="nipples", label=HousingLabels.nipples,
    dimension="count", source=EU_DIRECTIVE, have=_nipples,
    need=needs.a_chicken(1 / 10, 1 / 8), measure=ToMeasure.nipples, binds=False,
)  # fmt: skip
DRINKING_EDGE = HousingRule(
    key="drinker-edge", label=HousingLabels.drinking_edge, aside=HousingAsides.round_ones,
    dimension="length", source=EU_DIRECTIVE, have=_drinkers_as_trough,
    need=needs.a_chicken(0.025, 0.03),
    measure=ToMeasure.drinking_edges, binds=False,
)  # fmt: skip
RULES: dict[RuleSet, tuple[HousingRule, ...]] = {"backyard": _BACKYARD, "eu": _EU}
