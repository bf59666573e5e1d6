"""What is said of eggs."""

from dataclasses import dataclass
from typing import ClassVar

from scheduler.cares.diary.entry import Family, Said


@dataclass(frozen=True, slots=True, kw_only=True)
class EggsCounted(Said):
    """So many eggs were collected from the house that day, beside what was said before."""

    KIND: ClassVar[str] = "eggs-counted"
    FAMILY: ClassVar[Family] = "eggs"
    eggs: int


EGG_KINDS = (EggsCounted,)
