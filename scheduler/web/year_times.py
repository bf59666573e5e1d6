"""A year's times of one house, to be read at any of its dates: as text, and for the script."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import Plan
from scheduler.cares.free_range import FreeRange
from scheduler.profile.coop import Coop
from scheduler.profile.words import local_clock
from scheduler.web.script_texts import unfilled
from scheduler.wording.cares.day_of_house import DayLabels
from scheduler.wording.spoken import Dates, Months, ShortWeekdays, Weekdays, long_day
from scheduler.wording.web.year import YearTimes
from scheduler.wording.words import every

_MINUTE = timedelta(minutes=1)
_BETWEEN = "|"


@dataclass(frozen=True, slots=True, kw_only=True)
class TimesOf:
    """One date's times by the clock; `free_range` is empty where there is none."""

    day: str
    lock_up: str
    latest: str
    let_out: str
    free_range: str

    @property
    def said(self) -> str:
        """All of them in a sentence, for whoever hears them."""
        told = {
            "day": self.day,
            "lock_up": self.lock_up,
            "latest": self.latest,
            "let_out": self.let_out,
        }
        if self.free_range:
            return YearTimes.said_with_range(**told, free_range=self.free_range)
        return YearTimes.said(**told)


@dataclass(frozen=True, slots=True, kw_only=True)
class ForScript:
    """What the script reads the times from, and the words that it says them with.

    `times` has for each date the minutes from its midnight to lock-up, shut by, let-out and free
    range; nothing where there is none.
    """

    times: str
    day: str
    weekdays: str
    short_weekdays: str
    months: str
    said: str
    said_with_range: str
    not_today: str


def times_on(planned: Plan, coop: Coop, day: date) -> TimesOf:
    """The times of that date, which the plan has."""
    (found,) = [one for one in _days(planned, coop) if one.day == day]

    def clock(at: datetime) -> str:
        site = planned.profile.on(day).site
        return local_clock(at, site.zone, site.region, day)

    ranging = found.free_range
    return TimesOf(
        day=long_day(day),
        lock_up=clock(found.lock_up.instant),
        latest=clock(found.lock_up.latest),
        let_out=reasons.let_out_time(planned.profile, found),
        free_range=clock(ranging.start) if isinstance(ranging, FreeRange) else "",
    )


def for_script(planned: Plan, coop: Coop) -> ForScript:
    """The same of every date."""
    return ForScript(
        times=";".join(_minutes(planned, one) for one in _days(planned, coop)),
        day=unfilled(Dates.with_weekday),
        weekdays=_BETWEEN.join(one() for one in every(Weekdays).values()),
        short_weekdays=_BETWEEN.join(one() for one in every(ShortWeekdays).values()),
        months=_BETWEEN.join(one() for one in every(Months).values()),
        said=unfilled(YearTimes.said),
        said_with_range=unfilled(YearTimes.said_with_range),
        not_today=DayLabels.not_today(),
    )


def _days(planned: Plan, coop: Coop) -> Sequence[CoopDay]:
    return [one for day in planned.days for one in day.coops if one.coop_id == coop.id]


def _minutes(planned: Plan, one: CoopDay) -> str:
    ranging = one.free_range
    at = (
        one.lock_up.instant,
        one.lock_up.latest,
        None if one.kept_in else one.let_out.instant,
        ranging.start if isinstance(ranging, FreeRange) else None,
    )
    zone = planned.profile.on(one.day).site.zone
    midnight = datetime.combine(one.day, datetime.min.time())
    # By the clock on the wall, whatever it was put to that night.
    told = (None if each is None else each.astimezone(zone).replace(tzinfo=None) for each in at)
    return ",".join("" if each is None else str((each - midnight) // _MINUTE) for each in told)
