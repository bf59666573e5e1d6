"""The houses that a statement has emptied: their birds are dead, given up or sleep elsewhere."""

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from scheduler.cares.closing import LEAVES, Closing, ClosingKind
from scheduler.cares.door_fold import door
from scheduler.profile.values import Profile

Place = tuple[str, date]  # a coop by its id, on a date
EMPTIES: frozenset[ClosingKind] = frozenset({"dead", "given-up", "elsewhere", *LEAVES})
_DAY = timedelta(days=1)


def emptied(profile: Profile, said: Iterable[Closing], first: date, count: int) -> frozenset[Place]:
    """The coops, on `count` days from `first` on, in which no bird is by what was said.

    They need no jobs, no let-out and no lock-up.
    """
    by_coop: dict[str, list[Closing]] = {}
    for one in said:
        by_coop.setdefault(one.coop_id, []).append(one)
    return frozenset(
        (coop.id, day)
        for coop in profile.coop
        if any(one.kind in EMPTIES for one in by_coop.get(coop.id, ()))
        for day in _days_empty(profile, coop.id, by_coop[coop.id], first, count)
    )


def emptied_for_plan(
    profile: Profile, said: Iterable[Closing], first: date, count: int
) -> frozenset[Place]:
    """As `emptied`, and on the night before: where nobody slept, nobody is let out."""
    return emptied(profile, said, first - _DAY, count + 1)


def _days_empty(
    profile: Profile, coop_id: str, said: Sequence[Closing], first: date, count: int
) -> list[date]:
    last_said = max(one.evening for one in said)
    known: dict[tuple[date, int], bool] = {}  # after what was said last, the flock alone counts
    empty = []
    for day in (first + n * _DAY for n in range(count)):
        birds = sum(flock.birds for flock in profile.flocks_on(coop_id, day))
        key = (min(day, last_said + _DAY), birds)
        if key not in known:
            known[key] = door(said, coop_id, day, birds).is_empty
        if known[key]:
            empty.append(day)
    return empty
