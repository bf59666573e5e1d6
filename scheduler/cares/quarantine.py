"""Newcomers by the records: the thirty days of their quarantine, and when they meet the others."""

from collections.abc import Callable, Iterable
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler.cares.records import Records, Report
from scheduler.husbandry.age import (
    FREE_RANGE_FROM_WEEKS,
    MEETING_DAYS,
    QUARANTINE_DAYS,
    SEEING_FROM_WEEKS,
    SETTLING_DAYS,
    under_a_hen,
)
from scheduler.profile.flock import Flock
from scheduler.profile.values import Profile

_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Quarantine:
    """One day of a quarantine: its number, 0 on a day of illness, and the first day after it all.

    `ends` None: it is not known when the illness is over, after which the thirty days start again.
    Of a house `names` are its flocks in quarantine, and `mixes` is the first day on which they may
    be put with others.
    """

    day: int
    ends: date | None
    names: tuple[str, ...] = ()
    mixes: date | None = None

    @property
    def words(self) -> str:
        """Which day it is: "day 4 of 30", or that none is counted."""
        if self.day:
            return f"day {self.day} of {QUARANTINE_DAYS}"
        return f"{QUARANTINE_DAYS} days again after illness"

    @property
    def count(self) -> str:
        """The same in a word: "4/30", or "goes on" where none is counted."""
        return f"{self.day}/{QUARANTINE_DAYS}" if self.day else "goes on"


@dataclass(frozen=True, slots=True, kw_only=True)
class Meeting:
    """The first day on which newcomers may range beside the others; None: nobody knows yet."""

    first: date | None


def quarantine(
    flock: Flock, house: Iterable[Flock], records: Records, day: date
) -> Quarantine | None:
    """Which day of its quarantine a bought flock has on `day`; day 1 is that of its arrival.

    An illness noted in the `house` in which they are kept apart, in the week in which they see the
    others through wire at the latest, starts them again on the day after its end.
    """
    if flock.arrived is None or day < flock.arrived:
        return None
    found = _as_of(flock, house, records, day)
    return found if found and (found.ends is None or day < found.ends) else None


def _as_of(flock: Flock, house: Iterable[Flock], records: Records, day: date) -> Quarantine | None:
    if flock.raised_by != "bought" or flock.arrived is None:
        return None
    start, lasts = flock.arrived, list[date | None]()
    for first, last in _illnesses(flock, house, records):
        # Until they are put with the others, who have seen them for a week by then.
        if first > day or first >= start + (QUARANTINE_DAYS + MEETING_DAYS) * _DAY:
            break
        if last is None or last >= day:
            lasts.append(last)
        else:
            start = max(start, last + _DAY)
    if not lasts:
        number = (day - start).days + 1
        return Quarantine(day=number, ends=start + QUARANTINE_DAYS * _DAY)
    known = [last for last in lasts if last]
    ends = max(known) + (QUARANTINE_DAYS + 1) * _DAY if len(known) == len(lasts) else None
    return Quarantine(day=0, ends=ends)


def _illnesses(
    flock: Flock, house: Iterable[Flock], records: Records
) -> list[tuple[date, date | None]]:
    """The first and last days of those noted where nobody but newcomers lives, or lived.

    In a house that they share with others it may have been one of the others. Once they share one,
    a house that somebody left since they came was theirs: an illness in it stays their own.
    """
    alone = all(_came_with(flock, other) for other in house)
    return sorted(
        (
            (one.spell.first, one.spell.last)
            for one in records.reports
            if one.kind == "illness" and _was_theirs(one, flock, records, alone=alone)
        ),
        key=lambda spell: spell[0],
    )


def _was_theirs(ill: Report, flock: Flock, records: Records, *, alone: bool) -> bool:
    if alone:
        return ill.house_id == flock.coop
    came = flock.arrived
    return ill.house_id in records.left and came is not None and came <= ill.spell.first


def _came_with(flock: Flock, other: Flock) -> bool:
    if other.raised_by != "bought" or other.arrived is None or flock.arrived is None:
        return False
    return abs((other.arrived - flock.arrived).days) < QUARANTINE_DAYS


