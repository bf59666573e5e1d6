"""Which published event a planned one is: by what it is and for whom, never by a position.

Houses that share a time share an event, and who shares may change from day to day: an event keeps
its UID while any of its houses is in it, whichever comes first. Where every house of an event is
gone and another has come, it was renamed, or replaced: the event stays. A season's event keeps its
UID when its date moves.
"""

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import date, timedelta
from typing import Any

from scheduler.feeds.event import FeedEvent
from scheduler.feeds.revision import Revision

# A season's date, by less than half a year: the next year's is another one.
_MOVED_AT_MOST = timedelta(days=182)
_Place = tuple[str, date | None]
_Pair = tuple[tuple[Any, ...], int, str]  # how well it fits, the less the better; which; as which


def settled(
    planned: Iterable[FeedEvent],
    known: Mapping[str, Revision],
    houses: Collection[str],
    today: date = date.min,
) -> list[FeedEvent]:
    """The planned events with the UIDs under which they are published already, or with new ones.

    `houses` are the ids of the houses that there are; a season of before `today` goes on in none.
    """
    asked = list(planned)
    wanted: dict[_Place, list[int]] = {}
    for number, event in enumerate(asked):
        wanted.setdefault(_place(event), []).append(number)
    published: dict[_Place, list[Revision]] = {}
    for revision in sorted(known.values(), key=lambda revision: revision.event.uid):
        old = revision.event
        if old.part != "seasons" or old.day >= today:
            published.setdefault(_place(old), []).append(revision)
    taken: dict[int, str] = {}
    for place, numbers in wanted.items():
        there = {number: asked[number] for number in numbers}
        taken |= _same_houses(there, published.get(place, []))
        left = {number: event for number, event in there.items() if number not in taken}
        in_use = {*taken.values()}
        free = [r for r in published.get(place, []) if r.event.uid not in in_use]
        taken |= _instead(left, free, houses)
    uids = set(known) | set(taken.values())
    for number, event in enumerate(asked):
        if number not in taken:
            taken[number] = next(uid for uid in _names(event) if uid not in uids)
            uids.add(taken[number])
    return [replace(event, uid=taken[number]) for number, event in enumerate(asked)]


def is_covered(event: FeedEvent, planned: Iterable[FeedEvent]) -> bool:
    """Whether something planned takes the event's place: all of its houses are in others.

    So does what is planned for the very same time: houses with one time share an event.
    """
    others = [one for one in planned if _place(one) == _place(event)]
    if any((one.start, one.end) == (event.start, event.end) for one in others):
        return True
    return speak_for(event, others)


def speak_for(event: FeedEvent, others: Iterable[FeedEvent]) -> bool:
    """Whether others of its kind and day name all of its houses."""
    named = [one.houses for one in others if _place(one) == _place(event)]
    return bool(named) and event.houses <= frozenset().union(*named)


def told(event: FeedEvent, kinds: Collection[str]) -> FeedEvent:
    """An event as of version 0.1.0, which kept neither kind nor houses: read from its UID."""
    stem = event.uid.partition("@")[0].removesuffix(f"-{event.day.isoformat()}")
    kind = max((k for k in kinds if stem.startswith(f"{k}-")), key=len, default="")
    subject = stem.removeprefix(f"{kind}-")
    houses = frozenset() if event.part == "jobs" else frozenset({subject})
    return replace(event, kind=kind or stem, houses=houses)


def _place(event: FeedEvent) -> _Place:
    return event.kind, None if event.part == "seasons" else event.day


def _names(event: FeedEvent) -> Iterator[str]:
    """UIDs that it may have: by its first house, by another, and with a number behind."""
    yield event.uid
    stem, _, site = event.uid.partition("@")
    for house in sorted(event.houses):
        yield f"{event.kind}-{house}-{event.day.isoformat()}@{site}"
    for ordinal in range(2, 1000):
        yield f"{stem}-{ordinal}@{site}"


def _same_houses(there: Mapping[int, FeedEvent], published: list[Revision]) -> dict[int, str]:
    """The best pairs first: those with the most houses in common, of the nearest date."""
    pairs: list[_Pair] = []
    for number, event in there.items():
        for revision in published:
            old = revision.event
            common = len(event.houses & old.houses)
            apart = abs(event.day - old.day)
            if apart > _MOVED_AT_MOST or not (common or event.houses == old.houses):
                continue
            is_off, is_another = bool(revision.cancelled_on), event.uid != old.uid
            rank = (bool(apart), is_off, -common, is_another, apart, old.uid)
            pairs.append((rank, number, old.uid))
    return _one_to_one(pairs)


def _instead(
    there: Mapping[int, FeedEvent], published: list[Revision], houses: Collection[str]
) -> dict[int, str]:
    """What lost all its houses goes on as what came in its place: at the same time, or alone."""
    orphans = [
        one.event
        for one in published
        if one.event.houses and one.event.houses.isdisjoint(houses) and not one.cancelled_on
    ]
    alone = len(orphans) == len(there) == 1
    return _one_to_one(
        ((event.title != old.title, old.uid, event.uid), number, old.uid)
        for number, event in there.items()
        for old in orphans
        if event.day == old.day and (alone or (event.start, event.end) == (old.start, old.end))
    )


def _one_to_one(pairs: Iterable[_Pair]) -> dict[int, str]:
    taken: dict[int, str] = {}
    for _, number, uid in sorted(pairs):
        if number not in taken and uid not in taken.values():
            taken[number] = uid
    return taken
