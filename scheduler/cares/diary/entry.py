"""What somebody has said, as it is kept: who, when, of what, and the words' own values."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import ClassVar, Literal

# Who takes back what was said while this machine's clock ran ahead.
BY_CLOCK: Literal["the clock"] = "the clock"
Family = Literal["door", "search", "birds", "job", "eggs", "report", "profile", "unknown"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What was said; `KIND` and `VERSION` are kept with its values and never change their meaning.

    `FAMILY` is what is read together: to know a door nobody reads the jobs.
    """

    KIND: ClassVar[str]
    FAMILY: ClassVar[Family]
    VERSION: ClassVar[int] = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenBack(Said):
    """The entry of that number does not count any more; of one that takes back, it counts again."""

    KIND: ClassVar[str] = "taken-back"
    FAMILY: ClassVar[Family] = "unknown"  # it is kept with the family of what it takes back
    entry: int


@dataclass(frozen=True, slots=True, kw_only=True)
class FromNewer(Said):
    """An entry of a kind or version that only a newer program knows: kept, shown, not counted."""

    KIND: ClassVar[str] = "from-newer"
    FAMILY: ClassVar[Family] = "unknown"
    kind: str
    version: int
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Unreadable(Said):
    """An entry whose values are damaged: it names itself, and the others count as before."""

    KIND: ClassVar[str] = "unreadable"
    FAMILY: ClassVar[Family] = "unknown"
    kind: str
    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One thing said: by whom (as written, and by id where exactly one fits), when, of what.

    `number` counts a site's entries from 1 in the order of keeping; 0 until it is kept. `about` is
    the id of a house, a flock or the site, `day` the evening or date that it counts for.
    """

    what: Said
    about: str
    day: date
    who: str
    said_at: datetime
    happened_at: datetime
    person_id: str | None = None
    number: int = 0


def taken_back(entries: Iterable[Entry]) -> dict[int, Entry]:
    """What was taken back and still is, by its number: the entry that took it back.

    What is taken back twice was taken back by the one who said so first.
    """
    back = [
        (one.number, what.entry, one) for one in entries if isinstance(what := one.what, TakenBack)
    ]
    struck: dict[int, Entry] = {}
    # Whatever takes an entry back comes after it: the newest are the first to be sure.
    for number, target, one in sorted(back, key=lambda one: one[0], reverse=True):
        if number not in struck:
            struck[target] = one
    return struck
