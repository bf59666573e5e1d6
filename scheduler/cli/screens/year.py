"""`duskfold year`: month by month what changes, when to lock up, how long the jobs take."""

from scheduler.cares.months import Month, months, too_much, year_from
from scheduler.cli.compose import Session
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.typed import only_day
from scheduler.profile.units import Region
from scheduler.profile.words import clock
from scheduler.wording.cares.tasks import TaskWords

_HEADINGS = ("", "lock up", "day", "a week", "changes")


def show(session: Session, on: str | None, *, json: bool) -> None:
    """Prints twelve months from the one that holds `day`."""
    household = session.household()
    first, last = year_from(only_day("year", on) or household.today(session.now))
    planned = session.plan(household, first, (last - first).days + 1)
    summed = months(planned)
    if json:
        above = list(too_much(planned, summed))
        print(as_json({"months": [_facts(each) for each in summed], "too_much": above}))
        return
    region = household.profile.site.region
    print(f"{household.profile.site.name}, {first:%B %Y} to {last:%B %Y}")
    print(table([_row(each, region) for each in summed], _HEADINGS))
    for sentence in too_much(planned, summed):
        print(wrapped(sentence))
    if planned.climate_estimated:
        print(wrapped(TaskWords.estimated()))


def _row(month: Month, region: Region) -> tuple[str, ...]:
    changes = dict.fromkeys(f"{task.day.day} {task.short}" for task in month.changes)
    return (
        f"{month.first:%b %Y}",
        f"{clock(month.earliest, region)} to {clock(month.latest, region)}",
        f"{month.daylight_h} h",
        f"{month.minutes_a_week} min",
        ", ".join(changes) or "–",
    )


def _facts(month: Month) -> dict[str, object]:
    return {
        "month": f"{month.first:%Y-%m}",
        "lockup_earliest": f"{month.earliest:%H:%M}",
        "lockup_latest": f"{month.latest:%H:%M}",
        "daylight_hours": month.daylight_h,
        "minutes_a_week": month.minutes_a_week,
        "changes": [
            {"date": task.day, "id": task.care_id, "subject": task.subject_id, "title": task.title}
            for task in month.changes
        ],
    }
