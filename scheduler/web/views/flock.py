"""Flock: the birds and what comes next for them, and what their houses are short of."""

from collections.abc import Iterable, Iterator, Mapping
from datetime import date, timedelta

from scheduler.cares import reasons
from scheduler.cares.birds_today import bird_lines
from scheduler.cares.day_plan import Task
from scheduler.cares.newcomer import newcomers
from scheduler.cares.plan import timeline
from scheduler.husbandry.age import age_weeks
from scheduler.husbandry.needs import RULE_SETS
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.values import Profile
from scheduler.service.housing_check import houses_checked
from scheduler.web.last_results import LastResults
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.views.coop import house_of
from scheduler.wording.spoken import day_and_month
from scheduler.wording.web.flock import FlockAge

_AHEAD = timedelta(days=364)  # of each flock's timeline
_MOST_NEXT = 4
_WEEKS_SAID_UNTIL = 78  # a year and a half: from then on nobody counts weeks
_WEEKS_A_YEAR = 52
_KEPT = 4


class Flocks:
    """The page; what comes next is looked up a year ahead, so the last few are kept."""

    def __init__(self) -> None:
        self._kept = LastResults[Mapping[str, list[Task]]](_KEPT)

    def show(self, visit: Visit) -> Answer:
        """The page."""
        profile, standing, today = visit.profile, visit.standing, visit.today
        empty = standing.empty(today, _AHEAD.days)
        key = (standing.household.text, standing.records, today, empty)
        coming = self._kept.get(
            key,
            lambda: by_flock(
                profile,
                timeline(
                    profile,
                    standing.records,
                    today,
                    today + _AHEAD,
                    standing.household.catalogue,
                    empty,
                ),
            ),
        )
        check = houses_checked(profile, RULE_SETS[0], today)
        facts = {
            "lines": bird_lines(profile, standing.records, today),
            "houses": [
                {**house_of(visit, coop, check), "flocks": list(_flocks(visit, coop, coming))}
                for coop in profile.coop
            ],
        }
        return Answer(template="flock.html", facts=facts)


def by_flock(profile: Profile, found: Iterable[Task]) -> Mapping[str, list[Task]]:
    """Of each flock the next of each kind, of those of its house too, the soonest first."""
    of_house = {flock.id: flock.coop for flock in profile.flock}
    own = {flock.id: dict[str, Task]() for flock in profile.flock}
    for task in found:
        for flock, house in of_house.items():
            if task.subject_id == (flock if task.subject == "flock" else house):
                own[flock].setdefault(task.care_id, task)
    return {flock: list(tasks.values())[:_MOST_NEXT] for flock, tasks in own.items()}


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
