"""The birds of a coop as groups of equals: how many, how heavy, in lay or not.

Ducks and other birds are left out of every figure: there are none for them here.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.husbandry.age import WEEKS_OF_CLASS, weeks_old
from scheduler.husbandry.growth import lay_share
from scheduler.profile.flock import Flock

# All common practice, no source.
MASS_KG = {"bantam": 0.9, "light": 1.8, "medium": 2.0, "heavy": 3.0}
ROOSTER_TO_HEN = 1.3
_HATCHLING_KG = 0.04
_GROWN_AT_WEEKS = 20.0
LAY_AT_UNKNOWN_AGE = 0.7
_EQUINOX = timedelta(hours=12)  # the mean day length of a year, at every place


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """Birds of one mass, and the share of days on which each of them lays an egg."""

    count: int
    mass_kg: float
    lay_share: float

    @property
    def laying(self) -> bool:
        """Whether they lay at all."""
        return self.lay_share > 0


def groups(flocks: Iterable[Flock], day: date, daylight: timedelta = _EQUINOX) -> tuple[Group, ...]:
    """The birds of the flocks on `day`, laying as in days of that length; without ducks, others.

    Hens of unknown age lay on seven days in ten.
    """
    found = []
    for flock in flocks:
        grown_kg = flock.mass_kg or MASS_KG[flock.kind]
        weeks = weeks_old(flock, day)
        if flock.hens:
            share = lay_share(flock, day, daylight)
            share = LAY_AT_UNKNOWN_AGE if share is None else share
            found.append(Group(count=flock.hens, mass_kg=grown_kg, lay_share=share))
        if flock.roosters:
            kg = grown_kg * ROOSTER_TO_HEN
            found.append(Group(count=flock.roosters, mass_kg=kg, lay_share=0.0))
        if flock.young:
            kg = mass_at_kg(grown_kg, weeks if weeks is not None else WEEKS_OF_CLASS["pullet"])
            found.append(Group(count=flock.young, mass_kg=kg, lay_share=0.0))
    return tuple(found)


def mass_at_kg(grown_kg: float, weeks: float) -> float:
    """Mass by age: a straight line from the hatchling to the grown bird at 20 weeks."""
    share = min(max(weeks / _GROWN_AT_WEEKS, 0.0), 1.0)
    return _HATCHLING_KG + share * (grown_kg - _HATCHLING_KG)


def eggs_a_week(birds: Iterable[Group]) -> float:
    """How many eggs the groups lay in seven days."""
    return sum(7 * group.count * group.lay_share for group in birds)


def left_out(flocks: Iterable[Flock]) -> int:
    """How many birds have no figures."""
    return sum(flock.others for flock in flocks)


def head_count(birds: Iterable[Group]) -> int:
    """How many birds the groups hold."""
    return sum(group.count for group in birds)
