"""What is said of a search while it goes on: nothing of it changes a door, or what is told of it.

It has a family of its own: what was said of doors is counted, and a button of a page comes too late
once more was said of its door.
"""

from dataclasses import dataclass
from typing import ClassVar

from scheduler.cares.diary.entry import Family, Said


@dataclass(frozen=True, slots=True, kw_only=True)
class LookingToo(Said):
    """Whoever says it looks for the missing birds of a house's evening, like others."""

    KIND: ClassVar[str] = "looking"
    FAMILY: ClassVar[Family] = "search"


SEARCH_KINDS = (LookingToo,)
