"""The plan of a year, summed up: its months, and how the vents of a coop stand through it."""

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, time, timedelta

from scheduler.cares.day_plan import DayPlan, Plan, Task
from scheduler.cares.minutes import USUAL_BIRDS
from scheduler.cares.vent_seasons import CHANGES, season_on
from scheduler.cares.vents import season_setting
from scheduler.climate.curve import averages
from scheduler.husbandry.ventilation import Season
from scheduler.profile.coop import Coop
from scheduler.wording.cares.profile_jobs import Workload
from scheduler.wording.spoken import month_and_year, span_of

_HOUR = timedelta(hours=1)
_DAY = timedelta(days=1)
HUMANE_A_WEEK = 130  # minutes for twelve hens in one house, common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Month:
    """One month of the plan: lock-ups by the clock at the site, hours of daylight on average.

    `let_out` is from when until when they are let out, None where that is on no day.
    `minutes_a_week` counts the jobs and the lock-ups, of every house.
    """

    first: date
    earliest: time
    latest: time
    daylight_h: float
    minutes_a_week: int
    changes: tuple[Task, ...]
    let_out: tuple[time, time] | None = None


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


def months(planned: Plan, of: Coop | None = None) -> tuple[Month, ...]:
    """Every month that the plan has days of, in their order; the times and changes `of` one house.

    Without a house those of all.
    """
    by_month: dict[date, list[DayPlan]] = {}
    for each in planned.days:
        by_month.setdefault(each.day.replace(day=1), []).append(each)
    return tuple(_month(planned, first, days, of) for first, days in by_month.items())


def concerning(planned: Plan, coop: Coop, task: Task) -> bool:
    """Whether the task is of that house, of its flocks, or of the site."""
    flocks = {flock.id for flock in planned.profile.flocks_of(coop.id)}
    return task.subject == "site" or task.subject_id in {coop.id, *flocks}


def too_much(planned: Plan, summed: Sequence[Month]) -> tuple[str, ...]:
    """A sentence where months ask one house of up to twelve birds for more than is humane.

    It tells of the busiest, how many do, and the job that one has most of beyond the others.
    """
    profile = planned.profile
    if len(profile.coop) > 1 or sum(flock.birds for flock in profile.flock) > USUAL_BIRDS:
        return ()
    busy = [month for month in summed if month.minutes_a_week > HUMANE_A_WEEK]
    if not busy:
        return ()
    worst = max(busy, key=lambda month: month.minutes_a_week)
    days = [day for day in planned.days if day.day.replace(day=1) == worst.first]
    usual, own = _minutes_a_week(planned.days), _minutes_a_week(days)
    title = max(own, key=lambda title: own[title] - usual[title])
    said = Workload.too_much(
        month=month_and_year(worst.first),
        work=span_of(worst.minutes_a_week),
        usual=span_of(HUMANE_A_WEEK),
        most=span_of(own[title]),
        job=title,
    )
    if more := len(busy) - 1:
        said = f"{said} {Workload.others_too(months=more)}"
    return (said,)


def _minutes_a_week(days: Sequence[DayPlan]) -> Counter[str]:
    minutes: Counter[str] = Counter()
    for task in (task for day in days for task in day.tasks):
        minutes[task.title] += task.minutes
    return Counter({title: round(total * 7 / len(days)) for title, total in minutes.items()})


def _month(planned: Plan, first: date, days: list[DayPlan], of: Coop | None) -> Month:
    coops = [coop for day in days for coop in day.coops if of is None or coop.coop_id == of.id]
    zones = {day.day: planned.profile.on(day.day).site.zone for day in days}
    shut = [(coop.lock_up.instant.astimezone(zones[coop.day]), coop.day) for coop in coops]
    # A lock-up at 00:20 belongs to the day before: it is later than one at 23:50.
    shut.sort(key=lambda pair: (pair[0].date() - pair[1], pair[0].time()))
    opened = sorted(
        coop.let_out.instant.astimezone(zones[coop.day]).time()
        for coop in coops
        if not coop.kept_in
    )
    minutes = sum(day.minutes for day in days)
    daylight = sum((coop.daylight for coop in coops), timedelta())
    return Month(
        first=first,
        earliest=shut[0][0].time(),
        latest=shut[-1][0].time(),
        daylight_h=round(daylight / _HOUR / len(coops), 1),
        minutes_a_week=round(minutes * 7 / len(days)),
        changes=tuple(
            task
            for day in days
            for task in day.seasons
            if of is None or concerning(planned, of, task)
        ),
        let_out=(opened[0], opened[-1]) if opened else None,
    )


def vent_spans(planned: Plan, coop: Coop) -> Iterator[VentSpan]:
    """The settings one after another, without a gap; none where the profile gives no vents."""
    if not coop.vent:
        return
    first, last = planned.days[0].day, planned.days[-1].day
    changes = [
        (task.day, *CHANGES[task.care_id])
        for day in planned.days
        for task in day.seasons
        if task.subject_id == coop.id and task.care_id in CHANGES
    ]
    season = season_on(averages(planned.profile.on(first)), first)
    for day, begins, _ in [*changes, (last + _DAY, season, season)]:
        if day > first:
            here = planned.profile.on(first)
            set_to = season_setting(here, coop, season, first, averages(here))
            yield VentSpan(first=first, last=day - _DAY, season=season, words=set_to.words)
        first, season = day, begins
