"""`duskfold week`: seven days on one screen."""

from collections.abc import Mapping
from datetime import date

from scheduler.cares import reasons
from scheduler.cares.birds_today import week_lines
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.door_state import Door
from scheduler.cares.free_range import FreeRange
from scheduler.cares.rounds import each_once
from scheduler.cli.compose import Session
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.screens.today import day_facts
from scheduler.cli.typed import only_day
from scheduler.profile.values import Profile
from scheduler.profile.words import day_words, local_clock
from scheduler.wording.cares.tasks import TaskWords

DAYS = 7
_HEADINGS = ("", "house", "let out", "range from", "lock up", "shut by", "jobs and lock-up")


def show(session: Session, on: str | None, *, json: bool) -> None:
    """Prints seven days from `first`."""
    household = session.household()
    first = only_day("week", on) or household.today(session.now)
    states = session.houses(household, first, DAYS)
    planned = session.plan(household, first, DAYS)
    if json:
        print(as_json({"days": [day_facts(planned, day) for day in planned.days]}))
        return
    profile = household.profile
    print(table([row for day in planned.days for row in _rows(profile, day, states)], _HEADINGS))
    dates = [day.day for day in planned.days]
    for day_of, line in week_lines(profile, session.records(household), dates):
        print(wrapped(f"{day_words(day_of)}: {line.sentence} {line.text}"))
    for day in planned.days:
        date_said = day_words(day.day)
        for title, task in each_once(profile, day.seasons):
            print(wrapped(f"{date_said}: {title}. {task.why}"))
    if planned.climate_estimated:
        print(wrapped(TaskWords.estimated()))


def _rows(
    profile: Profile, day: DayPlan, states: Mapping[tuple[str, date], Door]
) -> list[tuple[str, ...]]:
    zone, region = profile.site.zone, profile.site.region
    rows: list[tuple[str, ...]] = []
    for index, coop in enumerate(day.coops):
        spell = coop.free_range
        start = local_clock(spell.start, zone, region) if isinstance(spell, FreeRange) else "none"
        state = states.get((coop.coop_id, day.day))
        empty = bool(reasons.why_no_birds(profile, coop.coop_id, day.day, state))
        times = (
            reasons.let_out_time(profile, coop),
            start,
            local_clock(coop.lock_up.instant, zone, region, coop.day),
            local_clock(coop.lock_up.latest, zone, region, coop.day),
        )
        rows.append(
            (
                day_words(day.day) if not index else "",
                profile.coop_of(coop.coop_id).name,
                *(("no birds", "", "", "") if empty else times),
                _jobs(day) if not index else "",
            )
        )
    return rows


def _jobs(day: DayPlan) -> str:
    special = [task.short for task in day.tasks if not task.daily]
    return ", ".join([f"{day.minutes} min", *dict.fromkeys(special)])
