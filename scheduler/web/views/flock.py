"""Flock: the birds and what comes next for them, and what their houses are short of."""

from collections.abc import Iterator, Mapping
from datetime import date

from scheduler.cares import reasons
from scheduler.cares.birds_today import bird_lines
from scheduler.cares.day_plan import Plan, Task
from scheduler.cares.newcomer import newcomers
from scheduler.husbandry.age import age_weeks
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.web.last_results import LastResults, Plans
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.views.coop import Coops, house_of
from scheduler.wording.spoken import day_and_month
from scheduler.wording.web.flock import FlockAge

_AHEAD_DAYS = 183  # of each flock's timeline
_MOST_NEXT = 4
_OF_ALL_IN_A_HOUSE = frozenset({"moult-watch"})  # which comes to birds by their house's light
_WEEKS_SAID_UNTIL = 78  # a year and a half: from then on nobody counts weeks
_WEEKS_A_YEAR = 52
_KEPT = 4


class Flocks:
    """The page; what comes next is planned half a year ahead, so the last few are kept."""

    def __init__(self, coops: Coops) -> None:
        self._coops = coops
        self._plans = Plans(most=1)
        self._kept = LastResults[Mapping[str, list[Task]]](_KEPT)

    def show(self, visit: Visit) -> Answer:
        """The page."""
        profile, standing, today = visit.profile, visit.standing, visit.today
        key = (standing.household.text, standing.records, today, standing.empty(today, 1))
        coming = self._kept.get(
            key, lambda: timelines(self._plans.days(standing, today, _AHEAD_DAYS))
        )
        check = self._coops.check(visit)
        facts = {
            "lines": bird_lines(profile, standing.records, today),
            "houses": [
                {
                    **house_of(visit, coop, check),
                    "flocks": list(_flocks(visit, coop, coming)),
                }
                for coop in profile.coop
            ],
        }
        return Answer(template="flock.html", facts=facts)


def timelines(planned: Plan) -> Mapping[str, list[Task]]:
    """By flock the next thing of each kind that its age or its arrival brings, soonest first."""
    found = {flock.id: dict[str, Task]() for flock in planned.profile.flock}
    of_house = {flock.id: flock.coop for flock in planned.profile.flock}
    for day in planned.days:
        for task in (*day.tasks, *day.seasons):
            if task.subject == "flock" and not task.daily:
                found[task.subject_id].setdefault(task.care_id, task)
            elif task.care_id in _OF_ALL_IN_A_HOUSE:
                for flock, own in found.items():
                    if of_house[flock] == task.subject_id:
                        own.setdefault(task.care_id, task)
    return {flock: list(own.values())[:_MOST_NEXT] for flock, own in found.items()}


def _flocks(
    visit: Visit, coop: Coop, coming: Mapping[str, list[Task]]
) -> Iterator[Mapping[str, object]]:
    here = visit.profile.flocks_of(coop.id)
    apart = {
        one.flock.id: one.quarantine.words
        for one in newcomers(
            visit.profile.flocks_on(coop.id, visit.today), visit.standing.records, visit.today
        )
        if one.quarantine
    }
    for flock in here:
        yield {
            "name": flock.name,
            "birds": reasons.birds((flock,), visit.profile.site.region),
            "age": _age(flock, visit.today),
            "quarantine": apart.get(flock.id, ""),
            "next": [(task.day, task.title) for task in coming.get(flock.id, [])],
        }


def _age(flock: Flock, today: date) -> str:
    """How old they are, or when they come; empty where nobody has said."""
    if flock.arrived and today < flock.arrived:
        return FlockAge.to_come(day=day_and_month(flock.arrived))
    weeks = age_weeks(flock, today)
    if weeks is None or not flock.hatched:
        return ""
    if weeks < 0:
        return FlockAge.to_hatch(day=day_and_month(flock.hatched))
    if weeks < _WEEKS_SAID_UNTIL:
        return FlockAge.weeks(weeks=int(weeks))
    return FlockAge.years(years=int(weeks // _WEEKS_A_YEAR))
