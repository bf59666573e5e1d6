"""How many eggs were collected, by house and day."""

from collections.abc import Iterable
from datetime import date

from scheduler.cares.diary.egg_entries import EggsCounted
from scheduler.cares.diary.entry import Entry, taken_back


def eggs_of(entries: Iterable[Entry]) -> dict[tuple[str, date], int]:
    """All that was counted of each house and day, and is not taken back."""
    found: dict[tuple[str, date], int] = {}
    for one in counts_of(entries):
        if isinstance(one.what, EggsCounted):
            place = (one.about, one.day)
            found[place] = found.get(place, 0) + one.what.eggs
    return found


def counts_of(entries: Iterable[Entry]) -> list[Entry]:
    """Every count that stands, in the order of saying."""
    known = sorted(entries, key=lambda one: one.number)
    struck = taken_back(known)
    return [one for one in known if isinstance(one.what, EggsCounted) and one.number not in struck]
