"""What is said by changing the profile on a page: which version it became, and what differs."""

from dataclasses import dataclass
from typing import ClassVar, Literal

from scheduler.cares.diary.entry import Family, Said

MOST_DIFFERENCES = 40


@dataclass(frozen=True, slots=True, kw_only=True)
class Differs:
    """What was before and is after at that place of the profile; "" where there was or is none.

    `where` is as a `Difference` has it. An address is never among the values.
    """

    where: tuple[str | int, ...]
    before: str = ""
    after: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ProfileChanged(Said):
    """It became the version `number`, with the first forty differences; `more` counts the rest.

    `put_back` is the number of the version that was put back.
    """

    KIND: ClassVar[str] = "profile-changed"
    FAMILY: ClassVar[Family] = "profile"
    number: int
    differs: tuple[Differs, ...] = ()
    more: int = 0
    how: Literal["changed", "put back", "taken over", "begun"] = "changed"
    put_back: int | None = None


PROFILE_KINDS = (ProfileChanged,)
