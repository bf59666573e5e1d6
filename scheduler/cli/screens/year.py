"""`duskfold year`: month by month what changes, when to lock up, how long the jobs take."""

from dataclasses import dataclass
from datetime import date, time, timedelta

from scheduler.cares.plan import ESTIMATED, DayPlan, Task
from scheduler.cli.compose import Session
from scheduler.cli.screens.tables import as_json, table
from scheduler.profile.units import Region
from scheduler.profile.values import Profile
from scheduler.profile.words import clock

_HEADINGS = ("", "lock up", "day", "a week", "changes")
_HOUR = timedelta(hours=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Month:
    """One month of the plan, summed up."""

    first: date
    earliest: time
    latest: time
    daylight_h: float
    minutes_a_week: int
    changes: tuple[Task, ...]


def show(session: Session, day: date | None, *, json: bool) -> None:
    """Prints twelve months from the one that holds `day`."""
    household = session.household()
    first = (day or household.today(session.now)).replace(day=1)
    last = date(first.year + 1, first.month, 1)
    planned = session.plan(household, first, (last - first).days)
    months: dict[date, list[DayPlan]] = {}
    for each in planned.days:
        months.setdefault(each.day.replace(day=1), []).append(each)
    summed = [_month(household.profile, start, days) for start, days in months.items()]
    if json:
        print(as_json({"months": [_facts(each) for each in summed]}))
        return
    region = household.profile.site.region
    print(f"{household.profile.site.name}, {first:%B %Y} to {last - timedelta(days=1):%B %Y}")
    print(table([_row(each, region) for each in summed], _HEADINGS))
    if planned.climate_estimated:
        print(ESTIMATED)


def _month(profile: Profile, first: date, days: list[DayPlan]) -> _Month:
    zone = profile.site.zone
    coops = [coop for day in days for coop in day.coops]
    shut = [coop.lock_up.instant.astimezone(zone).time() for coop in coops]
    minutes = sum(walk.minutes for day in days for walk in day.rounds)
    daylight = sum((coop.daylight for coop in coops), timedelta())
    return _Month(
        first=first,
        earliest=min(shut),
        latest=max(shut),
        daylight_h=round(daylight / _HOUR / len(coops), 1),
        minutes_a_week=round(minutes * 7 / len(days)),
        changes=tuple(task for day in days for task in day.seasons),
    )


def _row(month: _Month, region: Region) -> tuple[str, ...]:
    changes = dict.fromkeys(f"{task.day.day} {task.short}" for task in month.changes)
    return (
        f"{month.first:%b %Y}",
        f"{clock(month.earliest, region)} to {clock(month.latest, region)}",
        f"{month.daylight_h} h",
        f"{month.minutes_a_week} min",
        ", ".join(changes) or "–",
    )


def _facts(month: _Month) -> dict[str, object]:
    return {
        "month": f"{month.first:%Y-%m}",
        "lockup_earliest": f"{month.earliest:%H:%M}",
        "lockup_latest": f"{month.latest:%H:%M}",
        "daylight_hours": month.daylight_h,
        "minutes_a_week": month.minutes_a_week,
        "changes": [
            {
                "date": task.day.isoformat(),
                "id": task.care_id,
                "subject": task.subject_id,
                "title": task.title,
            }
            for task in month.changes
        ],
    }
