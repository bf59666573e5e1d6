"""Seven days: when to let out, range and lock up, what is due, and the weather."""

from collections.abc import Mapping
from datetime import date

from scheduler.cares import reasons
from scheduler.cares.birds_today import week_lines
from scheduler.cares.climate_told import frost_ahead, map_off
from scheduler.cares.day_plan import DayPlan
from scheduler.cares.free_range import FreeRange
from scheduler.cares.rounds import each_once
from scheduler.climate.curve import averages
from scheduler.service.weather import outlook
from scheduler.service.weather.outlook import Outlook
from scheduler.service.weather.warned import quoted
from scheduler.web.last_results import Plans
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.week_picture import week_picture

DAYS = 7


def show(visit: Visit, plans: Plans) -> Answer:
    """The page, from today on."""
    planned = plans.days(visit.standing, visit.today, DAYS)
    dates = [day.day for day in planned.days]
    here = [day for day in dates if visit.profile.on(day) is visit.profile]
    told = list(week_lines(visit.profile, visit.standing.records, dates))
    of_birds = {on: {line.title: line.text for at, line in told if at == on} for on, _ in told}
    records, catalogue = visit.standing.records, visit.standing.household.catalogue
    ahead = outlook.outlooks(visit.profile, records, planned.days, catalogue, visit.now)
    facts = {
        "days": [_day(visit, day, dates[0], of_birds.get(day.day, {})) for day in planned.days],
        "frost": frost_ahead(averages(visit.profile), visit.standing.records, here),
        "climate": planned.climate,
        "off": map_off(averages(visit.profile), visit.profile.units),
        "picture": week_picture(visit.profile, ahead),
        "weather": [_weather(visit, one) for one in ahead],
    }
    return Answer(template="week.html", facts=facts)


def _day(visit: Visit, day: DayPlan, first: date, of_birds: Mapping[str, str]) -> dict[str, object]:
    special = dict(of_birds)
    for text, task in each_once(visit.profile, day.tasks):
        if not task.daily:
            special.setdefault(text, task.why)
    return {
        "date": day.day,
        "is_today": day.day == first,
        "minutes": day.minutes,
        "special": special,
        "coops": [
            {
                "name": visit.profile.coop_of(coop.coop_id).name,
                "no_birds": reasons.why_no_birds(
                    visit.profile,
                    coop.coop_id,
                    day.day,
                    visit.standing.house_on(coop.coop_id, day.day),
                ),
                "let_out": reasons.let_out_time(visit.profile, coop),
                "range": visit.clock(coop.free_range.start)
                if isinstance(coop.free_range, FreeRange)
                else "",
                "lock_up": visit.clock(coop.lock_up.instant, coop.day),
                "latest": visit.clock(coop.lock_up.latest, coop.day),
            }
            for coop in day.coops
        ],
    }


def _weather(visit: Visit, of: Outlook) -> dict[str, object]:
    return {
        "temperatures": outlook.temperatures(visit.profile, of),
        "wind_and_snow": outlook.wind_and_snow(visit.profile, of),
        "jobs": [task.title for task in of.jobs],
        "source": outlook.sources(visit.profile, of),
        "warnings": [quoted(one) for one in of.warnings],
    }