def quarantine_of_house(
    flocks: tuple[Flock, ...], records: Records, day: date
) -> Quarantine | None:
    """That of the flock that waits longest, named with all that are in it; None where none is."""
    found = {f.name: of for f in flocks if (of := quarantine(f, flocks, records, day))}
    if not found:
        return None
    longest = max(found.values(), key=lambda one: one.ends or date.max)
    apart = [flock for flock in flocks if flock.name in found]
    meets = [meets_others_from(flock, flocks, records, day) for flock in apart]
    known = [first for first in meets if first]
    mixes = max(known) if len(known) == len(meets) else None
    return replace(longest, names=tuple(found), mixes=mixes)


def joins_others(profile: Profile, house_id: str, day: date) -> bool:
    """Whether birds of another house that may range were there before any of this house came."""
    here = profile.flocks_on(house_id, day)
    came = min((flock.arrived or date.min for flock in here), default=date.min)
    if came == date.min:  # as in most houses: nobody was there before
        return False
    return any(
        (flock.arrived or date.min) < came
        for other in profile.coop
        if other.id != house_id and other.ranging != "run only"
        for flock in profile.flocks_on(other.id, day)
    )


def settles_with_others(
    flock: Flock, house: tuple[Flock, ...], records: Records, day: date
) -> bool:
    """Whether the flock moved in with birds there before it, and no fortnight has passed since.

    Let out before it knows the house, it goes home to the one that it left. Common practice, no
    source.
    """
    if flock.joined or not _has_moved_in(flock, house):  # of whom it is known, see `newly_moved`
        return False
    settled_from = _settled_from(flock, house, records, day)
    return settled_from is None or day < settled_from


def _settled_from(
    flock: Flock, house: tuple[Flock, ...], records: Records, day: date
) -> date | None:
    """The day on which it knows the house of the others; None where nobody knows, as of `day`.

    It moved in when the profile says so, else when it first might meet them.
    """
    moved_in = flock.joined or meets_others_from(flock, house, records, day)
    return moved_in + SETTLING_DAYS * _DAY if moved_in else None


def assumed_move(
    flock: Flock, house: tuple[Flock, ...], records: Records, day: date
) -> date | None:
    """The day from which it is taken to sleep with the others, as nobody has said since when.

    None before its quarantine is over, and once nothing hangs on that day any more.
    """
    if flock.joined or not _has_moved_in(flock, house) or quarantine(flock, house, records, day):
        return None
    first = meets_others_from(flock, house, records, day)
    return first if first and day < first + 2 * SETTLING_DAYS * _DAY else None


def _has_moved_in(flock: Flock, house: Iterable[Flock]) -> bool:
    came = flock.arrived
    if flock.joined or flock.raised_by != "bought" or came is None:
        return flock.joined is not None
    return any(
        (other.arrived or date.min) < came and not _came_with(flock, other) for other in house
    )


def lives_with_others(flock: Flock, house: Iterable[Flock]) -> bool:
    """Whether birds that were here before it share its house, or are counted with it.

    Not so the hen that raises chicks, nor birds that were bought along with it.
    """
    came = flock.arrived or flock.hatched
    if came is None:
        return False
    before = sum(
        other.birds
        for other in house
        if other.id != flock.id
        and (other.arrived or other.hatched or date.min) < came
        and not _came_with(flock, other)
    )
    if flock.young and flock.arrived is None:
        before += flock.hens + flock.roosters
    return before > (1 if under_a_hen(flock) else 0)


def meets_from_house(
    profile: Profile, house_id: str, records: Records, day: date
) -> Meeting | None:
    """When a house of newcomers meets those there before it; None where one of them may already."""
    if not joins_others(profile, house_id, day):
        return None
    flocks = profile.flocks_on(house_id, day)
    waits = [
        Meeting(first=first)
        for flock in flocks
        if flock.arrived
        and not ((first := ranges_beside_from(flock, flocks, records, day)) and first <= day)
    ]
    if not waits or len(waits) < len(flocks):
        return None
    return max(waits, key=lambda one: one.first or date.max)


