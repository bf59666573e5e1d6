"""For which flocks a care is due on a date: by age, arrival, quarantine, joining, first outing."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from scheduler.cares.catalogue import Care, Catalogue, FeedGiven
from scheduler.cares.cleaning_dates import keeps_heat
from scheduler.cares.free_range import stays_in
from scheduler.cares.lamp import has_programme, too_long_until
from scheduler.cares.let_out import kept_in
from scheduler.cares.newcomer import Newcomer, newcomers
from scheduler.cares.records import Records
from scheduler.cares.triggers import (
    Age,
    Arrival,
    FirstOuting,
    Joining,
    Quarantined,
)
from scheduler.climate.curve import Averages
from scheduler.husbandry.age import (
    SEEING_FROM_WEEKS,
    WEEKS_OF_CLASS,
    lays,
    of_two_ages,
    on_heat,
    under_a_hen,
)
from scheduler.husbandry.growth import feed_for
from scheduler.light.sun import Sky
from scheduler.profile.flock import Flock
from scheduler.profile.values import Profile

_DAY = timedelta(days=1)
_WEEK = 7
_ASKED_AGAIN_WEEKS = 3  # after the day on which they might move in


@dataclass(frozen=True, slots=True)
class FlockDates:
    """Which flocks a care concerns on a date, for one profile and what was reported."""

    profile: Profile
    sky: Sky
    averages: Averages
    records: Records

    def due(self, care: Care, day: date) -> Iterator[Flock]:
        """The flocks for which an age or an arrival makes the care due on `day`."""
        for flock in self.profile.flock:
            if self._concerns(care, flock, day) and self._reaches(care, flock, day):
                yield flock

    def _concerns(self, care: Care, flock: Flock, day: date) -> bool:
        """Whether the flock is here, is of an age for the care, and its house is fed for it."""
        if flock.arrived is not None and day < flock.arrived:
            return False
        if care.only and self._is_unfit(care.only, flock, day):
            return False
        if care.feed is None:
            return True
        flocks = self.profile.flocks_on(flock.coop, day)
        if care.mixes and day == flock.arrived and _is_fed("shared", flocks, day):
            return False  # the house that they move into asks for one feed by itself
        return _is_fed(care.feed, flocks, day)

    def _is_unfit(self, only: str, flock: Flock, day: date) -> bool:
        match only:
            case "off heat":
                return on_heat(flock, day)
            case "let out":
                coop = self.profile.coop_of(flock.coop)
                flocks = self.profile.flocks_on(coop.id, day)
                return kept_in(coop, flocks, day, self.records) is not None
            case "hens":
                return not flock.hens + flock.young
            case _:
                return False

    def waits_for_the_end_of(self, care: Care, day: date) -> Literal["illness", "order"] | None:
        """The report that has to be ended before anybody knows when such a care is due next."""
        due = care.due
        is_over = isinstance(due, Quarantined) and due.over
        if not (is_over or care.mixes or isinstance(due, FirstOuting)):
            return None
        for flock in self.profile.flock:
            known = self._known(flock, day)
            if (apart := known.quarantine) and apart.ends is None:
                return "illness"
            if is_over or not (flock.arrived or flock.hatched):
                continue
            if care.mixes and not self._has_company(flock, day):
                continue
            if known.meets_others_from is None:
                open_ended = (one.kind for one in self.records.reports if one.spell.last is None)
                return "order" if "order" in open_ended else "illness"
        return None

    def _has_company(self, flock: Flock, day: date) -> bool:
        """Whether there are birds of another age that they could join."""
        others = any(
            other.id != flock.id and (other.arrived is None or other.arrived <= day)
            for other in self.profile.flock
        )
        return others or of_two_ages(flock)  # chicks have lived with the hen that raised them

    def _reaches(  # noqa: PLR0911 - one answer for each kind of trigger
        self, care: Care, flock: Flock, day: date
    ) -> bool:
        due = care.due
        if care.mixes and (self._known(flock, day).quarantine or not self._has_company(flock, day)):
            return False
        if isinstance(due, Quarantined):
            known = self._known(flock, day)
            return known.quarantine_ends == day if due.over else known.quarantine is not None
        if isinstance(due, Joining):
            return self._joins(due, self._known(flock, day))
        if isinstance(due, FirstOuting):
            return self._first_ranges(flock, day)
        if isinstance(due, Arrival):
            since = flock.arrived or (flock.hatched if due.or_hatched else None)
            after = (day - since).days - due.days if since else -1
            return after == 0 and due.raised_by in (None, flock.raised_by)
        if not isinstance(due, Age):
            return False
        if due.raised_by and (due.raised_by == "hen") is not under_a_hen(flock):
            return False
        if not flock.hatched:  # chicks of no known day are looked at daily all the same
            after_days = (WEEKS_OF_CLASS["chick"] - due.weeks) * _WEEK
            return flock.age == "chick" and due.every_days == 1 and 0 <= after_days < due.for_days
        after = (day - flock.hatched).days - due.weeks * _WEEK
        if due.every_days:
            is_cold = due.cold_for_days and keeps_heat(self.averages, flock, day)
            days = due.cold_for_days if is_cold else due.for_days
            return 0 <= after < days and after % due.every_days == 0
        comes_later = day == flock.arrived and 0 < after < (due.until - due.weeks) * _WEEK
        return after == 0 or comes_later

    def _known(self, flock: Flock, day: date) -> Newcomer:
        return Newcomer(flock, self.profile.flocks_on(flock.coop, day), self.records, day)

    def _joins(self, due: Joining, known: Newcomer) -> bool:
        """Whether the day is among those on which the flock sees the others, or meets them."""
        flock, day = known.flock, known.day
        seeing_days = SEEING_FROM_WEEKS * _WEEK
        grew_up_here = flock.hatched is not None and (
            flock.arrived is None or (flock.arrived - flock.hatched).days <= seeing_days
        )
        if not grew_up_here and flock.raised_by != "bought":
            return False
        start = known.meets_others_from if due.meets else known.sees_others_from
        if start is None:
            return False
        if not due.meets:
            return day == start and not flock.joined
        lit, shares = self.lit_house(flock, start), known.lives_with_others
        if due.moves:
            weeks, days = divmod((day - (lit[1] if lit else start)).days, _WEEK)
            return not (shares or days) and 0 <= weeks <= _ASKED_AGAIN_WEEKS
        if due.sleeps:
            # Their light is lengthened from when they may see the others: that is said on its day.
            is_told = lit is not None and day == known.sees_others_from
            starts = [flock.joined or start] if shares or lit else []
            if shares and lit and not flock.joined:
                starts.append(lit[1])
            return is_told or any(0 <= (day - one).days < due.for_days for one in starts)
        after = (day - (flock.joined or start)).days
        # Once they sleep in one house, nobody puts them together on the mornings after.
        return 0 <= after < (1 if shares and not lit else due.for_days)

    def lit_house(self, flock: Flock, day: date) -> tuple[str, date] | None:
        """The house of others whose lamp is too long for the flock on that day, and until when."""
        known = self._known(flock, day)
        moved_in = any(other.id != flock.id for other in known.house)
        found = []
        for coop in self.profile.coop:
            others = tuple(o for o in self.profile.flocks_on(coop.id, day) if o.id != flock.id)
            if has_programme(coop) and others and (coop.id == flock.coop) is moved_in:
                until = too_long_until(coop, others, known, self.sky)
                found += [(until, coop.name)] if until and until > day else []
        until, name = max(found, default=(day, ""))
        return (name, until) if name else None

    def _first_ranges(self, flock: Flock, day: date) -> bool:
        """Whether nothing has let the flock range since it came, and nothing keeps it in now.

        It came on the day it moved in with others, it arrived or, raised here, it hatched.
        """
        since = flock.joined or flock.arrived or flock.hatched
        if since is None or day <= since:
            return False
        earlier = (day - n * _DAY for n in range(1, (day - since).days + 1))
        return self._may_range(flock, day) and not any(self._may_range(flock, d) for d in earlier)

    def _may_range(self, flock: Flock, day: date) -> bool:
        coop = self.profile.coop_of(flock.coop)
        return stays_in(self.profile, coop, day, self.records) is None


def held_back(
    profile: Profile, records: Records, cares: Catalogue, day: date
) -> frozenset[tuple[str, str]]:
    """The cares, each with its flock, that end a quarantine or a week behind wire begun again."""
    apart = [
        one.flock.id
        for coop in profile.coop
        for one in newcomers(profile.flocks_on(coop.id, day), records, day)
        if one.quarantine
    ]
    ends = [one.id for one in cares if one.mixes or isinstance(one.due, Quarantined | FirstOuting)]
    return frozenset((care_id, flock_id) for care_id in ends for flock_id in apart)


def _is_fed(asked: FeedGiven, flocks: tuple[Flock, ...], day: date) -> bool:
    """Whether the feed that is right for all birds of the house is the one asked for."""
    feed = feed_for(flocks, day)
    match asked:
        case "shared":  # layers that must not have layer feed, for the sake of others
            return feed != "layer" and len(flocks) > 1 and any(lays(f, day) for f in flocks)
        case "not layer":
            return feed != "layer"
        case "grower" | "layer":
            return feed == asked
