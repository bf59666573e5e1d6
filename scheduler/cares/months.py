"""The plan of a year, summed up: its months, and how the vents of a coop stand through it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time, timedelta

from scheduler.cares.plan import DayPlan, Plan, Task
from scheduler.cares.vents import change_of, is_change, season_on, season_setting
from scheduler.climate.curve import averages
from scheduler.husbandry.ventilation import Season
from scheduler.profile.values import Coop

_HOUR = timedelta(hours=1)
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """One month of the plan: lock-ups by the clock at the site, hours of daylight on average.

    `minutes_a_week` counts the jobs and the lock-ups.
    """

    first: date
    earliest: time
    latest: time
    daylight_h: float
    minutes_a_week: int
    changes: tuple[Task, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class VentSpan:
    """Dates, both included, through which the vents stand at one setting."""

    first: date
    last: date
    season: Season
    words: str


def year_from(day: date) -> tuple[date, date]:
    """The first and the last date of the twelve months from the one that holds `day`."""
    first = day.replace(day=1)
    return first, date(first.year + 1, first.month, 1) - _DAY


def months(planned: Plan) -> tuple[Month, ...]:
    """Every month that the plan has days of, in their order."""
    by_month: dict[date, list[DayPlan]] = {}
    for each in planned.days:
        by_month.setdefault(each.day.replace(day=1), []).append(each)
    return tuple(_month(planned, first, days) for first, days in by_month.items())


def vent_spans(planned: Plan, coop: Coop) -> tuple[VentSpan, ...]:
    """The settings one after another, without a gap; none where the profile gives no vents."""
    return tuple(_spans(planned, coop)) if coop.vent else ()


def _month(planned: Plan, first: date, days: list[DayPlan]) -> Month:
    zone = planned.profile.site.zone
    coops = [coop for day in days for coop in day.coops]
    shut = [(coop.lock_up.instant.astimezone(zone), coop.day) for coop in coops]
    # A lock-up at 00:20 belongs to the day before: it is later than one at 23:50.
    shut.sort(key=lambda pair: (pair[0].date() - pair[1], pair[0].time()))
    minutes = sum(day.minutes for day in days)
    daylight = sum((coop.daylight for coop in coops), timedelta())
    return Month(
        first=first,
        earliest=shut[0][0].time(),
        latest=shut[-1][0].time(),
        daylight_h=round(daylight / _HOUR / len(coops), 1),
        minutes_a_week=round(minutes * 7 / len(days)),
        changes=tuple(task for day in days for task in day.seasons),
    )


def _spans(planned: Plan, coop: Coop) -> Iterator[VentSpan]:
    yearly = averages(planned.profile)
    first, last = planned.days[0].day, planned.days[-1].day
    changes = [
        (task.day, *change_of(task.care_id))
        for day in planned.days
        for task in day.seasons
        if task.subject_id == coop.id and is_change(task.care_id)
    ]
    season = changes[0][2] if changes else season_on(yearly, first)
    for day, begins, _ in [*changes, (last + _DAY, season, season)]:
        if day > first:
            set_to = season_setting(planned.profile, coop, season, first, yearly)
            yield VentSpan(first=first, last=day - _DAY, season=season, words=set_to.words)
        first, season = day, begins
