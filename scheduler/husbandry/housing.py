"""The housing check: what is there, what is needed, and whether that is short.

Two rule sets: backyard practice (default) and the EU figures for laying hens, which bind flocks of
350 and more and are good practice for fewer; what counts as comfortable is common practice in both.
A size that is not given is unknown, never guessed.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from math import ceil, floor
from typing import Literal

from scheduler.husbandry import needs
from scheduler.husbandry.consumption import capacity_l, water_source
from scheduler.husbandry.criterion import ROUND_SLACK, SLACK, Criterion, row
from scheduler.husbandry.figure import (
    CLAUER,
    COMMON_PRACTICE,
    EU_DIRECTIVE,
    EU_LITTER,
    NESTS,
    Source,
)
from scheduler.husbandry.fittings import company, inch_m, perches_and_nests, proofing
from scheduler.husbandry.needs import BEDDING_DEPTH_M, Need, NeedOf, RuleSet
from scheduler.husbandry.upkeep import HENS_A_NEST
from scheduler.profile.coop import Coop, Drinker, Feeder
from scheduler.profile.flock import Flock
from scheduler.profile.units import FOOT_M, INCH_M, Dimension, Units
from scheduler.profile.values import Profile

EU_BINDS_FROM_HENS = 350
_SQ_FT_M2, _INCH_M = float(FOOT_M**2), float(INCH_M)
_SMALL_FLOCK = Source("Council Directive 1999/74/EC, Art. 1", "S")
# Art. 4 as a whole was read in extracts and summaries; these parts of it are from memory.
_EU_REST = Source("Council Directive 1999/74/EC, Art. 2 and 4, these parts from memory", "M")
_PLUMBED = frozenset({"nipple", "cup"})
_ROUND_TO_STRAIGHT = 2.5  # Art. 4: 10 cm a hen at a trough, 4 cm at a round feeder; so of water


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """How many birds like those in it a coop holds, and what binds first."""

    coop_id: str
    birds: int
    binding: str


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    """What birds need of one thing, and what there is of it; `binds` when it is of the house."""

    key: str
    label: str
    dimension: Dimension | Literal["count"]
    have: Callable[[Coop], float | None]
    need: NeedOf
    source: Source
    measure: str
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


def _floor(coop: Coop) -> float | None:
    return coop.floor.area_m2 if coop.floor else None


def _nests(coop: Coop) -> float | None:
    return float(coop.nests.count) if coop.nests and coop.nests.count is not None else None


def _perch(coop: Coop) -> float | None:
    return coop.perches.length_m if coop.perches else None


def _run(coop: Coop) -> float | None:
    return coop.run.floor.area_m2 if coop.run and coop.run.floor else None


def _feeder(coop: Coop) -> float | None:
    return _edge(coop.feeder, round_ones=frozenset())


def _feeder_as_trough(coop: Coop) -> float | None:
    return _edge(coop.feeder, round_ones=frozenset({"tube"}))


def _drinkers_as_trough(coop: Coop) -> float | None:
    open_ones = [each for each in coop.drinker if each.type not in _PLUMBED]
    return _edge(open_ones, round_ones=frozenset({"bell", "bucket"}))


def _edge(ones: Sequence[Feeder | Drinker], round_ones: frozenset[str]) -> float | None:
    """The edges of all together, round ones as so much trough; None unless each is known."""
    edges_m = [
        each.length_m * each.count * (_ROUND_TO_STRAIGHT if each.type in round_ones else 1.0)
        for each in ones
        if each.length_m is not None
    ]
    return sum(edges_m) if edges_m and len(edges_m) == len(ones) else None


def _nipples(coop: Coop) -> float | None:
    counted = [each.nipples * each.count for each in _plumbed(coop) if each.nipples is not None]
    return float(sum(counted)) if len(counted) == len(_plumbed(coop)) else None


def _plumbed(coop: Coop) -> list[Drinker]:
    return [each for each in coop.drinker if each.type in _PLUMBED]


def _vents(place: str | None) -> Callable[[Coop], float | None]:
    def area_m2(coop: Coop) -> float | None:
        if not coop.vent:
            return None
        return sum((vent.area_m2 for vent in coop.vent if place in {None, vent.place}), start=0.0)

    return area_m2


_BACKYARD: tuple[_Rule, ...] = (
    _Rule(
        key="floor", label="indoor floor", dimension="area", source=COMMON_PRACTICE, have=_floor,
        need=needs.floor_m2, measure="measure the floor inside",
    ),
    _Rule(
        key="run", label="run", dimension="area", source=COMMON_PRACTICE, have=_run,
        need=needs.run_m2, measure="measure the fenced run",
    ),
    _Rule(
        key="perch", label="perch length", dimension="length", source=COMMON_PRACTICE, have=_perch,
        need=needs.perch_m, measure="measure all perches together", in_inches=True,
    ),
    _Rule(
        key="nests", label="nests", dimension="count", source=NESTS, have=_nests,
        need=needs.a_nesting_bird(1 / HENS_A_NEST, 1 / 4), measure="count the nests",
    ),
    _Rule(
        key="feeder", label="feeder length", dimension="length", source=CLAUER,
        have=_feeder, need=needs.feeder_m, binds=False, in_inches=True,
        measure="measure the feeding edge, both sides",
    ),
    _Rule(
        key="vents-winter", label="high vents, for winter", dimension="area",
        source=COMMON_PRACTICE, have=_vents("high"),
        need=needs.a_chicken(*needs.HIGH_VENTS_M2), measure="measure the high vents",
    ),
    _Rule(
        key="vents-summer", label="all vents, for summer", dimension="area",
        source=COMMON_PRACTICE, have=_vents(None),
        need=needs.a_chicken(0.2 * _SQ_FT_M2, 1.0 * _SQ_FT_M2), measure="measure every vent",
    ),
)  # fmt: skip
_EU: tuple[_Rule, ...] = (
    _Rule(
        key="floor", label="usable area", dimension="area", source=EU_DIRECTIVE, have=_floor,
        need=needs.a_chicken(1 / 9, 1 / 6), measure="measure the floor inside",
    ),
    _Rule(
        key="perch", label="perch length", dimension="length", source=EU_DIRECTIVE, have=_perch,
        need=needs.a_chicken(0.15, 0.20), measure="measure all perches together",
    ),
    _Rule(
        key="nests", label="nests", dimension="count", source=EU_DIRECTIVE, have=_nests,
        need=needs.a_nesting_bird(1 / 7, 1 / 5), measure="count the nests",
    ),
    _Rule(
        key="feeder", label="feeder edge, a round one counted 2½ times", dimension="length",
        source=EU_DIRECTIVE, have=_feeder_as_trough, need=needs.a_chicken(0.10, 0.12),
        measure="measure the feeding edge, both sides or round the rim", binds=False,
    ),
)  # fmt: skip
_NIPPLES = _Rule(
    key="nipples", label="nipples or cups", dimension="count", source=EU_DIRECTIVE, have=_nipples,
    need=needs.a_chicken(1 / 10, 1 / 8), measure="count nipples and cups", binds=False,
)  # fmt: skip
_DRINKING_EDGE = _Rule(
    key="drinker-edge", label="drinking edge, a round one counted 2½ times", dimension="length",
    source=EU_DIRECTIVE, have=_drinkers_as_trough, need=needs.a_chicken(0.025, 0.03),
    measure="measure the drinking edge, both sides or round the rim", binds=False,
)  # fmt: skip
_NIPPLES_IN_REACH = 2.0  # Art. 4: of plumbed-in nipples or cups two are within each hen's reach
_RULES: dict[RuleSet, tuple[_Rule, ...]] = {"backyard": _BACKYARD, "eu": _EU}


def criteria(
    profile: Profile, coop: Coop, rules: RuleSet, day: date, hottest_c: float
) -> Iterator[Criterion]:
    """Every criterion of the rule set for the coop and the birds that are there or announced.

    `hottest_c` is the day high of the year's hottest average day: water is stored for it.
    """
    flocks = profile.flocks_of(coop.id)
    for rule in _RULES[rules]:
        yield from _measured(rule, coop, rule.needed(flocks, day, profile.units))
    if rules == "eu":
        yield from _eu_rest(coop, flocks, day)
        return
    yield _water(coop, flocks, day, hottest_c)
    yield from perches_and_nests(coop, flocks, day, profile.units)
    yield row(
        coop, "bedding-depth", "depth of the bedding",
        coop.bedding.depth_m if coop.bedding else None, Need(BEDDING_DEPTH_M, 0.15),
        measure="measure the bedding's depth",
    )  # fmt: skip
    yield from proofing(coop, profile.units)
    yield company(coop, flocks)


def _measured(rule: _Rule, coop: Coop, need: Need) -> Iterator[Criterion]:
    """The rule for this coop; nothing where nothing of it is needed."""
    if not need.least:
        return
    least, comfortable = need.least, need.comfortable
    if rule.dimension == "count":
        least, comfortable = float(ceil(least - SLACK)), float(ceil(comfortable - SLACK))
    yield row(
        coop, rule.key, rule.label, rule.have(coop), Need(least, comfortable),
        measure=rule.measure, dimension=rule.dimension, source=rule.source, slack=rule.slack,
    )  # fmt: skip


def _water(coop: Coop, flocks: tuple[Flock, ...], day: date, hottest_c: float) -> Criterion:
    return row(
        coop, "drinker", f"drinkers, a day's water at {hottest_c:.0f} °C", capacity_l(coop),
        needs.water_l(flocks, day, hottest_c), measure="read the drinkers' capacity",
        dimension="volume", source=water_source(hottest_c),
    )  # fmt: skip


def _eu_rest(coop: Coop, flocks: tuple[Flock, ...], day: date) -> Iterator[Criterion]:
    """Water, litter and the build of the house, as the directive has them."""
    if _plumbed(coop):
        need = _NIPPLES.need(flocks, day)
        at_least_two = Need(max(need.least, _NIPPLES_IN_REACH), need.comfortable)
        yield from _measured(_NIPPLES, coop, at_least_two)
    if not coop.drinker or any(each.type not in _PLUMBED for each in coop.drinker):
        yield from _measured(_DRINKING_EDGE, coop, _DRINKING_EDGE.need(flocks, day))
    yield _litter(coop, needs.a_chicken(0.025, 0.05)(flocks, day))
    perches = coop.perches
    yield row(
        coop, "headroom", "headroom", coop.height_m, Need(0.45, 0.45), source=_EU_REST,
        measure="measure the lowest place of the room",
    )  # fmt: skip
    yield row(
        coop, "perch-spacing", "gap between perches", perches.spacing_m if perches else None,
        Need(0.30, 0.30), source=_EU_REST, measure="measure perch to perch",
    )  # fmt: skip
    yield row(
        coop, "perch-wall", "gap from perch to wall", perches.wall_m if perches else None,
        Need(0.20, 0.20), source=_EU_REST, measure="measure perch to wall",
    )  # fmt: skip
    yield row(
        coop, "slope", "slope of the floor", coop.slope_percent, None, most=14.0,
        dimension="percent", source=_EU_REST, measure="measure how it falls",
    )  # fmt: skip
    yield _eu_reach(coop, flocks)


def _litter(coop: Coop, by_hens: Need) -> Criterion:
    """At least 250 cm² a hen, and at least a third of the floor."""
    third_m2 = (_floor(coop) or 0.0) / 3
    return row(
        coop, "litter", "littered area", _floor(coop) if coop.bedding else None,
        Need(max(by_hens.least, third_m2), max(by_hens.comfortable, third_m2)),
        dimension="area", source=EU_LITTER, measure="measure the floor with bedding",
    )  # fmt: skip


def _eu_reach(coop: Coop, flocks: tuple[Flock, ...]) -> Criterion:
    hens = sum(flock.hens for flock in flocks)
    binds = hens >= EU_BINDS_FROM_HENS
    return Criterion(
        coop_id=coop.id, key="reach", label="does it bind you", have=float(hens),
        need=float(EU_BINDS_FROM_HENS), comfortable=None, dimension="count", verdict="explained",
        source=_SMALL_FLOCK,
        note="It binds." if binds else "Not legally; good practice for a small flock.",
    )  # fmt: skip


def capacity(profile: Profile, coop: Coop, rules: RuleSet, day: date) -> Capacity | None:
    """How many birds like those in it the known sizes of the house hold, and what binds first.

    Feeders and drinkers are bought, so they bind nothing. None when no size is known.
    """
    flocks = profile.flocks_of(coop.id)
    birds = sum(flock.hens + flock.roosters + flock.young for flock in flocks)
    held = []
    for rule in _RULES[rules]:
        have, need = rule.have(coop), rule.needed(flocks, day, profile.units)
        if rule.binds and have is not None and need.least:
            each = need.least * (1 - rule.slack) / birds
            held.append((floor(have / each + SLACK), rule.label))
    if not held:
        return None
    most, binding = min(held)
    return Capacity(coop_id=coop.id, birds=most, binding=binding)
