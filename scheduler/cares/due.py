"""What makes a care due on a date. Each answer depends on the date alone, not on a window.

Grids count days from an anchor near the shortest day of the hemisphere, so that the same flock
half a year on, the other side of the equator, has the same work.
"""

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import cached_property

from scheduler.cares import triggers
from scheduler.cares.catalogue import Care, Catalogue
from scheduler.cares.cleaning_dates import cleaning_due
from scheduler.cares.climate_dates import changes_of_the_year, passes
from scheduler.cares.flock_dates import FlockDates
from scheduler.cares.house_intervals import grid
from scheduler.cares.lamp import light_on
from scheduler.cares.records import Records, Report
from scheduler.cares.told_heat import felt_most_c
from scheduler.cares.weather_signs import HEAT_ANYWHERE_C, key_of
from scheduler.cares.weather_told import says, shows
from scheduler.climate.curve import HALF_YEAR, Averages
from scheduler.light.sun import At, Sky
from scheduler.profile.coop import Coop
from scheduler.profile.own_cares import WEEKDAYS
from scheduler.profile.values import Profile

# A Monday by the shortest day; half a year of whole weeks on, the other anchor is a Monday too.
_NORTHERN_ANCHOR = date(2024, 12, 23)
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

    @cached_property
    def flocks(self) -> FlockDates:
        """For which flocks a care is due."""
        return FlockDates(self.profile, self.sky, self.averages, self.records)

    def due(  # noqa: C901, PLR0911 - one answer for each kind of trigger
        self, care: Care, day: date
    ) -> bool:
        """Whether the care is due on `day`, for any coop or flock it may concern."""
        match care.due:
            case triggers.Every():
                return self._on_grid(care.due, day)
            case triggers.OwnTimes():
                return self._own_turn(care.id, care.due, day)
            case triggers.OwnHouse() | triggers.YearlyCleaning():
                return any(self.house_asks(care.due, coop, day) for coop in self.profile.coop)
            case triggers.SunPasses(angle=angle):
                return isinstance(self.sky.crossing(day, "evening", angle), At)
            case triggers.DaylightPasses(hours=hours, passing=passing):
                return self._daylight_passes(timedelta(hours=hours), passing == "rising", day)
            case triggers.ClimatePasses() | triggers.ChancePasses():
                changes = self._changes.get(care.id, ())
                return passes(self.averages, changes, day - _DAY, day)
            case triggers.WeatherSign():
                return self._shows(care.due, day)
            case triggers.Recorded():
                return any(True for _ in self._asking(care.due, day))
            case triggers.Forecast(sign=sign):
                return self.records.is_foretold(sign, day)
            case triggers.ClockChanges():
                return clock_shift(self.profile.site.zone, day) != timedelta()
            case _:
                return any(True for _ in self.flocks.due(care, day))

    def _asking(self, due: triggers.Recorded, day: date) -> Iterator[Report]:
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
        return not isinstance(due, triggers.Recorded) or any(
            report.house_id in {"", coop.id} for report in self._asking(due, day)
        )

    def is_in_cleaning(self, care: Care, coop: Coop, day: date) -> bool:
        """Whether the care is part of a cleaning that the coop has on that day."""
        return care.in_cleaning and any(
            isinstance(one.due, triggers.YearlyCleaning) and self.house_asks(one.due, coop, day)
            for one in self.cares
        )

    def not_needed_c(self, care: Care, day: date) -> float | None:
        """The temperature that came instead, where the care stands in a round and no more holds."""
        due, decided = care.due, self.records.weather_on(day)
        if not (isinstance(due, triggers.WeatherSign) and decided):
            return None
        if key_of(due) not in decided.stood or any(
            says(one, due, self.averages, day) for one in self.records.of(due.sign, day)
        ):
            return None
        return (decided.weather.low_c if due.of == "low" else decided.weather.high_c).value

    def is_told(self, care: Care, day: date) -> bool:
        """Whether somebody or a forecast has told of the weather that the care waits for."""
        due = care.due
        if not isinstance(due, triggers.WeatherSign):
            return False
        return bool(self.records.of(due.sign, day) or self.records.weather_on(day))

    def rings_nobody(self, care: Care, day: date) -> bool:
        """Whether nothing makes the care due but a forecast for which nobody is called."""
        due = care.due
        return isinstance(due, triggers.Recorded) and not any(
            one.rings for one in self._asking(due, day)
        )

    def is_extreme(self, care: Care, day: date) -> bool:
        """Whether such heat is told or forecast for the care as is an emergency anywhere."""
        return (
            isinstance(care.due, triggers.WeatherSign)
            and care.due.emergency
            and felt_most_c(self.averages, self.records, day) >= HEAT_ANYWHERE_C
        )

    def house_asks(
        self, due: triggers.OwnHouse | triggers.YearlyCleaning, coop: Coop, day: date
    ) -> bool:
        """Whether this coop's own floor, nests or drinkers make that work due on `day`."""
        if isinstance(due, triggers.YearlyCleaning):
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

    def _own_turn(self, care_id: str, times: triggers.OwnTimes, day: date) -> bool:
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

    def _on_grid(self, every: triggers.Every, day: date) -> bool:
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
        return _NORTHERN_ANCHOR + HALF_YEAR if southern else _NORTHERN_ANCHOR

    def _lies_in(self, part: triggers.During, day: date) -> bool:
        if part.of == "daylight":
            value = self.sky.daylight(day) / timedelta(hours=1)
        else:
            value = self.averages.low_c(day) if part.of == "low" else self.averages.high_c(day)
        above = part.above is not None and value >= part.above
        return above or (part.below is not None and value < part.below)

    def _daylight_passes(self, limit: timedelta, rising: bool, day: date) -> bool:
        before, now = self.sky.daylight(day - _DAY), self.sky.daylight(day)
        return before < limit <= now if rising else before >= limit > now

    @cached_property
    def _changes(self) -> dict[str, list[float]]:
        return changes_of_the_year(self.cares, self.averages)

    def _shows(self, sign: triggers.WeatherSign, day: date) -> bool:
        told, decided = self.records.of(sign.sign, day), self.records.weather_on(day)
        usual = not sign.usual_days or self._counts(sign.usual_days, 0, day)
        return shows(sign, told, decided, self.averages, day, usual)
