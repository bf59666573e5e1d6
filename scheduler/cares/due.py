"""What makes a care due on a date. Each answer depends on the date alone, not on a window.

Grids count days from an anchor near the shortest day of the hemisphere, so that the same flock
half a year on, the other side of the equator, has the same work.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from functools import cached_property
from itertools import pairwise
from typing import NamedTuple, get_args

from scheduler.cares.catalogue import (
    Age,
    Care,
    Catalogue,
    ClimatePasses,
    ClockChanges,
    DaylightPasses,
    Every,
    Extra,
    Recorded,
    SunPasses,
    WeatherSign,
)
from scheduler.cares.records import Records
from scheduler.climate.curve import Averages, Threshold, passings
from scheduler.climate.half_year import NORTHERN_ANCHOR, SOUTHERN_ANCHOR
from scheduler.light.sun import SUNSET_DEG, At, Never, Sky
from scheduler.profile.values import Flock, Profile, Weekday

_DAY = timedelta(days=1)
_WEEK = 7
_YEAR_DAYS = 365.2422
_WEEKDAYS: tuple[str, ...] = get_args(Weekday)


def daylight(sky: Sky, day: date) -> timedelta:
    """Sunrise to sunset; nothing in the polar night, 24 h under the midnight sun."""
    rise = sky.crossing(day, "morning", SUNSET_DEG)
    sets = sky.crossing(day, "evening", SUNSET_DEG)
    morning, evening = sky.morning(day), sky.evening(day)
    if Never("below") in (rise, sets):
        return timedelta()
    start = rise.instant if isinstance(rise, At) else morning.start
    end = sets.instant if isinstance(sets, At) else evening.end
    return min(end - start, _DAY)


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

    def due(  # noqa: PLR0911 - one answer for each kind of trigger
        self, care: Care, day: date
    ) -> bool:
        """Whether the care is due on `day`; for an age, whether any flock reaches it."""
        match care.due:
            case Every():
                return self._on_grid(care.due, day)
            case SunPasses(angle=angle):
                return isinstance(self.sky.crossing(day, "evening", angle), At)
            case DaylightPasses(hours=hours, passing=passing):
                return self._daylight_passes(timedelta(hours=hours), passing == "rising", day)
            case ClimatePasses():
                return self._climate_passes(care, day)
            case WeatherSign():
                return self._shows(care.due, day)
            case Age():
                return any(True for _ in self.flocks_of_age(care, care.due, day))
            case Recorded(days=days):
                struck = self.records.predator_days
                return any(0 <= (day - visit).days < days for visit in struck)
            case ClockChanges():
                return clock_shift(self.profile.site.zone, day) != timedelta()

    def flocks_of_age(self, care: Care, age: Age, day: date) -> Iterator[Flock]:
        """The flocks the care is for that reach the age on `day`."""
        for flock in self.profile.flock:
            concerned = care.only is None or flock.hens + flock.young > 0
            if concerned and flock.hatched and (day - flock.hatched).days == age.weeks * _WEEK:
                yield flock

    def _on_grid(self, every: Every, day: date) -> bool:
        if self._counts(every.days, every.phase, day):
            return True
        extra = every.extra
        return (
            extra is not None
            and self._counts(extra.days, extra.phase, day)
            and self._calls_for(extra, day)
        )

    def _counts(self, days: int, phase: int, day: date) -> bool:
        if days % _WEEK == 0:
            phase += _WEEKDAYS.index(self.profile.rounds.weekly_day)
        return ((day - self._anchor).days - phase) % days == 0

    @property
    def _anchor(self) -> date:
        southern = self.profile.site.latitude_deg < 0
        return SOUTHERN_ANCHOR if southern else NORTHERN_ANCHOR

    def _average(self, of: str, day: date) -> float:
        return self.averages.low_c(day) if of == "low" else self.averages.high_c(day)

    def _calls_for(self, extra: Extra, day: date) -> bool:
        average_c = self._average(extra.of, day)
        above = extra.above is not None and average_c >= extra.above
        return above or (extra.below is not None and average_c < extra.below)

    def _daylight_passes(self, limit: timedelta, rising: bool, day: date) -> bool:
        before, now = daylight(self.sky, day - _DAY), daylight(self.sky, day)
        return before < limit <= now if rising else before >= limit > now

    def _shows(self, sign: WeatherSign, day: date) -> bool:
        if any(told.sign == sign.sign and day in told.spell for told in self.records.weather):
            return True
        average_c = self._average(sign.of, day)
        return average_c <= sign.at if sign.sign == "frost" else average_c >= sign.at

    def _climate_passes(self, care: Care, day: date) -> bool:
        yesterday = self.averages.share_of_year(day - _DAY)
        today = self.averages.share_of_year(day)
        for passing in self._changes.get(care.id, ()):
            if yesterday < passing <= today:
                return True
            if today < yesterday and (passing > yesterday or passing <= today):
                return True
        return False

    @cached_property
    def _changes(self) -> dict[str, list[float]]:
        """Shares of the year of each climate care, thinned to the distance its group keeps."""
        groups: dict[str, list[_Change]] = {}
        for care in self.cares:
            if isinstance(care.due, ClimatePasses):
                wave = self.averages.low if care.due.of == "low" else self.averages.high
                threshold = Threshold(care.due.at, rising=care.due.passing == "rising")
                for share in passings(wave, threshold):
                    change = _Change(share, care.due.apart / _YEAR_DAYS, care.id)
                    groups.setdefault(care.due.group, []).append(change)
        kept: dict[str, list[float]] = {}
        for group in groups.values():
            for change in _thinned(sorted(group)):
                kept.setdefault(change.care_id, []).append(change.share)
        return kept


class _Change(NamedTuple):
    share: float
    apart: float
    care_id: str


def _thinned(changes: list[_Change]) -> list[_Change]:
    """Of changes that follow each other too closely the last: it is the setting that stays.

    The year is a circle, so the walk begins behind its largest gap.
    """
    gaps = [change.share - before.share for before, change in pairwise(changes)]
    gaps.insert(0, changes[0].share + 1 - changes[-1].share)
    start = gaps.index(max(gaps))
    around = changes[start:] + changes[:start]
    return [
        change
        for change, following in pairwise([*around, around[0]])
        if len(around) == 1 or (following.share - change.share) % 1 >= change.apart
    ]
