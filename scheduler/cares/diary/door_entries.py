"""What is said of a door, and of its birds, on an evening."""

from dataclasses import dataclass
from typing import ClassVar

from scheduler.cares.diary.entry import Family, Said


@dataclass(frozen=True, slots=True, kw_only=True)
class OfADoor(Said):
    """Of a house's evening; `flock` is how many birds the profile had there when it was said."""

    FAMILY: ClassVar[Family] = "door"
    flock: int


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorShut(OfADoor):
    """The door is shut on `count` birds; None: nobody counted. `some_missing`: not all are in."""

    KIND: ClassVar[str] = "door-shut"
    count: int | None = None
    some_missing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorReopened(OfADoor):
    """The door is open again."""

    KIND: ClassVar[str] = "door-reopened"


@dataclass(frozen=True, slots=True, kw_only=True)
class OfBirds(OfADoor):
    """Of so many of the house's birds; None: all that it can be about."""

    birds: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsFound(OfBirds):
    """Missing birds are found and in."""

    KIND: ClassVar[str] = "found"


@dataclass(frozen=True, slots=True, kw_only=True)
class LookingStopped(OfBirds):
    """Nobody looks for them any more: tonight, or `for_good`."""

    KIND: ClassVar[str] = "stopped-looking"
    for_good: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsDied(OfBirds):
    """They are dead."""

    KIND: ClassVar[str] = "died"


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsAway(OfBirds):
    """They sleep elsewhere."""

    KIND: ClassVar[str] = "away"


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsHomeAgain(OfBirds):
    """They sleep at home again."""

    KIND: ClassVar[str] = "home-again"


DOOR_KINDS = (
    DoorShut, DoorReopened, BirdsFound, LookingStopped, BirdsDied, BirdsAway, BirdsHomeAgain
)  # fmt: skip
