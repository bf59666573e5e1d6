"""Who has said that they look for missing birds, as it stands."""

from collections.abc import Iterable

from scheduler.cares.diary.entry import Entry, taken_back
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.cares.looking import Looker


def lookers_of(entries: Iterable[Entry]) -> tuple[Looker, ...]:
    """Those of them that say so and were not taken back, in the order of saying."""
    known = sorted(entries, key=lambda one: one.number)
    struck = taken_back(known)
    return tuple(
        Looker(
            number=one.number,
            coop_id=one.about,
            evening=one.day,
            who=one.who,
            person_id=one.person_id,
            since=one.happened_at,
            said_at=one.said_at,
        )
        for one in known
        if isinstance(one.what, LookingToo) and one.number not in struck
    )
