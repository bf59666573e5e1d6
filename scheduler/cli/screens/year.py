"""`duskfold year`: month by month what changes, when to lock up, how long the jobs take."""

from scheduler.cares.climate_told import source_words, year_lines
from scheduler.cares.months import Month, months, too_much, year_from
from scheduler.cli.compose import Session
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.typed import only_day
from scheduler.climate.curve import averages
from scheduler.climate.month_air import airs_of, month_airs
from scheduler.profile.units import Region
from scheduler.profile.words import clock
from scheduler.service.weather import usual_year
from scheduler.wording.cli.plan import Spans, YearScreen
from scheduler.wording.spoken import in_a_row, month_and_year, short_month, short_month_and_year

_HEADINGS = (YearScreen.lock_up, YearScreen.day, YearScreen.a_week, YearScreen.changes)


def show(session: Session, on: str | None, *, json: bool) -> None:
    """Prints twelve months from the one that holds `day`."""
    household = session.household()
    first, last = year_from(only_day("year", on) or household.today(session.now))
    planned = session.plan(household, first, (last - first).days + 1)
    summed = months(planned)
    airs = month_airs(airs_of(household.profile, [day.day for day in planned.days]))
    if json:
        above = list(too_much(planned, summed))
        facts = [
            _facts(each) | usual_year.facts(air) for each, air in zip(summed, airs, strict=True)
        ]
        print(as_json({"months": facts, "too_much": above}))
        return
    region = household.profile.site.region
    name, since, until = household.profile.site.name, month_and_year(first), month_and_year(last)
    print(YearScreen.heading(site=name, first=since, last=until))
    headings = ["", *(heading() for heading in _HEADINGS)]
    print(table([_row(each, region) for each in summed], headings))
    for sentence in too_much(planned, summed):
        print(wrapped(sentence))
    unit, rows = usual_year.columns(airs, household.profile.units)
    print(table(rows, (unit, *(short_month(each.first) for each in airs))))
    profile = household.profile
    # Of frosts and heat by the place where most of the year is spent.
    most = profile.on(first + (last - first) / 2)
    told = year_lines(averages(most), household.catalogue, region, first, last)
    for sentence in (*told, source_words(averages(planned.profile), profile.units)):
        if sentence:
            print(wrapped(sentence))


def _row(month: Month, region: Region) -> tuple[str, ...]:
    changes = dict.fromkeys(
        YearScreen.change(day=task.day.day, short=task.short) for task in month.changes
    )
    earliest, latest = clock(month.earliest, region), clock(month.latest, region)
    return (
        short_month_and_year(month.first),
        YearScreen.times(earliest=earliest, latest=latest),
        Spans.hours(hours=month.daylight_h),
        Spans.minutes(minutes=month.minutes_a_week),
        in_a_row([*changes]) or "–",
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
