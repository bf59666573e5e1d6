"""The evenings around an instant, with everything said and written down of them."""

import logging
from collections.abc import Callable, Container, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from types import MappingProxyType
from typing import Any, TypeVar

from sqlalchemy import Connection

from scheduler.alerts.crew import crew_of
from scheduler.alerts.decide import Row
from scheduler.alerts.delivery import ChannelName
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import Evening, RemindedDoor, among, evenings_of
from scheduler.cares.closing import Closing, found_when_said, is_count_due
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.door_fold import door
from scheduler.cares.door_state import Door
from scheduler.cares.emptied import emptied
from scheduler.cares.plan import plan, sky_over
from scheduler.cares.records import Records
from scheduler.journal import access, closings, deliveries
from scheduler.journal.store import Journal
from scheduler.light.sun import Sky
from scheduler.profile.values import Profile
from scheduler.service.household.open_profile import Household

_DAY = timedelta(days=1)
_log = logging.getLogger(__name__)
_FIRST_OF_ALL: Mapping[str, int] = MappingProxyType({})
T = TypeVar("T")
_MOST_KEPT = 64
_NEWS_OF = frozenset({"closed", "found", "dead", "given-up", "elsewhere"})
DAYS_BACK = 2  # evenings further back are over, at every latitude and in every zone


@dataclass(slots=True, kw_only=True)
class Almanac:
    """Days of a household, each computed once for the same profile and reports."""

    household: Household
    records: Records
    ways: frozenset[ChannelName]
    key: bytes
    watched_since: datetime | None = None
    quarantined: set[str] = field(default_factory=set)
    _sky: Sky = field(init=False)
    _days: dict[date, tuple[CoopDay, ...]] = field(default_factory=dict, init=False)
    _kept: dict[Hashable, Any] = field(default_factory=dict, init=False)
    _emptied_by: Sequence[Closing] = field(default=(), init=False, repr=False)
    _emptied: dict[date, frozenset[str]] = field(default_factory=dict, init=False)

    def __post_init__(self) -> None:
        """Fixes the sun over the site."""
        self._sky = sky_over(self.household.profile)

    def coops(self, day: date) -> tuple[CoopDay, ...]:
        """Every coop's day of that date, in the profile's order."""
        if day not in self._days:
            if len(self._days) > 2 * (DAYS_BACK + 2):
                self._days.clear()
            profile = self.household.profile
            self._days[day] = tuple(self._planned_coops(profile, day))
        return self._days[day]

    def _planned_coops(self, profile: Profile, day: date) -> Iterator[CoopDay]:
        for coop in profile.coop:
            try:
                yield coop_day(profile, self._sky, coop, day, self.records)
            except Exception:  # noqa: BLE001 - one house that cannot be planned must not silence the others
                _log.exception("coop.not_planned")
                self.quarantined.add(coop.id)

    def plan_of(self, day: date, empty: frozenset[str] = frozenset()) -> DayPlan:
        """Everything planned for that date; the coops in `empty` have no birds, and no jobs."""
        return self.kept(("plan", day, empty), lambda: self.planned_by(self.records, day, empty))

    def planned_by(self, records: Records, day: date, empty: frozenset[str]) -> DayPlan:
        """As `plan_of`, by other records than those known."""
        profile, catalogue = self.household.profile, self.household.catalogue
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
        return self._sky.transit(day)

    def birds_in(self, coop_id: str, day: date) -> int:
        """How many birds the profile has in the coop on that date."""
        return sum(flock.birds for flock in self.household.profile.flocks_on(coop_id, day))

    def emptied(self, day: date, said: Sequence[Closing]) -> frozenset[str]:
        """The coops in which no bird is on that date by what was said."""
        # A look asks it a dozen times of one diary, which may be ten years long.
        if self._emptied_by is not said:
            self._emptied_by = said
            self._emptied.clear()
        if day not in self._emptied:
            found = emptied(self.household.profile, said, day, 1)
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
        profile = self.household.profile
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
            self._sky.evening(day),
            next_let_outs=let_outs,
            kept_in={coop.coop_id for coop in self.coops(day + _DAY) if coop.kept_in},
            birds={coop.id: self.house(coop.id, day, said).expected for coop in profile.coop},
            crew=crew_of(profile, self.ways),
        )

    def evening_of(self, now: datetime, named: str | None = None) -> date:
        """The evening that a closing said at `now` means: until the next let-out, the last one.

        `named` is the coop's id or name; without it the first let-out of all counts.
        """
        wanted = (named or "").casefold()
        own = {
            coop.id
            for coop in self.household.profile.coop
            if wanted in {coop.id, coop.name.casefold()}
        }
        today = self.household.today(now)
        for day in (today + _DAY, today, today - _DAY):
            let_outs = [
                coop.let_out.instant for coop in self.coops(day) if not own or coop.coop_id in own
            ]
            if min(let_outs, default=self.noon(day)) <= now:
                return day
        return today - 2 * _DAY


def nights(
    almanac: Almanac, connection: Connection, now: datetime, said: Sequence[Closing] | None = None
) -> tuple[Night, ...]:
    """The evenings of today and the two days before, as they stand in the journal."""
    site_id = almanac.household.profile.site.id
    today = almanac.household.today(now)
    since = today - DAYS_BACK * _DAY
    said = closings.closings(connection, site_id) if said is None else said
    begun = deliveries.evenings(connection, site_id, since)
    rows = deliveries.rows_since(connection, site_id, since)
    generations = access.generations(connection, site_id)
    days = [since, since + _DAY, today]
    return tuple(assembled(almanac, begun, said, rows, days, generations))


