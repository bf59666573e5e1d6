"""What keepers say of a door in the evening, and what is asked of it by itself."""

from bisect import bisect_right
from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal

FlockChange = Literal["arrived", "hatched", "moved-in", "sold", "moved-out"]
EndingKind = Literal["found", "not-found", "dead", "given-up", "elsewhere", "back"]
ClosingKind = Literal["closed", "reopened", EndingKind, FlockChange, "undone"]
COMES: frozenset[ClosingKind] = frozenset({"arrived", "hatched", "moved-in"})
LEAVES: frozenset[ClosingKind] = frozenset({"sold", "moved-out"})
MANY_BIRDS = 20  # from here on nobody counts every evening (common practice, no source)
_DAY = timedelta(days=1)
_FULL_COUNT_EVERY = timedelta(days=7)  # common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """One thing said of one coop's evening.

    `count` is what was counted in (closed), or how many birds it is about (the others); None
    means not counted, or all that it can be about. `flock` is how many birds the profile had in
    the coop when it was said, at `made_at` where that is not `at`. Of what was taken back there
    remains "undone": `was`, `was_at` and `was_by` say what it had been, `at` and `who` when and by
    whom it was taken back. `other_coop` is where birds moved to or came from.
    """

    kind: ClosingKind
    coop_id: str
    evening: date
    at: datetime
    who: str
    flock: int
    count: int | None = None
    some_missing: bool = False
    was: ClosingKind | None = None
    was_at: datetime | None = None
    was_by: str = ""
    made_at: datetime | None = None
    other_coop: str = ""

    @property
    def known_at(self) -> datetime:
        """Since when it is known, whenever it happened."""
        return self.made_at or self.at

    @property
    def happened_at(self) -> datetime:
        """When it happened, whether it was taken back since or not."""
        return self.was_at or self.at

    @property
    def is_of_shutting(self) -> bool:
        """Whether it says that the door was shut, or takes that back."""
        return "closed" in {self.kind, self.was}

    @property
    def took_back_an_ending(self) -> bool:
        """Whether it takes back what was said of birds, not of the door."""
        return self.was is not None and self.was not in {"closed", "reopened"}


def found_when_said(closings: Iterable[Closing]) -> list[Closing]:
    """Them evening by evening, as they happened, whenever they were said.

    A find said of an evening that was counted after is of that count's: of whoever was still
    missing by it nobody can have known before that she is found.
    """
    told = sorted(closings, key=lambda one: (one.evening, one.happened_at))
    late = [one for one in told if one.kind == "found" and one.at.date() > one.evening]
    for one in late:
        # Nobody counts on an evening to come; the date at the site may be one ahead of UTC's.
        first = bisect_right(told, one.evening, key=evening_of)
        last = bisect_right(told, one.at.date() + _DAY, key=evening_of)
        counted = [
            other.evening
            for other in told[first:last]
            if (other.kind, other.coop_id) == ("closed", one.coop_id)
            and other.count is not None
            and other.at < one.at
        ]
        if counted:
            told.remove(one)
            moved = replace(one, evening=max(counted))
            place = (moved.evening, moved.at)
            before = [
                n for n, other in enumerate(told) if (other.evening, other.happened_at) <= place
            ]
            told.insert(before[-1] + 1, moved)
    return told


def evening_of(said: Closing) -> date:
    return said.evening


def last_count(closings: Iterable[Closing], coop_id: str, evening: date) -> date | None:
    """The last evening before this one on which the coop's birds were counted."""
    shut = (one for one in closings if (one.kind, one.coop_id) == ("closed", coop_id))
    counted = (one.evening for one in shut if one.count is not None and one.evening < evening)
    return max(counted, default=None)


def is_count_due(closings: Iterable[Closing], coop_id: str, evening: date, expected: int) -> bool:
    """Whether so many birds that nobody counts nightly have not been counted for a week.

    A door of which less than a week is known has not been without a count for one.
    """
    if expected < MANY_BIRDS:
        return False
    known = list(closings)
    shut = [one.evening for one in known if one.coop_id == coop_id and one.kind == "closed"]
    since = last_count(known, coop_id, evening) or min(shut, default=evening)
    return evening - since >= _FULL_COUNT_EVERY
