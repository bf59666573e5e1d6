"""What makes a care due on a date. Each answer depends on the date alone, not on a window.

Grids count days from an anchor near the shortest day of the hemisphere, so that the same flock
half a year on, the other side of the equator, has the same work.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import cached_property
from typing import Literal

from scheduler.cares.catalogue import Care, Catalogue, FeedGiven
from scheduler.cares.cleaning_dates import cleaning_due, keeps_heat
from scheduler.cares.climate_dates import changes_of_the_year, passes
from scheduler.cares.free_range import stays_in
from scheduler.cares.house_intervals import grid
from scheduler.cares.kept_in import kept_in
from scheduler.cares.lamp import has_programme, light_on, too_long_until
from scheduler.cares.quarantine import (
    lives_with_others,
    meets_others_from,
    quarantine,
    quarantine_ends,
    sees_others_from,
    waits_to_meet,
)
from scheduler.cares.records import Records, Report
from scheduler.cares.triggers import (
    Age,
    Arrival,
    ClimatePasses,
    ClockChanges,
    DaylightPasses,
    During,
    Every,
    FirstOuting,
    Joining,
    OwnHouse,
    OwnTimes,
    Quarantined,
    Recorded,
    SunPasses,
    WeatherSign,
    YearlyCleaning,
)
from scheduler.cares.weather_told import HEAT_ANYWHERE_C, felt_c, shows
from scheduler.climate.curve import Averages
from scheduler.climate.half_year import NORTHERN_ANCHOR, SOUTHERN_ANCHOR
from scheduler.husbandry.age import (
    SEEING_FROM_WEEKS,
    WEEKS_OF_CLASS,
    lays,
    on_heat,
    under_a_hen,
)
from scheduler.husbandry.growth import feed_for
from scheduler.light.sun import At, Sky
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.own_cares import WEEKDAYS
from scheduler.profile.values import Profile

_DAY = timedelta(days=1)
_WEEK = 7


def clock_shift(zone: tzinfo, day: date) -> timedelta:
    """By how much the clock goes forward (or, negative, back) between this noon and the next."""
    noon = datetime.combine(day, time(12), UTC)
    before, after = noon.astimezone(zone).utcoffset(), (noon + _DAY).astimezone(zone).utcoffset()
    return (after or timedelta()) - (before or timedelta())


@dataclass(frozen=True)
class Dates:
    """Which cares are due when, for one profile, its averages and its records."""

    profile: Profile
    sky: Sky
    averages: Averages
    records: Records
    cares: Catalogue
    _light: dict[tuple[str, date], timedelta] = field(
        default_factory=dict, init=False, repr=False, compare=False
    )

    def due(  # noqa: C901, PLR0911 - one answer for each kind of trigger
        self, care: Care, day: date
    ) -> bool:
        """Whether the care is due on `day`, for any coop or flock it may concern."""
        match care.due:
            case Every():
                return self._on_grid(care.due, day)
            case OwnTimes():
                return self._own_turn(care.id, care.due, day)
            case OwnHouse() | YearlyCleaning():
                return any(self.house_asks(care.due, coop, day) for coop in self.profile.coop)
            case SunPasses(angle=angle):
                return isinstance(self.sky.crossing(day, "evening", angle), At)
            case DaylightPasses(hours=hours, passing=passing):
                return self._daylight_passes(timedelta(hours=hours), passing == "rising", day)
            case ClimatePasses():
                return self._climate_passes(care, day)
            case WeatherSign():
                return self._shows(care.due, day)
            case Age() | Arrival() | Quarantined() | Joining() | FirstOuting():
                return any(True for _ in self.flocks_due(care, day))
            case Recorded():
                return any(True for _ in self._asking(care.due, day))
            case ClockChanges():
                return clock_shift(self.profile.site.zone, day) != timedelta()

    def _asking(self, due: Recorded, day: date) -> Iterator[Report]:
        """The reports for which such a care is due on `day`."""
        zone = self.profile.site.zone
        for report in self.records.of(due.of, day):
            is_early = not due.days or report.is_news(day, due.days, zone)
            is_near = due.grade is None or report.came_as_near_as(due.grade)
            if is_early and is_near and (report.is_notifiable or not due.notifiable):
                yield report

    def reported_of(self, care: Care, coop: Coop, day: date) -> bool:
        """Whether a care that waits for a report has one of this coop, or of the whole site."""
        due = care.due
        return not isinstance(due, Recorded) or any(
            report.house_id in {"", coop.id} for report in self._asking(due, day)
        )

    def is_in_cleaning(self, care: Care, coop: Coop, day: date) -> bool:
        """Whether the care is part of a cleaning that the coop has on that day."""
        return care.in_cleaning and any(
            isinstance(one.due, YearlyCleaning) and self.house_asks(one.due, coop, day)
            for one in self.cares
        )

    def is_extreme(self, care: Care, day: date) -> bool:
        """Whether heat is told for the care that is an emergency wherever it comes."""
        return (
            isinstance(care.due, WeatherSign)
            and care.due.emergency
            and any(felt_c(one, day) >= HEAT_ANYWHERE_C for one in self.records.of("heat", day))
        )

    def flocks_due(self, care: Care, day: date) -> Iterator[Flock]:
        """The flocks for which an age or an arrival makes the care due on `day`."""
        for flock in self.profile.flock:
            if self._concerns(care, flock, day) and self._reaches(care, flock, day):
                yield flock

    def _concerns(self, care: Care, flock: Flock, day: date) -> bool:
        """Whether the flock is here, is of an age for the care, and its house is fed for it."""
        if flock.arrived is not None and day < flock.arrived:
            return False
        coop = self.profile.coop_of(flock.coop)
        flocks = self.profile.flocks_on(coop.id, day)
        unfit = {
            "off heat": on_heat(flock, day),
            "let out": kept_in(coop, flocks, day, self.records) is not None,
            "hens": not flock.hens + flock.young,
        }
        if care.only and unfit.get(care.only):
            return False
        if care.mixes and care.feed and day == flock.arrived and _is_fed("shared", flocks, day):
            return False  # the house that they move into asks for one feed by itself
        return care.feed is None or _is_fed(care.feed, flocks, day)

    def house_asks(self, due: OwnHouse | YearlyCleaning, coop: Coop, day: date) -> bool:
        """Whether this coop's own floor, nests or drinkers make that work due on `day`."""
        if isinstance(due, YearlyCleaning):
            return cleaning_due(self.profile, self.averages, coop, day) == due.of
        light = self._light_on(coop, day)
        asked = grid(due.of, self.profile, coop, self.averages, self.records, day, light)
        return any(self._counts(asked.days, phase, day) for phase in asked.phases)

    def _light_on(self, coop: Coop, day: date) -> timedelta:
        """As `light_on`; every upkeep of a house asks it of the same day."""
        place = coop.id, day
        if place not in self._light:
            flocks = self.profile.flocks_on(coop.id, day)
            self._light[place] = light_on(coop, flocks, self.sky, day)
        return self._light[place]

    def waits_for_the_end_of(self, care: Care, day: date) -> Literal["illness", "order"] | None:
        """The report that has to be ended before anybody knows when such a care is due next."""
        due = care.due
        is_over = isinstance(due, Quarantined) and due.over
        if not (is_over or care.mixes or isinstance(due, FirstOuting)):
            return None
        for flock in self.profile.flock:
            known = self._known(flock, day)
            if (apart := quarantine(*known)) and apart.ends is None:
                return "illness"
            if is_over or not (flock.arrived or flock.hatched):
                continue
            if care.mixes and not self._has_company(flock, day):
                continue
            if meets_others_from(*known) is None:
                open_ended = (one.kind for one in self.records.reports if one.spell.last is None)
                return "order" if "order" in open_ended else "illness"
        return None

    def _has_company(self, flock: Flock, day: date) -> bool:
        """Whether there are birds of another age that they could join."""
        others = any(
            other.id != flock.id and (other.arrived is None or other.arrived <= day)
            for other in self.profile.flock
        )
        leading = 1 if under_a_hen(flock) else 0  # chicks have lived with the hen that raised them
        return others or (bool(flock.young) and flock.hens + flock.roosters > leading)

    def _reaches(  # noqa: PLR0911 - one answer for each kind of trigger
        self, care: Care, flock: Flock, day: date
    ) -> bool:
        due = care.due
        if care.mixes and (
            quarantine(*self._known(flock, day)) or not self._has_company(flock, day)
        ):
            return False
        if isinstance(due, Quarantined):
            known = self._known(flock, day)
            return quarantine_ends(*known) == day if due.over else quarantine(*known) is not None
        if isinstance(due, Joining):
            return self._joins(due, flock, day)
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

    def _known(self, flock: Flock, day: date) -> tuple[Flock, tuple[Flock, ...], Records, date]:
        """What a quarantine is counted by."""
        return flock, self.profile.flocks_on(flock.coop, day), self.records, day

    def _joins(self, due: Joining, flock: Flock, day: date) -> bool:
        """Whether the day is among those on which the flock sees the others, or meets them."""
        seeing_days = SEEING_FROM_WEEKS * _WEEK
        grew_up_here = flock.hatched is not None and (
            flock.arrived is None or (flock.arrived - flock.hatched).days <= seeing_days
        )
        if not grew_up_here and flock.raised_by != "bought":
            return False
        of = meets_others_from if due.meets else sees_others_from
        start = of(*self._known(flock, day))
        if start is None:
            return False
        moved_in = due.meets and lives_with_others(*self._known(flock, day)[:2])
        if not (due.sleeps or due.moves):
            # Once they sleep in one house, nobody puts them together on the mornings after.
            after = (day - start).days
            together = moved_in and after and not self.lit_house(flock, start)
            return 0 <= after < due.for_days and not together
        lit = self.lit_house(flock, start)
        if due.moves:
            return not moved_in and day == (lit[1] if lit else start)
        starts = (start, lit[1]) if lit else (start,)
        # Their light is lengthened from when they may see the others: that is said on its day.
        is_told = lit is not None and day == sees_others_from(*self._known(flock, day))
        return is_told or any(0 <= (day - one).days < due.for_days for one in starts)

    def lit_house(self, flock: Flock, day: date) -> tuple[str, date] | None:
        """The house of others whose lamp is too long for the flock on that day, and until when."""
        house = self.profile.flocks_on(flock.coop, day)
        moved_in = any(other.id != flock.id for other in house)
        found = []
        for coop in self.profile.coop:
            others = tuple(o for o in self.profile.flocks_on(coop.id, day) if o.id != flock.id)
            if has_programme(coop) and others and (coop.id == flock.coop) is moved_in:
                until = too_long_until(coop, others, flock, house, self.sky, day, self.records)
                found += [(until, coop.name)] if until and until > day else []
        until, name = max(found, default=(day, ""))
        return (name, until) if name else None

    def _first_ranges(self, flock: Flock, day: date) -> bool:
        """Whether nothing has let the flock range since it came, and nothing keeps it in now.

        It came on the day it arrived or, raised here, on the day it hatched.
        """
        since = flock.arrived or flock.hatched
        if since is None or day <= since:
            return False
        earlier = (day - n * _DAY for n in range(1, (day - since).days + 1))
        return self._may_range(flock, day) and not any(self._may_range(flock, d) for d in earlier)

    def _may_range(self, flock: Flock, day: date) -> bool:
        coop = self.profile.coop_of(flock.coop)
        house = self.profile.flocks_on(coop.id, day)
        if waits_to_meet(flock, house, self.records, day):
            return False
        return stays_in(self.profile, coop, day, self.records) is None

    def _own_turn(self, care_id: str, times: OwnTimes, day: date) -> bool:
        if times.once:
            return day == times.once
        if (times.first and day < times.first) or (times.last and day > times.last):
            return False
        since = self.records.own_job_done(care_id, day)
        if times.first and (since is None or since < times.first):
            return (day - times.first).days % times.days == 0
        since = since or self.records.own_job_began(care_id)
        if since is None:
            return self._counts(times.days, times.phase, day)
        return day > since and (day - since).days % times.days == 0

    def _on_grid(self, every: Every, day: date) -> bool:
        if every.during and not self._lies_in(every.during, day):
            return False
        if self._counts(every.days, every.phase, day):
            return True
        extra = every.extra
        return (
            extra is not None
            and self._counts(extra.days, extra.phase, day)
            and self._lies_in(extra.during, day)
        )

    def _counts(self, days: int, phase: int, day: date) -> bool:
        if days % _WEEK == 0:
            phase += WEEKDAYS.index(self.profile.rounds.weekly_day)
        return ((day - self._anchor).days - phase) % days == 0

    @property
    def _anchor(self) -> date:
        southern = self.profile.site.latitude_deg < 0
        return SOUTHERN_ANCHOR if southern else NORTHERN_ANCHOR

    def _average(self, of: str, day: date) -> float:
        return self.averages.low_c(day) if of == "low" else self.averages.high_c(day)

    def _lies_in(self, part: During, day: date) -> bool:
        if part.of == "daylight":
            value = self.sky.daylight(day) / timedelta(hours=1)
        else:
            value = self._average(part.of, day)
        above = part.above is not None and value >= part.above
        return above or (part.below is not None and value < part.below)

    def _daylight_passes(self, limit: timedelta, rising: bool, day: date) -> bool:
        before, now = self.sky.daylight(day - _DAY), self.sky.daylight(day)
        return before < limit <= now if rising else before >= limit > now

    def _climate_passes(self, care: Care, day: date) -> bool:
        return passes(self.averages, self._changes.get(care.id, ()), day - _DAY, day)

    @cached_property
    def _changes(self) -> dict[str, list[float]]:
        return changes_of_the_year(self.cares, self.averages)

    def _shows(self, sign: WeatherSign, day: date) -> bool:
        told = self.records.of(sign.sign, day)
        usual = not sign.usual_days or self._counts(sign.usual_days, 0, day)
        return shows(sign, told, self.averages, day, warmest_c=self._warmest_c, by_average=usual)

    @cached_property
    def _warmest_c(self) -> float:
        return max(self.averages.high.at(step / 73) for step in range(73))


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