def assembled(  # noqa: PLR0913, PLR0917 - everything that is known of evenings
    almanac: Almanac,
    begun: Sequence[Evening],
    said: Sequence[Closing],
    rows: Sequence[Row],
    days: Sequence[date],
    generations: Mapping[str, int] = _FIRST_OF_ALL,
) -> Iterator[Night]:
    """Each evening of the days: as it was when its first step was due, else as planned now.

    Whoever has left the profile since is not told of it.
    """
    crew = crew_of(almanac.household.profile, almanac.ways)
    topics = {one.person_id: to for one in crew if (to := one.address("push"))}
    for day in days:
        evenings = [
            among(_numbered(evening, almanac), crew) for evening in begun if evening.day == day
        ]
        covered = {one.coop_id for evening in evenings for one in evening.doors}
        evenings += almanac.planned(day, said, covered)
        for evening in evenings:
            states = states_of(evening, said)
            late = _said_late(almanac, evening, said)
            yield Night(
                evening=evening,
                states=states,
                rows=tuple(
                    row
                    for row in rows
                    if row.key.day == day and row.key.subject_id == evening.subject_id
                ),
                noon=almanac.noon(day),
                zone=almanac.household.profile.site.zone,
                key=almanac.key,
                base_url=almanac.household.profile.web.base_url or "",
                watched_since=almanac.watched_since,
                count_due=counts_due(evening, states, said),
                said_late=late,
                told_before=_told_before(evening, states, said, rows, late),
                topics=topics,
                generations=generations,
            )


def _said_late(almanac: Almanac, evening: Evening, said: Sequence[Closing]) -> tuple[Closing, ...]:
    """What was said, while this evening was the one under way, of doors and birds before it."""
    houses = {one.coop_id for one in evening.doors}
    soonest = almanac.noon(evening.day) - _DAY

    def is_late(one: Closing) -> bool:
        return (
            one.known_at > soonest
            and one.evening < evening.day
            and one.coop_id in houses
            and (one.was or one.kind) in _NEWS_OF
            and almanac.evening_of(one.known_at, one.coop_id) == evening.day
        )

    if not any(map(is_late, said)):
        return ()  # as on most days
    return tuple(sorted(filter(is_late, found_when_said(said)), key=lambda one: one.known_at))


def _told_before(
    evening: Evening,
    states: Mapping[str, Door],
    said: Iterable[Closing],
    rows: Iterable[Row],
    late: Sequence[Closing],
) -> frozenset[str]:
    """Who may have read of the door or the missing that were spoken of late; asked only for news.

    That birds are missing every message of the evenings after it says.
    """
    if not (late or any(state.news for state in states.values())):
        return frozenset()
    earlier = [one for one in said if one.evening < evening.day and one not in late]
    missed = [one.since for state in states_of(evening, earlier).values() for one in state.before]
    first = min(missed, default=evening.day)
    doors = {one.evening for one in late if one.is_of_shutting}
    return frozenset(
        row.key.person_id
        for row in rows
        if row.operation == "send"
        and row.may_have_arrived
        and (
            (row.key.subject_id == evening.subject_id and row.key.day > first)
            or (missed and row.key.step.is_search and row.key.day < evening.day)
            or (row.key.day in doors and row.key.step.is_of_a_door)
        )
    )


def _numbered(evening: Evening, almanac: Almanac) -> Evening:
    """One that an older program began knows its birds less those away, not the profile's."""
    doors = (
        one
        if one.flock is not None
        else replace(one, flock=almanac.birds_in(one.coop_id, evening.day))
        for one in evening.doors
    )
    return replace(evening, doors=tuple(doors))


def states_of(evening: Evening, said: Sequence[Closing]) -> dict[str, Door]:
    """Where each of the evening's doors stands."""
    return {
        one.coop_id: door(said, one.coop_id, evening.day, one.profile_birds)
        for one in evening.doors
    }


def counts_due(
    evening: Evening, states: Mapping[str, Door], said: Sequence[Closing]
) -> frozenset[str]:
    """The coops whose many birds have not been counted for a week."""
    return frozenset(
        coop_id
        for coop_id, state in states.items()
        if is_count_due(said, coop_id, evening.day, state.expected)
    )


def nights_of(
    almanac: Almanac,
    connection: Connection,
    evening: date,
    said: Sequence[Closing],
    now: datetime,
) -> tuple[Night, ...]:
    """The evenings of that date with everything said of them, of houses without birds as well."""
    found = nights(almanac, connection, now, said)
    here = tuple(night for night in found if night.evening.day == evening)
    # A house without birds, or an evening longer ago: nothing is due, but something may be said.
    covered = {one.coop_id for night in here for one in night.evening.doors}
    return here + tuple(
        Night(
            evening=planned,
            states=states_of(planned, said),
            rows=(),
            noon=almanac.noon(evening),
            zone=almanac.household.profile.site.zone,
            key=almanac.key,
        )
        for planned in almanac.planned(evening, said, covered, empty=True)
    )


def planned_of(night: Night, coop_id: str) -> RemindedDoor:
    """The coop's door as the evening has it."""
    return next(one for one in night.evening.doors if one.coop_id == coop_id)


def tonight(
    almanac: Almanac, found: Sequence[Night], said: Sequence[Closing], coop_id: str, now: datetime
) -> Door:
    """How the coop stands on the evening that something said now would be for."""
    day = almanac.evening_of(now, coop_id)
    for night in found:
        if night.evening.day == day and coop_id in night.states:
            return night.states[coop_id]
    return almanac.house(coop_id, day, said)


def nights_now(almanac: Almanac, journal: Journal, now: datetime) -> tuple[Night, ...]:
    """As `nights`, in a read transaction of its own."""
    with journal.reading() as connection:
        return nights(almanac, connection, now)
