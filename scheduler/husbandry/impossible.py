"""Sizes that cannot all be true of one house."""

from collections.abc import Iterator

from scheduler.profile.coop import Coop
from scheduler.profile.problem import KeyPath, Problem
from scheduler.profile.quantity import Quantity, read_written, reckoned, write
from scheduler.profile.units import Units
from scheduler.wording.husbandry.impossible import ImpossibleSizes

_CLOSEST_PERCHES_M = 0.2
_APART = read_written("20 cm")


def impossible_sizes(coop: Coop, key: KeyPath, units: Units) -> Iterator[Problem]:
    """Sizes that cannot all be true of one house: one of them is a slip of the pen."""
    if not coop.floor:
        return

    def of(value: float, unit: str, digits: int) -> str:
        return write(reckoned(value, unit, digits), units)

    floor_m2 = coop.floor.area_m2
    length_m = coop.perches.length_m if coop.perches else None
    most_m = floor_m2 / _CLOSEST_PERCHES_M
    if length_m is not None and length_m > most_m:
        length = write(Quantity((length_m,), "m", written=f"{length_m:g}"), units)
        yield Problem(
            key=(*key, "perches", "length"),
            found=ImpossibleSizes.perches(length=length, floor=of(floor_m2, "m²", 2)),
            accepted=ImpossibleSizes.perches_at_most(
                length=of(most_m, "m", 1), apart=write(_APART, units)
            ),
        )
    if coop.height_m:
        walls_m2 = coop.floor.perimeter_m * coop.height_m
        vents_m2 = sum(vent.area_m2 for vent in coop.vent)
        if vents_m2 > walls_m2:
            yield Problem(
                key=(*key, "vent"),
                found=ImpossibleSizes.vents(
                    vents=of(vents_m2, "m²", 2), walls=of(walls_m2, "m²", 2)
                ),
                accepted=ImpossibleSizes.vents_smaller(),
            )
    nests = coop.nests
    if nests and nests.count and nests.size and nests.count * nests.size.area_m2 > 2 * floor_m2:
        yield Problem(
            key=(*key, "nests", "size"),
            found=ImpossibleSizes.nests(
                nests=nests.count,
                size=of(nests.size.area_m2, "m²", 2),
                floor=of(floor_m2, "m²", 2),
            ),
            accepted=ImpossibleSizes.nests_that_fit(),
        )
