"""Sizes that cannot all be true of one house."""

from collections.abc import Iterator

from scheduler.profile.coop import Coop
from scheduler.profile.problem import KeyPath, Problem

_CLOSEST_PERCHES_M = 0.2


def impossible_sizes(coop: Coop, key: KeyPath) -> Iterator[Problem]:
    """Sizes that cannot all be true of one house: one of them is a slip of the pen."""
    if not coop.floor:
        return
    floor_m2 = coop.floor.area_m2
    length_m = coop.perches.length_m if coop.perches else None
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
