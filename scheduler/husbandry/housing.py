"""The housing check: what is there, what is needed, and whether that is short.

Two rule sets: backyard practice (default) and the EU figures for laying hens, which bind flocks of
350 and more and are good practice for fewer; what counts as comfortable is common practice in both.
A size that is not given is unknown, never guessed.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from math import ceil, floor
from typing import Literal

from scheduler.husbandry.consumption import capacity_l
from scheduler.husbandry.figure import COMMON_PRACTICE, EU_DIRECTIVE, Source
from scheduler.profile.problem import KeyPath, Problem
from scheduler.profile.units import FOOT_M, INCH_M, Dimension
from scheduler.profile.values import Coop, Flock, Profile

RuleSet = Literal["backyard", "eu"]
Verdict = Literal["short", "meets the minimum", "comfortable", "unknown", "explained"]
EU_BINDS_FROM_HENS = 350
_SQ_FT_M2, _INCH_M = float(FOOT_M**2), float(INCH_M)
_ABOUT_FOUR_INCHES_M = 0.10
_PERCH_DRAFT = Source("Law Commission of India, Report 269, draft rules, r. 14", "S")
_HOBBY = Source("C. McLaughlin, Hobby Farm Animals (mesh, buried wire)", "S")
_SMALL_FLOCK = Source("1999/74/EC binds flocks of 350 hens and more; good practice for fewer", "S")
BALE_L = 227.0  # a compressed bale of shavings, loose, common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Criterion:
    """One thing that is checked; amounts in SI units, or counts, or words."""

    coop_id: str
    key: str
    label: str
    have: float | str | None
    need: float | str
    comfortable: float | None
    dimension: Dimension | Literal["count", "words"]
    verdict: Verdict
    source: Source
    note: str = ""
    at_most: bool = False

    @property
    def margin(self) -> float | None:
        """How much better than needed, as a share of the need; negative when short."""
        numbers = isinstance(self.have, float | int) and isinstance(self.need, float | int)
        if not numbers or not self.need or self.verdict == "explained":
            return None
        better = float(self.have or 0) / float(self.need) - 1
        return -better if self.at_most else better


@dataclass(frozen=True, slots=True, kw_only=True)
class Capacity:
    """How many birds a coop holds, and what binds first."""

    coop_id: str
    birds: int
    binding: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """Something to buy or add."""

    coop_id: str
    what: str
    amount: float
    unit: str
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rule:
    """What a bird needs of one thing, and of what there is."""

    key: str
    label: str
    dimension: Dimension | Literal["count"]
    have: Callable[[Coop], float | None]
    minimum: float
    comfortable: float
    source: Source
    measure: str
    per: Literal["bird", "hen"] = "bird"


def _floor(coop: Coop) -> float | None:
    return coop.floor.area_m2 if coop.floor else None


def _nests(coop: Coop) -> float | None:
    return float(coop.nests.count) if coop.nests and coop.nests.count is not None else None


def _perch(coop: Coop) -> float | None:
    return coop.perches.length_m if coop.perches else None


def _run(coop: Coop) -> float | None:
    return coop.run.floor.area_m2 if coop.run and coop.run.floor else None


def _feeder(coop: Coop) -> float | None:
    known = [f.length_m * f.count for f in coop.feeder if f.length_m is not None]
    return sum(known) if known and len(known) == len(coop.feeder) else None


def _nipples(coop: Coop) -> float | None:
    counted = [float(d.count) for d in coop.drinker if d.type in {"nipple", "cup"}]
    return sum(counted) if counted else None


def _vents(place: str | None) -> Callable[[Coop], float | None]:
    def area_m2(coop: Coop) -> float | None:
        if not coop.vent:
            return None
        return sum(vent.area_m2 for vent in coop.vent if place in (None, vent.place))

    return area_m2


_BACKYARD: tuple[_Rule, ...] = (
    _Rule(
        key="floor", label="indoor floor", dimension="area", source=COMMON_PRACTICE,
        have=_floor,
        minimum=2.5 * _SQ_FT_M2, comfortable=3.5 * _SQ_FT_M2, measure="measure the floor inside",
    ),
    _Rule(
        key="run", label="run", dimension="area", source=COMMON_PRACTICE, have=_run,
        minimum=4 * _SQ_FT_M2, comfortable=5 * _SQ_FT_M2, measure="measure the fenced run",
    ),
    _Rule(
        key="perch", label="perch length", dimension="length", source=COMMON_PRACTICE, have=_perch,
        minimum=9 * _INCH_M, comfortable=10 * _INCH_M, measure="measure all perches together",
    ),
    _Rule(
        key="nests", label="nests", dimension="count", source=COMMON_PRACTICE, per="hen",
        have=_nests,
        minimum=1 / 5, comfortable=1 / 4, measure="count the nests",
    ),
    _Rule(
        key="feeder", label="feeder length", dimension="length", source=COMMON_PRACTICE,
        have=_feeder, minimum=3 * _INCH_M, comfortable=4 * _INCH_M,
        measure="measure the feeding edge, both sides",
    ),
    _Rule(
        key="drinker", label="drinkers, a day's water", dimension="volume", source=COMMON_PRACTICE,
        have=capacity_l, minimum=0.27, comfortable=0.5, measure="read the drinkers' capacity",
    ),
    _Rule(
        key="vents-winter", label="high vents, for winter", dimension="area",
        source=COMMON_PRACTICE, have=_vents("high"),
        minimum=0.1 * _SQ_FT_M2, comfortable=0.2 * _SQ_FT_M2, measure="measure the high vents",
    ),
    _Rule(
        key="vents-summer", label="all vents, for summer", dimension="area",
        source=COMMON_PRACTICE, have=_vents(None),
        minimum=0.2 * _SQ_FT_M2, comfortable=1.0 * _SQ_FT_M2, measure="measure every vent",
    ),
)  # fmt: skip
_EU: tuple[_Rule, ...] = (
    _Rule(
        key="floor", label="usable area", dimension="area", source=EU_DIRECTIVE,
        have=_floor,
        minimum=1 / 9, comfortable=1 / 6, measure="measure the floor inside",
    ),
    _Rule(
        key="perch", label="perch length", dimension="length", source=EU_DIRECTIVE, have=_perch,
        minimum=0.15, comfortable=0.20, measure="measure all perches together",
    ),
    _Rule(
        key="nests", label="nests", dimension="count", source=EU_DIRECTIVE, per="hen",
        have=_nests,
        minimum=1 / 7, comfortable=1 / 5, measure="count the nests",
    ),
    _Rule(
        key="feeder", label="feeder length", dimension="length", source=EU_DIRECTIVE,
        have=_feeder, minimum=0.10, comfortable=0.12,
        measure="measure the feeding edge, both sides",
    ),
    _Rule(
        key="nipples", label="nipples or cups", dimension="count", source=EU_DIRECTIVE,
        have=_nipples, minimum=1 / 10, comfortable=1 / 8, measure="count nipples and cups",
    ),
    _Rule(
        key="litter", label="littered area", dimension="area", source=EU_DIRECTIVE,
        have=lambda c: c.floor.area_m2 if c.floor and c.bedding else None,
        minimum=0.025, comfortable=0.05, measure="measure the floor with bedding",
    ),
)  # fmt: skip
_RULES: dict[RuleSet, tuple[_Rule, ...]] = {"backyard": _BACKYARD, "eu": _EU}


def criteria(profile: Profile, coop: Coop, rules: RuleSet) -> Iterator[Criterion]:
    """Every criterion of the rule set for the coop and the birds in it."""
    flocks = profile.flocks_of(coop.id)
    for rule in _RULES[rules]:
        yield _measured(rule, coop, flocks)
    if rules == "eu":
        yield _eu_reach(coop, flocks)
        return
    yield from _perches_and_nests(coop)
    yield from _bedding(coop)
    yield from _proofing(coop)
    yield _company(coop, flocks)


def _counted(rule: _Rule, flocks: tuple[Flock, ...]) -> int:
    hens = sum(flock.hens for flock in flocks)
    if rule.per == "hen":
        return hens
    return hens + sum(flock.roosters + flock.young for flock in flocks)


def _measured(rule: _Rule, coop: Coop, flocks: tuple[Flock, ...]) -> Criterion:
    birds = _counted(rule, flocks)
    have = rule.have(coop)
    need, comfortable = rule.minimum * birds, rule.comfortable * birds
    if rule.dimension == "count":
        need, comfortable = float(ceil(need)), float(ceil(comfortable))
    return Criterion(
        coop_id=coop.id,
        key=rule.key,
        label=rule.label,
        have=have,
        need=need,
        comfortable=comfortable,
        dimension=rule.dimension,
        verdict=_verdict(have, need, comfortable),
        source=rule.source,
        note="" if have is not None else f"unknown: {rule.measure}",
    )


def _verdict(have: float | None, need: float, comfortable: float) -> Verdict:
    if have is None:
        return "unknown"
    slack = 1e-9  # what is written as exactly the need meets it
    if have < need * (1 - slack):
        return "short"
    return "comfortable" if have >= comfortable * (1 - slack) else "meets the minimum"


def _one(  # noqa: PLR0913 - a row of a table
    coop: Coop,
    key: str,
    label: str,
    *,
    have: float | None,
    need: float,
    comfortable: float,
    measure: str,
    dimension: Dimension = "length",
    source: Source = COMMON_PRACTICE,
    at_most: bool = False,
) -> Criterion:
    verdict = _verdict(have, need, comfortable)
    if at_most and have is not None:
        slack = 1e-9
        verdict = "short" if have > need + slack else "meets the minimum"
        if have <= comfortable + slack:
            verdict = "comfortable"
    return Criterion(
        coop_id=coop.id, key=key, label=label, have=have, need=need, comfortable=comfortable,
        dimension=dimension, verdict=verdict, source=source,
        note=f"unknown: {measure}" if have is None else "", at_most=at_most,
    )  # fmt: skip


def _perches_and_nests(coop: Coop) -> Iterator[Criterion]:
    perches, nests = coop.perches, coop.nests
    yield _one(
        coop, "perch-spacing", "gap between perches", have=perches.spacing_m if perches else None,
        need=12 * _INCH_M, comfortable=14 * _INCH_M, measure="measure perch to perch",
    )  # fmt: skip
    yield _one(
        coop, "perch-timber", "width of the perch", have=perches.width_m if perches else None,
        need=0.0318, comfortable=2 * _INCH_M, measure="measure its top", source=_PERCH_DRAFT,
    )  # fmt: skip
    yield _perch_height(coop)
    size = nests.size.area_m2 if nests and nests.size else None
    yield _one(
        coop, "nest-size", "floor of a nest", have=size, dimension="area",
        need=12 * 12 * _INCH_M**2, comfortable=12 * 14 * _INCH_M**2, measure="measure one nest",
    )  # fmt: skip
    yield _one(
        coop, "nest-depth", "bedding in a nest", have=nests.depth_m if nests else None,
        need=_ABOUT_FOUR_INCHES_M, comfortable=0.15, measure="measure its depth",
    )  # fmt: skip
    yield _worded(
        coop, "nest-place", "place of the nests", nests.place if nests else None,
        good={"dark rear": "comfortable", "outside": "meets the minimum", "light": "short"},
        need="the dark rear, off the floor",
    )  # fmt: skip


def _perch_height(coop: Coop) -> Criterion:
    height = coop.perches.height_m if coop.perches else None
    note = (
        "Keepers differ: some set perches lower than the nest entrances; the commoner advice is at "
        "least 15 cm above them, since hens sleep on the highest thing, and at most 90 cm high."
    )
    return Criterion(
        coop_id=coop.id, key="perch-height", label="height of the perches", have=height, need=0.9,
        comfortable=None, dimension="length", verdict="explained" if height else "unknown",
        source=COMMON_PRACTICE, note=note if height else "unknown: measure above the bedding",
    )  # fmt: skip


def _bedding(coop: Coop) -> Iterator[Criterion]:
    yield _one(
        coop, "bedding-depth", "depth of the bedding",
        have=coop.bedding.depth_m if coop.bedding else None, need=_ABOUT_FOUR_INCHES_M,
        comfortable=0.15, measure="measure the bedding's depth",
    )  # fmt: skip


def _worded(  # noqa: PLR0913 - one row of a table
    coop: Coop, key: str, label: str, have: str | None, *, good: dict[str, Verdict], need: str,
    source: Source = COMMON_PRACTICE,
) -> Criterion:  # fmt: skip
    return Criterion(
        coop_id=coop.id, key=key, label=label, have=have, need=need, comfortable=None,
        dimension="words", verdict=good.get(have or "", "unknown"), source=source,
        note="" if have else "unknown: have a look",
    )  # fmt: skip


def _proofing(coop: Coop) -> Iterator[Criterion]:
    run = coop.run
    yield _worded(
        coop, "wire-side", "wire on the posts", run.wire_side if run else None,
        good={"outside": "comfortable", "inside": "short"}, need="fixed to the outside",
    )  # fmt: skip
    yield _one(
        coop, "mesh", "opening of the mesh", have=run.mesh_m if run else None, need=0.75 * _INCH_M,
        comfortable=0.0127, measure="measure one opening", source=_HOBBY, at_most=True,
    )  # fmt: skip
    yield _dig_proof(coop)
    roof: str | None = run.type if run and "type" in run.model_fields_set else None
    if roof == "open" and run and run.netting == "overhead":
        roof = "netting"
    yield _worded(
        coop, "run-roof", "roof over the run", roof,
        good={"secure": "comfortable", "netting": "meets the minimum", "open": "short"},
        need="roofed, all of it",
    )  # fmt: skip
    yield _worded(
        coop, "latch", "latch", coop.latch,
        good={"two-step": "comfortable", "simple": "short"}, need="two steps, or a carabiner",
    )  # fmt: skip


def _dig_proof(coop: Coop) -> Criterion:
    """Wire buried 6 in or turned out 12 in; the better of the two counts."""
    run = coop.run
    buried = _one(
        coop, "digging", "wire against digging", have=run.buried_m if run else None,
        need=6 * _INCH_M, comfortable=12 * _INCH_M, measure="how deep is the wire, or how wide",
    )  # fmt: skip
    apron = _one(
        coop, "digging", "wire turned out", have=run.apron_m if run else None,
        need=12 * _INCH_M, comfortable=24 * _INCH_M, measure="how deep is the wire, or how wide",
    )  # fmt: skip
    order: tuple[Verdict, ...] = ("comfortable", "meets the minimum", "short", "unknown")
    return min(buried, apron, key=lambda criterion: order.index(criterion.verdict))


def _company(coop: Coop, flocks: tuple[Flock, ...]) -> Criterion:
    birds = sum(flock.hens + flock.roosters + flock.young for flock in flocks)
    return Criterion(
        coop_id=coop.id, key="company", label="company", have=float(birds), need=2.0,
        comfortable=3.0, dimension="count", verdict=_verdict(float(birds), 2.0, 3.0),
        source=COMMON_PRACTICE, note="" if birds > 1 else "a hen is never kept singly",
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


def capacity(coop: Coop, rules: RuleSet) -> Capacity | None:
    """How many birds the known sizes hold, by the one that binds first; None when none is known."""
    held = []
    for rule in _RULES[rules]:
        have = rule.have(coop)
        if have is not None and rule.key not in {"vents-summer", "drinker"}:
            held.append((floor(have / rule.minimum + 1e-9), rule.label))
    if not held:
        return None
    birds, binding = min(held)
    return Capacity(coop_id=coop.id, birds=birds, binding=binding)


def shopping(found: list[Criterion], coop: Coop) -> Iterator[Purchase]:
    """What fills floor and nests with bedding, and the perch and nests that are missing."""
    depth_m = coop.bedding.depth_m if coop.bedding and coop.bedding.depth_m else 4 * _INCH_M
    if coop.floor:
        litres = coop.floor.area_m2 * depth_m * 1000
        count = ceil(litres / BALE_L)
        bales = f"{count} bale{'' if count == 1 else 's'} of about {BALE_L:.0f} L loose"
        note = _sold_as(coop) or bales
        yield Purchase(
            coop_id=coop.id, what="bedding for the floor", amount=litres, unit="L", note=note
        )
    nests = coop.nests
    if nests and nests.count and nests.size:
        litres = nests.count * nests.size.area_m2 * (nests.depth_m or 6 * _INCH_M) * 1000
        note = _sold_as(coop) or f"{litres / BALE_L:.1f} of a bale"
        yield Purchase(
            coop_id=coop.id, what="bedding for the nests", amount=litres, unit="L", note=note
        )
    for criterion in found:
        short = criterion.verdict == "short" and isinstance(criterion.have, float)
        if short and criterion.key in {"perch", "nests"} and isinstance(criterion.need, float):
            missing = criterion.need - float(criterion.have or 0)
            what = "perch to add" if criterion.key == "perch" else "nests to add"
            unit = "m" if criterion.key == "perch" else ""
            yield Purchase(coop_id=coop.id, what=what, amount=missing, unit=unit)


def _sold_as(coop: Coop) -> str:
    """Of another material than shavings, what a pack holds is known from its label alone."""
    material = coop.bedding.material if coop.bedding else "shavings"
    if material == "shavings":
        return ""
    return (
        "see the label for what a pack gives"
        if material == "other"
        else (f"{material}: see the label for what a pack gives")
    )


_CLOSEST_PERCHES_M = 0.2


def impossible_sizes(coop: Coop, key: KeyPath) -> Iterator[Problem]:
    """Sizes that cannot all be true of one house: one of them is a slip of the pen."""
    if not coop.floor:
        return
    floor_m2 = coop.floor.area_m2
    length_m = _perch(coop)
    if length_m is not None and length_m > floor_m2 / _CLOSEST_PERCHES_M:
        yield Problem(
            key=(*key, "perches", "length"),
            found=f"{length_m:g} m of perch on a floor of {floor_m2:.2f} m²",
            accepted=f"at most {floor_m2 / _CLOSEST_PERCHES_M:.1f} m, perches 20 cm apart",
        )
    if coop.height_m:
        walls_m2 = coop.floor.perimeter_m * coop.height_m
        vents_m2 = sum(vent.area_m2 for vent in coop.vent)
        if vents_m2 > walls_m2:
            yield Problem(
                key=(*key, "vent"),
                found=f"{vents_m2:.2f} m² of vents in {walls_m2:.2f} m² of wall",
                accepted="vents smaller than the walls they are in",
            )
    nests = coop.nests
    if nests and nests.count and nests.size and nests.count * nests.size.area_m2 > 2 * floor_m2:
        size = f"{nests.count} nests of {nests.size.area_m2:.2f} m²"
        yield Problem(
            key=(*key, "nests", "size"),
            found=f"{size} in a floor of {floor_m2:.2f} m²",
            accepted="nests that fit into the house in two rows",
        )
