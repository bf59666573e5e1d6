"""Where a door stands in the evening, who belongs behind it, and who is missing."""

from dataclasses import dataclass
from datetime import date
from typing import Literal

from scheduler.cares.closing import Closing, ClosingKind

DoorState = Literal["open", "shut", "searching"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Birds that did not come in on the evening of `since` and were not found after it.

    `at_least`: nobody has counted since, so more of them may be missing.
    """

    since: date
    birds: int
    at_least: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """What became of so many birds, as it was said that evening."""

    kind: ClosingKind
    birds: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """Where one coop's evening stands.

    `expected` birds belong in tonight; `counted` were counted, or None when nobody counted. Of
    those expected `missing` are still looked for, and `lost` are not looked for any more tonight,
    but were not found: at least so many, where `vague`. `before` are those still missing from
    earlier evenings; `away` sleep elsewhere; `gone` are dead or given up, `given_up` of them the
    latter, who may yet come home; of the dead the last was said to be on the evening of `died_on`.
    `come` is how many more have come to live there than have left since the profile's number.

    `unsure`: some were missing, nobody knew how many; those known to be are accounted for, and
    nobody has counted since. `surplus`: so many more were found since than were known to be, when
    some were gone or away.

    `said` is the closing that shut the door, `other` a count by somebody else that it is not the
    same as, `opened` what opened the door again, `last` what was said last of that evening.
    `opening` counts how often it was opened again, `searches` how often birds were found to be
    missing, or more of them, `news` what was said of birds, or taken back, while nobody was
    looking for them. `endings` are what became of birds that evening, in the order of saying.
    """

    state: DoorState
    expected: int
    counted: int | None = None
    missing: int = 0
    vague: bool = False
    lost: int = 0
    before: tuple[Missing, ...] = ()
    away: int = 0
    gone: int = 0
    given_up: int = 0
    died_on: date | None = None
    come: int = 0
    unsure: bool = False
    surplus: int = 0
    opening: int = 0
    searches: int = 0
    news: int = 0
    endings: tuple[Ending, ...] = ()
    said: Closing | None = None
    other: Closing | None = None
    opened: Closing | None = None
    last: Closing | None = None
    evening: date = date.max  # of which this is told
    regained: tuple[Missing, ...] = ()  # of `before`, by the count: another count judges anew

    @property
    def over(self) -> int:
        """How many more were counted than belong there."""
        return max((self.counted or 0) - self.expected, 0)

    @property
    def is_surplus_asked(self) -> bool:
        """Whether a bird that was found may be one that is thought dead, lost or elsewhere."""
        return self.surplus > 0 and self.gone + self.away > 0

    @property
    def missing_before(self) -> int:
        """How many are still missing from earlier evenings."""
        return sum(one.birds for one in self.before)

    @property
    def at_large(self) -> int:
        """How many are not accounted for, looked for or not, whenever they were missed."""
        return self.missing + self.lost + self.missing_before

    @property
    def is_at_least(self) -> bool:
        """Whether more birds may be missing than are known to be: nobody has counted."""
        return self.vague or any(one.at_least for one in self.before)

    @property
    def may_miss_more(self) -> bool:
        """The same, also where none is known to be missing any more: some were, never counted."""
        return self.is_at_least or self.unsure

    @property
    def flock(self) -> int:
        """How many birds the profile has there."""
        return self.expected + self.missing_before + self.away + self.gone - self.come

    @property
    def may_come_home(self) -> int:
        """How many are elsewhere, or were given up for lost, and are not known to be dead."""
        return self.away + self.given_up

    @property
    def is_empty(self) -> bool:
        """Whether no bird sleeps there, and none is missing that might still come."""
        return self.expected + self.missing_before == 0

    @property
    def waits(self) -> bool:
        """Whether somebody still has to shut the door on birds."""
        return self.state == "open" and not self.is_empty

    @property
    def is_all_in(self) -> bool:
        """Whether the door is shut on just the birds that belong there, and none is missing."""
        return self.state == "shut" and self.counted == self.expected and not self.at_large

    @property
    def are_all_in(self) -> bool:
        """The same of several birds: of one nobody says "all"."""
        return self.is_all_in and self.expected > 1
