"""The birds of a coop as groups of equals: how many, how heavy, in lay or not.

Ducks and other birds are left out of every figure: there are none for them here.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from scheduler.husbandry.age import WEEKS_OF_CLASS, weeks_old
from scheduler.profile.values import Flock

# All common practice, no source.
MASS_KG = {"bantam": 0.9, "light": 1.8, "medium": 2.0, "heavy": 3.0}
_ROOSTER_TO_HEN = 1.3
_HATCHLING_KG = 0.04
_GROWN_AT_WEEKS = 20.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Birds of one mass; `laying` when they are hens grown enough to lay."""

    count: int
    mass_kg: float
    laying: bool


def groups(flocks: Iterable[Flock], day: date) -> tuple[Group, ...]:
    """The birds of the flocks on `day`; ducks and others are not among them."""
    found = []
    for flock in flocks:
        grown_kg = flock.mass_kg or MASS_KG[flock.kind]
        weeks = weeks_old(flock, day)
        if flock.hens:
            # Beside young ones the hatch date is theirs; the hen that leads them is grown.
            lays = bool(flock.young) or weeks is None or weeks >= _GROWN_AT_WEEKS
            found.append(Group(count=flock.hens, mass_kg=grown_kg, laying=lays))
        if flock.roosters:
            kg = grown_kg * _ROOSTER_TO_HEN
            found.append(Group(count=flock.roosters, mass_kg=kg, laying=False))
        if flock.young:
            kg = mass_at_kg(grown_kg, weeks if weeks is not None else WEEKS_OF_CLASS["pullet"])
            found.append(Group(count=flock.young, mass_kg=kg, laying=False))
    return tuple(found)


def mass_at_kg(grown_kg: float, weeks: float) -> float:
    """Mass by age: a straight line from the hatchling to the grown bird at 20 weeks."""
    share = min(max(weeks / _GROWN_AT_WEEKS, 0.0), 1.0)
    return _HATCHLING_KG + share * (grown_kg - _HATCHLING_KG)


def left_out(flocks: Iterable[Flock]) -> int:
    """How many birds have no figures."""
    return sum(flock.others for flock in flocks)


def head_count(birds: Iterable[Group]) -> int:
    """How many birds the groups hold."""
    return sum(group.count for group in birds)
