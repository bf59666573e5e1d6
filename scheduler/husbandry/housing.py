"""The housing check: what is there, what is needed, and whether that is short.

Two rule sets: backyard practice (default) and the EU figures for laying hens, which bind flocks of
350 and more and are good practice for fewer; what counts as comfortable is common practice in both.
A size that is not given is unknown, never guessed.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from math import ceil, floor

from scheduler.husbandry import needs
from scheduler.husbandry.consumption import capacity_l, has_open_water, water_source
from scheduler.husbandry.criterion import SLACK, Criterion, row
from scheduler.husbandry.figure import EU_LITTER, EU_REST, EU_SMALL_FLOCK
from scheduler.husbandry.fittings import company, perches_and_nests, proofing
from scheduler.husbandry.housing_rules import (
    DRINKING_EDGE,
    NIPPLES,
    RULES,
    HousingRule,
    floor_m2,
    plumbed,
)
from scheduler.husbandry.needs import BEDDING_DEPTH_M, Need, RuleSet
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.phrase import filled
from scheduler.profile.quantity import reckoned
from scheduler.profile.values import Profile
from scheduler.wording.husbandry.fittings import FittingLabels, FittingsToMeasure
from scheduler.wording.husbandry.housing import EuReach, HousingAsides, HousingLabels, ToMeasure

EU_BINDS_FROM_HENS = 350
_NIPPLES_IN_REACH = 2.0  # Art. 4: of plumbed-in nipples or cups two are within each hen's reach


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """How many birds like those in it a coop holds, and what binds first."""

    coop_id: str
    birds: int
    rule: HousingRule

    @property
    def binding(self) -> str:
        """What binds first, by its whole label."""
        label, aside = self.rule.label(), self.rule.aside
        return HousingAsides.label(label=label, aside=aside()) if aside else label


def criteria(
    profile: Profile, coop: Coop, rules: RuleSet, day: date, hottest_c: float
) -> Iterator[Criterion]:
    """Every criterion of the rule set for the coop and the birds that are there or announced.

    `hottest_c` is the day high of the year's hottest average day: water is stored for it.
    """
    flocks = profile.flocks_of(coop.id)
    for rule in RULES[rules]:
        yield from _measured(rule, coop, rule.needed(flocks, day, profile.units))
    if rules == "eu":
        yield from _eu_rest(coop, flocks, day)
        return
    yield _water(coop, flocks, day, hottest_c)
    yield from perches_and_nests(coop, flocks, day, profile.units)
    yield row(
        coop, "bedding-depth", HousingLabels.bedding_depth,
        coop.bedding.depth_m if coop.bedding else None, Need(BEDDING_DEPTH_M, 0.15),
        measure=ToMeasure.bedding,
    )  # fmt: skip
    yield from proofing(coop, profile.units)
    yield company(coop, flocks)


def _measured(rule: HousingRule, coop: Coop, need: Need) -> Iterator[Criterion]:
    """The rule for this coop; nothing where nothing of it is needed."""
    if not need.least:
        return
    least, comfortable = need.least, need.comfortable
    if rule.dimension == "count":
        least, comfortable = float(ceil(least - SLACK)), float(ceil(comfortable - SLACK))
    yield row(
        coop, rule.key, rule.label, rule.have(coop), Need(least, comfortable),
        measure=rule.measure, dimension=rule.dimension, source=rule.source, slack=rule.slack,
        aside=rule.aside() if rule.aside else "",
    )  # fmt: skip


def _water(coop: Coop, flocks: tuple[Flock, ...], day: date, hottest_c: float) -> Criterion:
    return row(
        coop, "drinker", HousingLabels.drinkers, capacity_l(coop),
        needs.water_l(flocks, day, hottest_c), measure=ToMeasure.drinkers,
        dimension="volume", source=water_source(hottest_c),
        aside=filled(HousingAsides.water_at, temperature=reckoned(hottest_c, "°C", 0)),
    )  # fmt: skip


def _eu_rest(coop: Coop, flocks: tuple[Flock, ...], day: date) -> Iterator[Criterion]:
    """Water, litter and the build of the house, as the directive has them."""
    if plumbed(coop):
        need = NIPPLES.need(flocks, day)
        at_least_two = Need(max(need.least, _NIPPLES_IN_REACH), need.comfortable)
        yield from _measured(NIPPLES, coop, at_least_two)
    if not coop.drinker or has_open_water(coop):
        yield from _measured(DRINKING_EDGE, coop, DRINKING_EDGE.need(flocks, day))
    yield _litter(coop, needs.a_chicken(0.025, 0.05)(flocks, day))
    perches = coop.perches
    yield row(
        coop, "headroom", HousingLabels.headroom, coop.height_m, Need(0.45, 0.45), source=EU_REST,
        measure=ToMeasure.headroom,
    )  # fmt: skip
    yield row(
        coop, "perch-spacing", FittingLabels.perch_gap, perches.spacing_m if perches else None,
        Need(0.30, 0.30), source=EU_REST, measure=FittingsToMeasure.perch_gap,
    )  # fmt: skip
    yield row(
        coop, "perch-wall", HousingLabels.perch_to_wall, perches.wall_m if perches else None,
        Need(0.20, 0.20), source=EU_REST, measure=ToMeasure.perch_to_wall,
    )  # fmt: skip
    yield row(
        coop, "slope", HousingLabels.slope, coop.slope_percent, None, most=14.0,
        dimension="percent", source=EU_REST, measure=ToMeasure.slope,
    )  # fmt: skip
    yield _eu_reach(coop, flocks)


def _litter(coop: Coop, by_hens: Need) -> Criterion:
    """At least 250 cm² a hen, and at least a third of the floor."""
    third_m2 = (floor_m2(coop) or 0.0) / 3
    return row(
        coop, "litter", HousingLabels.littered, floor_m2(coop) if coop.bedding else None,
        Need(max(by_hens.least, third_m2), max(by_hens.comfortable, third_m2)),
        dimension="area", source=EU_LITTER, measure=ToMeasure.littered,
    )  # fmt: skip


def _eu_reach(coop: Coop, flocks: tuple[Flock, ...]) -> Criterion:
    hens = sum(flock.hens for flock in flocks)
    binds = hens >= EU_BINDS_FROM_HENS
    return Criterion(
        coop_id=coop.id, key="reach", label=HousingLabels.reach(), have=float(hens),
        need=float(EU_BINDS_FROM_HENS), comfortable=None, dimension="count", verdict="explained",
        source=EU_SMALL_FLOCK,
        note=EuReach.binds() if binds else EuReach.does_not(),
    )  # fmt: skip


def capacity(profile: Profile, coop: Coop, rules: RuleSet, day: date) -> Capacity | None:
    """How many birds like those in it the known sizes of the house hold, and what binds first.

    Feeders and drinkers are bought, so they bind nothing. None when no size is known.
    """
    flocks = profile.flocks_of(coop.id)
    birds = sum(flock.chickens for flock in flocks)
    held = []
    for rule in RULES[rules]:
        have, need = rule.have(coop), rule.needed(flocks, day, profile.units)
        if rule.binds and have is not None and need.least:
            each = need.least * (1 - rule.slack) / birds
            held.append((floor(have / each + SLACK), rule))
    if not held:
        return None
    most, rule = min(held, key=lambda pair: (pair[0], pair[1].key))
    return Capacity(coop_id=coop.id, birds=most, rule=rule)