def in_quarantine(flocks: tuple[Flock, ...], records: Records, day: date) -> tuple[Flock, ...]:
    """Those of one house's flocks that are in quarantine on `day`."""
    return tuple(flock for flock in flocks if quarantine(flock, flocks, records, day))


def quarantine_ends(
    flock: Flock, house: Iterable[Flock], records: Records, day: date
) -> date | None:
    """The first day after a bought flock's quarantine, over or not, as it is known on `day`."""
    found = _as_of(flock, house, records, day)
    return found.ends if found else None


def sees_others_from(
    flock: Flock, house: tuple[Flock, ...], records: Records, day: date
) -> date | None:
    """From when newcomers see the others through wire; None where nobody knows, as of `day`.

    After the quarantine, and chicks from eleven weeks on; those of your own after they settled in.
    """
    apart_until = _apart_until(flock, house, records, day)
    if flock.arrived and apart_until is None:
        return None
    grown = flock.hatched + timedelta(weeks=SEEING_FROM_WEEKS) if flock.hatched else None
    known = [at for at in (apart_until, grown) if at]
    return _after(max(known), 0, records, _keeps_apart) if known else None


def meets_others_from(
    flock: Flock, house: tuple[Flock, ...], records: Records, day: date
) -> date | None:
    """From when newcomers may be put with the others, who have seen them for a week by then.

    Days on which an order or signs to be reported keep birds in do not count for that week.
    """
    sees_from = sees_others_from(flock, house, records, day)
    return _after(sees_from, MEETING_DAYS, records, _keeps_apart) if sees_from else None


def ranges_beside_from(
    flock: Flock, house: tuple[Flock, ...], records: Records, day: date
) -> date | None:
    """From when newcomers in a house of their own may range beside the others.

    The day after they met: on that day itself they may be moving house.
    """
    meets = meets_others_from(flock, house, records, day)
    return meets + _DAY if meets else None


def learns_the_way_home(
    flock: Flock,
    house: tuple[Flock, ...],
    records: Records,
    day: date,
    *,
    joins: bool = False,
) -> bool:
    """Whether the flock has been let out to range for less than a fortnight on `day`, or never.

    Nothing lets it range before it has settled in and is of an age for it, and where it `joins`
    others before it may meet them, nor while a report keeps it in. Common practice, no source.
    """
    here = flock.arrived or flock.hatched
    if here is None or day < here:
        return False
    kept_until = here
    has_moved_in = _has_moved_in(flock, house)
    if flock.arrived or has_moved_in:
        until = ranges_beside_from if joins else _apart_until
        apart_until = (_settled_from if has_moved_in else until)(flock, house, records, day)
        if apart_until is None:
            return True
        kept_until = apart_until
    if flock.hatched:
        kept_until = max(kept_until, flock.hatched + timedelta(weeks=FREE_RANGE_FROM_WEEKS))
    knows_it_from = _after(kept_until, SETTLING_DAYS, records, _keeps_in)
    return knows_it_from is None or day < knows_it_from


def _apart_until(
    flock: Flock, house: tuple[Flock, ...], records: Records, day: date
) -> date | None:
    """The first day after the quarantine, or after the fortnight in which they settle in."""
    if flock.arrived is None:
        return None
    found = _as_of(flock, house, records, day)
    return found.ends if found else flock.arrived + SETTLING_DAYS * _DAY


def _after(
    start: date, days: int, records: Records, keeps: Callable[[Report], bool]
) -> date | None:
    """The day after so many from `start` on which no such report held; None: nobody knows."""
    spells = [one.spell for one in records.reports if keeps(one)]
    at, left = start, days
    while True:
        held = [spell.last for spell in spells if at in spell]
        if None in held:
            return None
        if held:
            at = max(last for last in held if last) + _DAY
        elif left:
            at, left = at + _DAY, left - 1
        else:
            return at


def _keeps_apart(report: Report) -> bool:
    return report.kind == "order" or (report.kind == "illness" and report.is_notifiable)


def _keeps_in(report: Report) -> bool:
    if report.kind == "predator":
        return report.came_as_near_as("got-at")
    return _keeps_apart(report) or report.kind == "storm"
