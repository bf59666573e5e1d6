"""`duskfold week`: seven days on one screen."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import date

from scheduler.cares import reasons
from scheduler.cares.birds_today import week_lines
from scheduler.cares.climate_told import frost_ahead, source_words
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.door_state import Door
from scheduler.cares.free_range import FreeRange
from scheduler.cares.rounds import each_once
from scheduler.cli.compose import Session
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.screens.today import day_facts
from scheduler.cli.typed import only_day
from scheduler.climate.curve import averages
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.weather import outlook
from scheduler.service.weather.outlook import Outlook
from scheduler.service.weather.warned import quoted
from scheduler.wording.cli.plan import DayTable, LightScreen, Spans, WeatherTable, WeekScreen
from scheduler.wording.spoken import in_a_row, short_day

DAYS = 7
_WEATHER_HEADINGS = (
    WeatherTable.night_to_day,
    WeatherTable.wind_and_snow,
    WeatherTable.jobs,
    WeatherTable.source,
)
_HEADINGS = (
    DayTable.house,
    DayTable.let_out,
    DayTable.range_from,
    DayTable.lock_up,
    DayTable.shut_by,
    DayTable.jobs,
)


def show(session: Session, on: str | None, *, json: bool) -> None:
    """Prints seven days from `first`."""
    household = session.household()
    first = only_day("week", on) or household.today(session.now)
    states = session.houses(household, first, DAYS)
    planned = session.plan(household, first, DAYS)
    profile, records = household.profile, session.records(household, first)
    ahead = outlook.outlooks(profile, records, planned.days, household.catalogue, session.now)
    if json:
        days = [day_facts(planned, day) for day in planned.days]
        print(as_json({"days": days, "weather": [*map(outlook.outlook_facts, ahead)]}))
        return
    rows = [row for day in planned.days for row in _rows(profile, day, states)]
    print(table(rows, ("", *(heading() for heading in _HEADINGS))))
    dates = [day.day for day in planned.days]
    for day_of, line in week_lines(profile, records, dates):
        day_said = short_day(day_of)
        print(wrapped(WeekScreen.birds(day=day_said, sentence=line.sentence, text=line.text)))
    for day in planned.days:
        day_said = short_day(day.day)
        for title, task in each_once(profile, day.seasons):
            print(wrapped(WeekScreen.season(day=day_said, title=title, why=task.why)))
    print("\n".join(_weather(profile, ahead)))
    place = planned.profile
    here = [day for day in dates if place.on(day) is place]
    frost = frost_ahead(averages(place), records, here)
    for said in (frost, source_words(averages(planned.profile), profile.units)):
        if said:
            print(wrapped(said))


def _weather(profile: Profile, days: Sequence[Outlook]) -> Iterator[str]:
    """What each day is like, what jobs that brings, and where it is from; then the warnings."""
    rows = [
        (
            short_day(one.day),
            outlook.temperatures(profile, one),
            outlook.wind_and_snow(profile, one),
            in_a_row([*dict.fromkeys(task.short for task in one.jobs)]),
            outlook.sources(profile, one),
        )
        for one in days
    ]
    yield ""
    yield table(rows, ("", *(heading() for heading in _WEATHER_HEADINGS)))
    warnings = {warning.id: warning for one in days for warning in one.warnings}
    yield from (wrapped(quoted(one)) for one in warnings.values())


def _rows(
    profile: Profile, day: DayPlan, states: Mapping[tuple[str, date], Door]
) -> list[tuple[str, ...]]:
    site = profile.on(day.day).site
    zone, region = site.zone, site.region
    rows: list[tuple[str, ...]] = []
    for index, coop in enumerate(day.coops):
        spell = coop.free_range
        start = WeekScreen.no_range()
        if isinstance(spell, FreeRange):
            start = local_clock(spell.start, zone, region)
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
                short_day(day.day) if not index else "",
                profile.coop_of(coop.coop_id).name,
                *((LightScreen.no_birds(), "", "", "") if empty else times),
                _jobs(day) if not index else "",
            )
        )
    return rows


def _jobs(day: DayPlan) -> str:
    special = [task.short for task in day.tasks if not task.daily]
    return in_a_row([Spans.minutes(minutes=day.minutes), *dict.fromkeys(special)])
