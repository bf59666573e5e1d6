"""What is said of a door, and what comes of it: values that the use cases share."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from scheduler.cares.closing import COMES, LEAVES, Closing, ClosingKind
from scheduler.cares.door_state import Door
from scheduler.profile.who_may import TERMINAL, Matter, Voice
from scheduler.service.diary import Refused


@dataclass(frozen=True, slots=True, kw_only=True)
class Statement:
    """What was said: of one coop (by its id), or of all that it fits; see `Closing`.

    `turn` is how much had been said of that evening when the page was made on which a button was
    pressed: with it, what says nothing new or comes too late is not kept a second time. `waited`:
    the press was kept on the phone, and comes later than it was made. `to` is the house (by its
    id) that birds moved to.
    """

    kind: ClosingKind
    coop: str | None = None
    count: int | None = None
    some_missing: bool = False
    who: str
    at: datetime | None = None
    evening: date | None = None
    sure: bool = False
    turn: int | None = None
    waited: bool = False
    to: str | None = None
    voice: Voice = TERMINAL


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """Closings of an evening that one person says with one press, each of a house of its own."""

    evening: date
    statements: tuple[Statement, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """It was kept: for these coops of that evening; `late` after the next let-out.

    `expected` is from before it, `states` how each door stands after it.
    """

    evening: date
    said: tuple[Closing, ...]
    names: tuple[str, ...]
    expected: tuple[int, ...]
    late: bool
    states: tuple[Door, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskFirst:
    """The door is said to be shut hours before the lock-up: is that meant?"""

    lock_up: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Overtaken:
    """Nothing was kept: it `stands` already, or something else has been said meanwhile.

    `since` is what has been said of later evenings, where that overtook it.
    """

    state: Door
    stands: bool
    since: tuple[Closing, ...] = ()


Result = Kept | Refused | AskFirst | Overtaken
_MATTERS: Mapping[ClosingKind, Matter] = {
    **dict.fromkeys((*COMES, *LEAVES), "birds"),
    "found": "search",
    "not-found": "search",
    # What of these goes beyond the missing is another matter, and asked about by the number.
    "elsewhere": "search",
    "dead": "search",
    "given-up": "search",
}


def matter_of(kind: ClosingKind) -> Matter:
    """What somebody has to be allowed to speak of to say that of a door at all."""
    return _MATTERS.get(kind, "door")
