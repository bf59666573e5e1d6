"""Newcomers by the records: the thirty days of their quarantine, and when they meet the others."""

from collections.abc import Callable
from dataclasses import dataclass
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
from scheduler.wording.cares.day_of_house import QuarantineWords

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
            return QuarantineWords.day_of(day=self.day, days=QUARANTINE_DAYS)
        return QuarantineWords.again(days=QUARANTINE_DAYS)

    @property
    def count(self) -> str:
        """The same in a word: "4/30", or "goes on" where none is counted."""
        if self.day:
            return QuarantineWords.count(day=self.day, days=QUARANTINE_DAYS)
        return QuarantineWords.goes_on()


@dataclass(frozen=True, slots=True)
class Newcomer:
    """A flock, with all that live in its house, by the records and as it is known on `day`."""

    flock: Flock
    house: tuple[Flock, ...]
    records: Records
    day: date

    @property
    def quarantine(self) -> Quarantine | None:
        """Which day of its quarantine a bought flock has; day 1 is that of its arrival.

        An illness noted in the house in which they are kept apart, on the day on which they meet
        the others at the latest, starts them again on the day after its end.
        """
        if self.flock.arrived is None or self.day < self.flock.arrived:
            return None
        found = self._last_quarantine
        return found if found and (found.ends is None or self.day < found.ends) else None

    @property
    def quarantine_ends(self) -> date | None:
        """The first day after a bought flock's quarantine, over or not."""
        found = self._last_quarantine
        return found.ends if found else None

    @property
    def _last_quarantine(self) -> Quarantine | None:
        start, lasts = self.flock.arrived, list[date | None]()
        if self.flock.raised_by != "bought" or start is None:
            return None
        for first, last in self._illnesses(start):
            # The day on which they are put with the others, who have seen them for a week by then.
            if first > self.day or first > start + (QUARANTINE_DAYS + MEETING_DAYS) * _DAY:
                break
            if last is None or last >= self.day:
                lasts.append(last)
            else:
                start = max(start, last + _DAY)
        if not lasts:
            number = (self.day - start).days + 1
            return Quarantine(day=number, ends=start + QUARANTINE_DAYS * _DAY)
        known = [last for last in lasts if last]
        ends = max(known) + (QUARANTINE_DAYS + 1) * _DAY if len(known) == len(lasts) else None
        return Quarantine(day=0, ends=ends)

    def _illnesses(self, came: date) -> list[tuple[date, date | None]]:
        """The first and last days of those noted where nobody but newcomers lives, or lived.

        In a house that they share with others it may have been one of the others. Once they share
        one, a house that somebody left since they came was theirs: an illness in it stays their
        own.
        """
        alone = all(_came_with(self.flock, other) for other in self.house)
        ill = [one for one in self.records.reports if one.kind == "illness"]
        if alone:
            theirs = [one.spell for one in ill if one.house_id == self.flock.coop]
        else:
            left = [one.spell for one in ill if one.house_id in self.records.left]
            theirs = [spell for spell in left if came <= spell.first]
        return sorted(((one.first, one.last) for one in theirs), key=lambda spell: spell[0])

    @property
    def _has_moved_in(self) -> bool:
        flock, came = self.flock, self.flock.arrived
        if flock.joined:
            return True
        return (
            came is not None
            and flock.raised_by == "bought"
            and any(
                (other.arrived or date.min) < came and not _came_with(flock, other)
                for other in self.house
            )
        )

    @property
    def settles_with_others(self) -> bool:
        """Whether it moved in with birds there before it, and no fortnight has passed since.

        Let out before it knows the house, it goes home to the one that it left. Common practice,
        no source.
        """
        if self.flock.joined or not self._has_moved_in:  # of whom it is known, see `newly_moved`
            return False
        return not ((at := self._settled_from) and at <= self.day)

    @property
    def _settled_from(self) -> date | None:
        """The day on which it knows the house of the others; None where nobody knows.

        It moved in when the profile says so, else when it first might meet them.
        """
        moved_in = self.flock.joined or self.meets_others_from
        return moved_in + SETTLING_DAYS * _DAY if moved_in else None

    @property
    def assumed_move(self) -> date | None:
        """The day from which it is taken to sleep with the others, as nobody has said since when.

        None before its quarantine is over, and once nothing hangs on that day any more.
        """
        if self.flock.joined or not self._has_moved_in or self.quarantine:
            return None
        first = self.meets_others_from
        return first if first and self.day < first + 2 * SETTLING_DAYS * _DAY else None

    @property
    def lives_with_others(self) -> bool:
        """Whether birds that were here before it share its house, or are counted with it.

        Not so the hen that raises chicks, nor birds that were bought along with it.
        """
        flock = self.flock
        came = flock.arrived or flock.hatched
        if flock.joined or came is None:
            return flock.joined is not None
        before = sum(
            other.birds
            for other in self.house
            if other.id != flock.id
            and (other.arrived or other.hatched or date.min) < came
            and not _came_with(flock, other)
        )
        if flock.young and flock.arrived is None:
            before += flock.hens + flock.roosters
        return before > (1 if under_a_hen(flock) else 0)

    @property
    def sees_others_from(self) -> date | None:
        """From when newcomers see the others through wire; None where nobody knows.

        After the quarantine, and chicks from eleven weeks on; those of your own after they settled
        in.
        """
        apart_until, hatched = self._apart_until, self.flock.hatched
        if self.flock.arrived and apart_until is None:
            return None
        grown = hatched + timedelta(weeks=SEEING_FROM_WEEKS) if hatched else None
        known = [at for at in (apart_until, grown) if at]
        return self._after(max(known), 0, _keeps_apart) if known else None

    @property
    def meets_others_from(self) -> date | None:
        """From when newcomers may be put with the others, who have seen them for a week by then.

        Days on which an order or signs to be reported keep birds in do not count for that week.
        """
        sees_from = self.sees_others_from
        return self._after(sees_from, MEETING_DAYS, _keeps_apart) if sees_from else None

    @property
    def ranges_beside_from(self) -> date | None:
        """From when newcomers in a house of their own may range beside the others.

        The day after they met: on that day itself they may be moving house.
        """
        meets = self.meets_others_from
        return meets + _DAY if meets else None

    def learns_the_way_home(self, *, joins: bool = False) -> bool:
        """Whether the flock has been let out to range for less than a fortnight, or never.

        Nothing lets it range before it has settled in and is of an age for it, and where it `joins`
        others before it may meet them, nor while a report keeps it in. Common practice, no source.
        """
        flock = self.flock
        here = flock.arrived or flock.hatched
        if here is None or self.day < here:
            return False
        kept_until: date | None = here
        if self._has_moved_in:
            kept_until = self._settled_from
        elif flock.arrived:
            kept_until = self.ranges_beside_from if joins else self._apart_until
        if kept_until is None:
            return True
        if flock.hatched:
            kept_until = max(kept_until, flock.hatched + timedelta(weeks=FREE_RANGE_FROM_WEEKS))
        knows_it_from = self._after(kept_until, SETTLING_DAYS, _keeps_in)
        return knows_it_from is None or self.day < knows_it_from

    @property
    def _apart_until(self) -> date | None:
        """The first day after the quarantine, or after the fortnight in which they settle in."""
        if self.flock.arrived is None:
            return None
        found = self._last_quarantine
        return found.ends if found else self.flock.arrived + SETTLING_DAYS * _DAY

    def _after(self, start: date, days: int, keeps: Callable[[Report], bool]) -> date | None:
        """The day after so many from `start` on which no such report held; None: nobody knows."""
        spells = [one.spell for one in self.records.reports if keeps(one)]
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


def newcomers(flocks: tuple[Flock, ...], records: Records, day: date) -> tuple[Newcomer, ...]:
    """Each of one house's flocks, as it is known on that day."""
    return tuple(Newcomer(flock, flocks, records, day) for flock in flocks)


def _came_with(flock: Flock, other: Flock) -> bool:
    if other.raised_by != "bought" or other.arrived is None or flock.arrived is None:
        return False
    return abs((other.arrived - flock.arrived).days) < QUARANTINE_DAYS


def _keeps_apart(report: Report) -> bool:
    return report.kind == "order" or (report.kind == "illness" and report.is_notifiable)


def _keeps_in(report: Report) -> bool:
    if report.kind == "predator":
        return report.came_as_near_as("got-at")
    return _keeps_apart(report) or report.kind == "storm"
