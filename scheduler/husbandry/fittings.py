"""Perches, nests, wire, locks and company: what is checked whatever the number of birds."""

from collections.abc import Iterator
from datetime import date

from scheduler.husbandry.age import nesting
from scheduler.husbandry.criterion import (
    ROUND_SLACK,
    Criterion,
    Judged,
    Verdict,
    judged,
    row,
    unknown,
    worded,
)
from scheduler.husbandry.figure import COMMON_PRACTICE, NEST_SIZE
from scheduler.husbandry.needs import NEST_BEDDING_M, PERCH_WIDTH_M, Need
from scheduler.profile.coop import Coop
from scheduler.profile.fields import Kind
from scheduler.profile.flock import Flock
from scheduler.profile.phrase import filled
from scheduler.profile.quantity import read_written
from scheduler.profile.units import INCH_M, Units
from scheduler.wording.husbandry.fittings import (
    FittingLabels,
    FittingNeeds,
    FittingsToMeasure,
    Latches,
    NestPlaces,
    RunRoofs,
    WireSides,
)

_HALF_INCH_MESH_M = 0.013  # as it is sold; a rat wants 12 mm (common practice, no source)
_PERCH_HIGHEST_M = 0.9
_NEST_PLACES: Judged = {
    "dark rear": (NestPlaces.dark_rear, "comfortable"),
    "outside": (NestPlaces.outside, "meets the minimum"),
    "light": (NestPlaces.light, "short"),
}
_WIRE_SIDES: Judged = {
    "outside": (WireSides.outside, "comfortable"),
    "inside": (WireSides.inside, "short"),
}
_ROOFS: Judged = {
    "secure": (RunRoofs.secure, "comfortable"),
    "netting": (RunRoofs.netting, "meets the minimum"),
    "open": (RunRoofs.open, "short"),
}
_LATCHES: Judged = {
    "two-step": (Latches.two_step, "comfortable"),
    "simple": (Latches.simple, "short"),
}


def inch_m(units: Units) -> float:
    """An inch of a round mark; for metric keepers 2.5 cm, as 12 in is said as 30 cm."""
    return 0.025 if units == "metric" else float(INCH_M)


def perches_and_nests(
    coop: Coop, flocks: tuple[Flock, ...], day: date, units: Units
) -> Iterator[Criterion]:
    """Gap, width and height of the perches; the nests of birds that lay or soon will."""
    perches, nests, inch = coop.perches, coop.nests, inch_m(units)
    yield row(
        coop, "perch-spacing", FittingLabels.perch_gap, perches.spacing_m if perches else None,
        Need(12 * inch, 14 * inch), measure=FittingsToMeasure.perch_gap, slack=ROUND_SLACK,
    )  # fmt: skip
    least_m, most_m = _perch_width_m({flock.kind for flock in flocks})
    yield row(
        coop, "perch-timber", FittingLabels.perch_width, perches.width_m if perches else None,
        Need(least_m, least_m), most=most_m, measure=FittingsToMeasure.perch_width,
        slack=ROUND_SLACK,
    )  # fmt: skip
    yield _perch_height(coop)
    if not any(nesting(flock, day) for flock in flocks):
        return
    size = nests.size.area_m2 if nests and nests.size else None
    heavy = any(nesting(flock, day) and flock.kind == "heavy" for flock in flocks)
    sides = Need(14 * 14 * inch**2, 14 * 14 * inch**2)  # common practice, no source
    if not heavy:
        sides = Need(12 * 12 * inch**2, 12 * 14 * inch**2)
    yield row(
        coop, "nest-size", FittingLabels.nest_floor, size,
        sides, dimension="area",
        measure=FittingsToMeasure.nest, source=NEST_SIZE,
        slack=2 * ROUND_SLACK,
    )  # fmt: skip
    yield row(
        coop, "nest-depth", FittingLabels.nest_bedding, nests.depth_m if nests else None,
        Need(*NEST_BEDDING_M), measure=FittingsToMeasure.nest_depth,
    )  # fmt: skip
    yield worded(
        coop, "nest-place", FittingLabels.nest_place, nests.place if nests else None,
        good=_NEST_PLACES, need=FittingNeeds.nest_place,
    )  # fmt: skip


def _perch_width_m(kinds: set[Kind]) -> tuple[float, float]:
    """What fits the feet of them all: the widest least, and the narrowest most above it."""
    bounds = [PERCH_WIDTH_M[kind] for kind in sorted(kinds)] or [PERCH_WIDTH_M["medium"]]
    return max(least for least, _ in bounds), min(most for _, most in bounds)


def _perch_height(coop: Coop) -> Criterion:
    height = coop.perches.height_m if coop.perches else None
    above, most = read_written("6 in = 15 cm"), read_written("90 cm")
    note = filled(FittingNeeds.perch_height, above=above, most=most)
    return Criterion(
        coop_id=coop.id, key="perch-height", label=FittingLabels.perch_height(), have=height,
        need=None, most=_PERCH_HIGHEST_M, comfortable=None, dimension="length",
        verdict="explained" if height else "unknown", source=COMMON_PRACTICE,
        note=note if height else unknown(FittingsToMeasure.perch_height),
    )  # fmt: skip


def proofing(coop: Coop, units: Units) -> Iterator[Criterion]:
    """What keeps predators out of the run."""
    run = coop.run
    yield worded(
        coop, "wire-side", FittingLabels.wire_side, run.wire_side if run else None,
        good=_WIRE_SIDES, need=FittingNeeds.wire_side,
    )  # fmt: skip
    yield row(
        coop, "mesh", FittingLabels.mesh, run.mesh_m if run else None, None,
        most=_HALF_INCH_MESH_M, measure=FittingsToMeasure.mesh,
    )  # fmt: skip
    yield _dig_proof(coop, inch_m(units))
    roof: str | None = run.type if run and "type" in run.model_fields_set else None
    if roof == "open" and run and run.netting == "overhead":
        roof = "netting"
    yield worded(
        coop, "run-roof", FittingLabels.roof, roof,
        good=_ROOFS, need=FittingNeeds.roof,
    )  # fmt: skip
    yield worded(
        coop, "latch", FittingLabels.latch, coop.latch,
        good=_LATCHES, need=FittingNeeds.latch,
    )  # fmt: skip


def _dig_proof(coop: Coop, inch_m: float) -> Criterion:
    """Wire buried 6 in or turned out 12 in; the better of the two counts."""
    run, measure = coop.run, FittingsToMeasure.digging
    buried = row(
        coop, "digging", FittingLabels.digging, run.buried_m if run else None,
        Need(6 * inch_m, 12 * inch_m), measure=measure, slack=ROUND_SLACK,
    )  # fmt: skip
    apron = row(
        coop, "digging", FittingLabels.apron, run.apron_m if run else None,
        Need(12 * inch_m, 24 * inch_m), measure=measure, slack=ROUND_SLACK,
    )  # fmt: skip
    order: tuple[Verdict, ...] = ("comfortable", "meets the minimum", "short", "unknown")
    return min(buried, apron, key=lambda criterion: order.index(criterion.verdict))


def company(coop: Coop, flocks: tuple[Flock, ...]) -> Criterion:
    """Whether there are two chickens at least."""
    birds = sum(flock.chickens for flock in flocks)
    return Criterion(
        coop_id=coop.id, key="company", label=FittingLabels.company(), have=float(birds), need=2.0,
        comfortable=3.0, dimension="count", verdict=judged(float(birds), 2.0, 3.0),
        source=COMMON_PRACTICE, note="" if birds > 1 else FittingNeeds.company(),
    )  # fmt: skip
