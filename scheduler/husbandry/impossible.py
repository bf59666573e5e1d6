"""Sizes that cannot all be true of one house."""

from collections.abc import Iterator

from scheduler.profile.coop import Coop
from scheduler.profile.problem import KeyPath, Problem
from scheduler.profile.quantity import Quantity, read_written, reckoned, write
from scheduler.profile.units import Units

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
            found=f"{length} of perch on a floor of {of(floor_m2, 'm²', 2)}",
            accepted=f"at most {of(most_m, 'm', 1)}, perches {write(_APART, units)} apart",
        )
    if coop.height_m:
        walls_m2 = coop.floor.perimeter_m * coop.height_m
        vents_m2 = sum(vent.area_m2 for vent in coop.vent)
        if vents_m2 > walls_m2:
            yield Problem(
                key=(*key, "vent"),
                found=f"{of(vents_m2, 'm²', 2)} of vents in {of(walls_m2, 'm²', 2)} of wall",
                accepted="vents smaller than the walls they are in",
            )
    nests = coop.nests
    if nests and nests.count and nests.size and nests.count * nests.size.area_m2 > 2 * floor_m2:
        size = f"{nests.count} nests of {of(nests.size.area_m2, 'm²', 2)}"
        yield Problem(
            key=(*key, "nests", "size"),
            found=f"{size} in a floor of {of(floor_m2, 'm²', 2)}",
            accepted="nests that fit into the house in two rows",
        )
