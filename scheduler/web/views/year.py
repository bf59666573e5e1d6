"""Twelve months: the year of one coop as a picture, and the months as a table."""

from datetime import time

from scheduler.cares.climate_told import map_off, year_lines
from scheduler.cares.day_plan import Plan
from scheduler.cares.free_range import FreeRange
from scheduler.cares.months import Month, months, too_much, vent_spans, year_from
from scheduler.climate.curve import averages
from scheduler.climate.month_air import airs_of, month_airs
from scheduler.profile.coop import Coop
from scheduler.profile.units import Region
from scheduler.profile.words import clock
from scheduler.service.weather import usual_year
from scheduler.web.air_picture import air_picture
from scheduler.web.date_asked import date_asked
from scheduler.web.last_results import LastResults, Plans
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.year_picture import year_picture
from scheduler.web.year_times import for_script, times_on
from scheduler.wording.spoken import short_day_and_month, span_of
from scheduler.wording.web.year import YearTable

_COOPS_KEPT = 8
_LONGEST_DATE = 40


class Years:
    """The page; a year is planned in a thread beside the desk's, so it keeps plans of its own."""

    def __init__(self) -> None:
        self._plans = Plans(most=1)  # a year is large
        self._kept = LastResults[dict[str, object]](_COOPS_KEPT)

    def show(self, visit: Visit) -> Answer:
        """The page of the coop that was asked for, or of the first."""
        wanted, standing = visit.query.get("coop"), visit.standing
        coops = visit.profile.coop
        coop = next((one for one in coops if one.id == wanted), coops[0])
        first, last = year_from(visit.today)
        empty = standing.empty(first, (last - first).days + 1)
        key = (standing.household.text, standing.records, visit.today, coop.id, empty)
        facts = self._kept.get(key, lambda: self._facts(visit, coop))
        typed = visit.query.get("on", "").strip()[:_LONGEST_DATE]
        asked = date_asked(typed, visit.today, first, last)
        planned = self._planned(visit)
        chosen = {
            "asked": asked,
            "number": (asked.day - first).days,
            "reading": times_on(planned, coop, asked.day),
            "picture": year_picture(planned, coop, visit.today, asked.day),
        }
        status = 422 if asked.wrong else 200
        return Answer(template="year.html", facts={**facts, **chosen}, status=status)

    def _planned(self, visit: Visit) -> Plan:
        first, last = year_from(visit.today)
        return self._plans.days(visit.standing, first, (last - first).days + 1)

    def _facts(self, visit: Visit, coop: Coop) -> dict[str, object]:
        first, last = year_from(visit.today)
        planned = self._planned(visit)
        summed = months(planned, coop)
        # Of frosts and heat by the place where most of the year is spent.
        yearly = averages(visit.profile.on(first + (last - first) / 2))
        days = airs_of(visit.profile, [day.day for day in planned.days])
        return {
            "air_picture": air_picture(days, visit.profile.units),
            "air": [
                {"first": one.first, **usual_year.told(one, visit.profile.units)}
                for one in month_airs(days)
            ],
            "first": first,
            "last": last,
            "coop": coop,
            "coops": visit.profile.coop,
            "script": for_script(planned, coop),
            "months": [_row(visit, each) for each in summed],
            "too_much": too_much(planned, months(planned)),
            "vents": {span.season: span.words for span in vent_spans(planned, coop)},
            "ranges": any(
                isinstance(one.free_range, FreeRange) and one.coop_id == coop.id
                for day in planned.days
                for one in day.coops
            ),
            "climate": planned.climate,
            "off": map_off(averages(visit.profile), visit.profile.units),
            "told": year_lines(
                yearly,
                visit.standing.household.catalogue,
                visit.profile.site.region,
                first,
                last,
            ),
        }


def _row(visit: Visit, month: Month) -> dict[str, object]:
    region = visit.profile.site.region
    # Of one house: it is not named again with each.
    changes = dict.fromkeys(
        YearTable.change(day=short_day_and_month(task.day), what=task.title)
        for task in month.changes
    )
    return {
        "first": month.first,
        "lock_up": _from_to(month.earliest, month.latest, region),
        "let_out": _from_to(*month.let_out, region) if month.let_out else "",
        "daylight_h": month.daylight_h,
        "work_a_week": span_of(month.minutes_a_week),
        "changes": list(changes),
    }


def _from_to(first: time, last: time, region: Region) -> str:
    earliest, latest = clock(first, region), clock(last, region)
    return earliest if earliest == latest else YearTable.from_to(earliest=earliest, latest=latest)
