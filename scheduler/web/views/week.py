"""Seven days, one below the other: their times, who is there, and their special jobs to tick."""

from datetime import date, timedelta
from urllib.parse import urlencode

from scheduler.cares.birds_today import week_lines
from scheduler.cares.climate_told import frost_ahead, map_off
from scheduler.climate.curve import averages
from scheduler.service.weather import outlook
from scheduler.service.weather.outlook import Outlook
from scheduler.service.weather.warned import quoted
from scheduler.web.date_asked import date_asked
from scheduler.web.last_results import Plans
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.week_picture import week_picture
from scheduler.web.week_rows import each_day, marks_since, row
from scheduler.wording.spoken import one_by_one, span_of

DAYS = 7
_WEEK = timedelta(days=DAYS)
_FURTHEST = timedelta(days=731)  # two years, whichever of them has 366 days


def address_of(visit: Visit) -> str:
    """The page as it was where a job was ticked, with what was unfolded there."""
    sent = {
        name: day.day
        for name in ("from", "open")
        if not (day := date_asked(visit.said(name), visit.today, date.min, date.max)).wrong
        and visit.said(name)
    }
    return f"/week?{urlencode(sent)}" if sent else "/week"


def show(visit: Visit, plans: Plans, unknown: str = "") -> Answer:
    """The page from the date on that is asked for, else from today; `unknown`: of a tick."""
    earliest, latest = visit.today - _FURTHEST, visit.today + _FURTHEST
    typed = (visit.query.get("from") or visit.said("from")).strip()[: len("2026-12-21") * 4]
    asked = date_asked(typed, visit.today, earliest, latest)
    planned = plans.days(visit.standing, asked.day, DAYS)
    dates = [day.day for day in planned.days]
    here = [day for day in dates if visit.profile.on(day) is visit.profile]
    records, catalogue = visit.standing.records, visit.standing.household.catalogue
    marks = marks_since(visit, asked.day)
    everyday = each_day(visit, planned.days)
    told = list(week_lines(visit.profile, records, dates))
    # Of days gone by nothing is said that a forecast, or the average, would have said.
    is_ahead = asked.day >= visit.today
    days = planned.days if is_ahead else ()
    ahead = outlook.outlooks(visit.profile, records, days, catalogue, visit.now)
    facts = {
        "rows": [
            row(
                visit,
                day,
                marks,
                everyday,
                ((one.title, one.text) for at, one in told if at == day.day),
            )
            for day in planned.days
        ],
        "every_day": one_by_one(everyday),
        "work": span_of(sum(day.minutes for day in planned.days)),
        "asked": asked,
        "earliest": earliest,
        "latest": latest,
        "before": _within(asked.day - _WEEK, earliest, latest),
        "after": _within(asked.day + _WEEK, earliest, latest),
        "unknown": unknown,
        "already": visit.query.get("already", "").startswith("job-"),
        "is_from_today": asked.day == visit.today,
        "frost": frost_ahead(averages(visit.profile), records, here) if is_ahead else "",
        "climate": planned.climate,
        "off": map_off(averages(visit.profile), visit.profile.units),
        "picture": week_picture(visit.profile, ahead) if ahead else "",
        "weather": [_weather(visit, one) for one in ahead],
    }
    return Answer(template="week.html", facts=facts, status=422 if asked.wrong or unknown else 200)


def _within(day: date, earliest: date, latest: date) -> date | None:
    return day if earliest <= day <= latest else None


def _weather(visit: Visit, of: Outlook) -> dict[str, object]:
    return {
        "day": of.day,
        "temperatures": outlook.temperatures(visit.profile, of),
        "wind_and_snow": outlook.wind_and_snow(visit.profile, of),
        "jobs": [task.title for task in of.jobs],
        "source": outlook.sources(visit.profile, of),
        "warnings": [quoted(one) for one in of.warnings],
    }
