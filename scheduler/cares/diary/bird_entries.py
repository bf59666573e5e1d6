"""What is said of birds that come to a house, or leave it, for good.

The profile is where a house's number begins; these move it from there, until the profile is given
another number: then the profile knows.
"""

from dataclasses import dataclass
from typing import ClassVar

from scheduler.cares.diary.door_entries import OfBirds


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsArrived(OfBirds):
    """So many have come to live there."""

    KIND: ClassVar[str] = "arrived"


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsHatched(OfBirds):
    """So many have hatched there."""

    KIND: ClassVar[str] = "hatched"


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsSold(OfBirds):
    """So many were sold or given away."""

    KIND: ClassVar[str] = "sold"


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsMoved(OfBirds):
    """So many have moved `to` another house, or have come `out_of` one: an entry for each."""

    KIND: ClassVar[str] = "moved"
    to: str = ""
    out_of: str = ""


BIRD_KINDS = (BirdsArrived, BirdsHatched, BirdsSold, BirdsMoved)
