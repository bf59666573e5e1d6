"""The days of a household as they are planned, each worked out once."""

import logging
from collections.abc import Callable, Container, Hashable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Any, TypeVar

from scheduler.alerts.crew import Contact, crew_of
from scheduler.alerts.delivery import ChannelName
from scheduler.alerts.reminded_evening import Evening, evenings_of
from scheduler.cares.ahead import Ahead, ahead
from scheduler.cares.closing import Closing
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.dark_under_cloud import Dark, dark_under_cloud
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.door_fold import door
from scheduler.cares.door_state import Door
from scheduler.cares.emptied import emptied
from scheduler.cares.plan import plan
from scheduler.cares.records import Records
from scheduler.light.sun import Sky, sky_over
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.household.open_profile import Household

DAYS_BACK = 2  # evenings further back are over, at every latitude and in every zone
_DAY = timedelta(days=1)
_MOST_KEPT = 64
_log = logging.getLogger(__name__)
T = TypeVar("T")


@dataclass(slots=True, kw_only=True)
class Almanac:
    """Days of a household, each computed once for the same profile and reports."""

    household: Household
    records: Records
    ways: frozenset[ChannelName]
    key: bytes
    watched_since: datetime | None = None
    quarantined: set[str] = field(default_factory=set)
    _days: dict[date, tuple[CoopDay, ...]] = field(default_factory=dict, init=False)
    _kept: dict[Hashable, Any] = field(default_factory=dict, init=False)
    _emptied_by: Sequence[Closing] = field(default=(), init=False, repr=False)
    _emptied: dict[date, frozenset[str]] = field(default_factory=dict, init=False)

    @property
    def profile(self) -> Profile:
        """What its keepers have declared, as it is today: a day's own place is `profile.on`."""
        return self.household.profile

    def _sky(self, day: date) -> Sky:
        return sky_over(self.profile.on(day))

    @property
    def site_id(self) -> str:
        """The site that its days are of."""
        return self.profile.site.id

    @property
    def everybody(self) -> tuple[Contact, ...]:
        """Everybody who can be told on any day."""
        return crew_of(self.profile, self.ways, None)

    def crew(self, day: date) -> tuple[Contact, ...]:
        """Everybody who can be told of that day, in the order in which they are called."""
        return crew_of(self.profile, self.ways, day)

    def clock(self, instant: datetime, of: date | None = None) -> str:
        """What the clock at the site shows then, with the weekday where that is not `of`'s.

        By the place of the date that it is told of: an evening past midnight keeps its clock.
        """
        here = self.profile.on(of) if of else self.profile.at(instant)
        return local_clock(instant, here.site.zone, here.site.region, of)

    def page(self, path: str) -> str:
        """The address of a page; empty while there are no pages."""
        return f"{self.profile.web.base_url}{path}" if self.profile.web.base_url else ""

    def coops(self, day: date) -> tuple[CoopDay, ...]:
        """Every coop's day of that date, in the profile's order."""
        if day not in self._days:
            if len(self._days) > 2 * (DAYS_BACK + 2):
                self._days.clear()
            self._days[day] = tuple(self._planned_coops(day))
        return self._days[day]

    def _planned_coops(self, day: date) -> Iterator[CoopDay]:
        profile, sky = self.profile.on(day), self._sky(day)
        for coop in profile.coop:
            try:
                yield coop_day(profile, sky, coop, day, self.records)
            except Exception:  # noqa: BLE001 - one house that cannot be planned must not silence the others
                _log.exception("coop.not_planned")
                self.quarantined.add(coop.id)

    def plan_of(self, day: date, empty: frozenset[str] = frozenset()) -> DayPlan:
        """Everything planned for that date; the coops in `empty` have no birds, and no jobs."""
        return self.kept(("plan", day, empty), lambda: self.planned_by(self.records, day, empty))

    def planned_by(self, records: Records, day: date, empty: frozenset[str]) -> DayPlan:
        """As `plan_of`, by other records than those known."""
        profile, catalogue = self.profile, self.household.catalogue
        places = {(coop_id, day) for coop_id in empty}
        return plan(profile, records, day, day, catalogue, places).days[0]

    def kept(self, key: Hashable, work_out: Callable[[], T]) -> T:
        """What belongs to the key; worked out once for the same profile and reports."""
        if key not in self._kept:
            found = work_out()
            if len(self._kept) >= _MOST_KEPT:
                self._kept.clear()
            self._kept[key] = found
        kept: T = self._kept[key]
        return kept

    def noon(self, day: date) -> datetime:
        """When the evening of that date begins."""
        return self._sky(day).transit(day)

    def noon_before(self, day: date) -> datetime:
        """When that date's brief may first come: a day before its noon, at its own place."""
        return self._sky(day).transit(day - _DAY)

    def birds_in(self, coop_id: str, day: date) -> int:
        """How many birds the profile has in the coop on that date."""
        return sum(flock.birds for flock in self.profile.flocks_on(coop_id, day))

    def emptied(self, day: date, said: Sequence[Closing]) -> frozenset[str]:
        """The coops in which no bird is on that date by what was said."""
        # A look asks it a dozen times of one diary, which may be ten years long.
        if self._emptied_by is not said:
            self._emptied_by = said
            self._emptied.clear()
        if day not in self._emptied:
            found = emptied(self.profile, said, day, 1)
            self._emptied[day] = frozenset(coop_id for coop_id, _ in found)
        return self._emptied[day]

    def house(self, coop_id: str, day: date, said: Iterable[Closing]) -> Door:
        """How the coop stands on that evening, by the profile as it is now."""
        return door(said, coop_id, day, self.birds_in(coop_id, day))

    def no_lock_up(self, coop_id: str, day: date, said: Sequence[Closing]) -> bool:
        """Whether no bird sleeps there that night, and somebody was asked whether that is so.

        Where a statement has emptied the house, one evening more is kept, to ask.
        """
        if not self.house(coop_id, day, said).is_empty:
            return False
        before = [one for one in said if one.evening < day]
        if not self.house(coop_id, day, before).is_empty:
            return False  # it is emptied this evening
        if not self.birds_in(coop_id, day):
            return True
        last = day - _DAY
        earlier = [one for one in before if one.evening < last]
        was_empty = self.house(coop_id, last, earlier).is_empty
        # Emptied with its door open, that evening itself was asked about.
        return was_empty or self.house(coop_id, last, before).state == "open"

    def planned(
        self,
        day: date,
        said: Sequence[Closing],
        without: Container[str] = (),
        *,
        empty: bool = False,
    ) -> tuple[Evening, ...]:
        """The evenings of that date as the profile has them now, of all but some coops.

        A house in which nobody sleeps has none, unless `empty`.
        """
        profile = self.profile.on(day)
        let_outs = {coop.coop_id: coop.let_out.instant for coop in self.coops(day + _DAY)}
        return evenings_of(
            profile,
            [
                coop
                for coop in self.coops(day)
                if coop.coop_id in let_outs
                and coop.coop_id not in without
                and (empty or not self.no_lock_up(coop.coop_id, day, said))
            ],
            self._sky(day).evening(day),
            next_let_outs=let_outs,
            kept_in={coop.coop_id for coop in self.coops(day + _DAY) if coop.kept_in},
            birds={coop.id: self.house(coop.id, day, said).expected for coop in profile.coop},
            crew=self.crew(day),
            dark=self._dark(day),
        )

    def ahead(self, day: date) -> tuple[Ahead, ...]:
        """What a forecast asks for on the day after that date."""
        decided = self.records.weather_on(day + _DAY)
        if decided is None:
            return ()
        cares = self.household.catalogue
        try:
            return self.kept(
                ("ahead", day), lambda: tuple(ahead(self.plan_of(day + _DAY), cares, decided))
            )
        except Exception:  # noqa: BLE001 - a morning that cannot be planned must not silence the evening
            _log.exception("ahead.not_planned")
            return ()

    def _dark(self, day: date) -> Dark | None:
        """When it gets dark under that evening's cloud; None where no cloud is known of."""
        try:
            decided = self.records.weather_on(day)
            return dark_under_cloud(self._sky(day), day, decided.shift_minutes) if decided else None
        except Exception:  # noqa: BLE001 - whatever a cloud is kept as must not silence the evening
            _log.exception("dusk.not_shifted")
            return None

    def evening_of(self, now: datetime, coop_id: str | None = None) -> date:
        """The evening that a closing said at `now` means: until the next let-out, the last one.

        Without a coop that there is the first let-out of all counts.
        """
        today = self.household.today(now)
        for day in (today + _DAY, today, today - _DAY):
            coops = [coop for coop in self.coops(day) if coop.coop_id == coop_id] or self.coops(day)
            if min((coop.let_out.instant for coop in coops), default=self.noon(day)) <= now:
                return day
        return today - 2 * _DAY
