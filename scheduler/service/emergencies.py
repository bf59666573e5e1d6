"""Urgent jobs: told when a report makes them, and when the midday walk for them is due."""

import logging
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from scheduler.alerts.delivery import Message
from scheduler.alerts.emergency import STEP, Urgent, emergency
from scheduler.cares.catalogue import Recorded, WeatherSign, in_force
from scheduler.cares.plan import DayPlan, Line, Round, plan
from scheduler.cares.records import Records, Report, ReportKind
from scheduler.profile.words import local_clock
from scheduler.service.nights import Almanac

_DAY = timedelta(days=1)
_HOUR = timedelta(hours=1)
_USEFUL = timedelta(hours=3)
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """What whoever is on duty is told at an instant, once."""

    step: str
    at: datetime
    useful_until: datetime
    jobs: tuple[Urgent, ...]

    def message(self, link: str) -> Message:
        """The words of it."""
        return emergency(self.jobs, link)


def calls_on(almanac: Almanac, day: date) -> tuple[Call, ...]:
    """What is told on that date: the jobs that its reports make urgent, then the midday walk.

    Each kind of report once, and again where it asks for more than was told of; the midday walk
    not when the same was told within the hour before.
    """
    if not almanac.records.reports:
        return ()
    try:
        return tuple(_calls(almanac, day))
    except Exception:  # noqa: BLE001 - a day that cannot be planned must stop no other reminder
        _log.exception("emergencies.not_planned")
        return ()


def _calls(almanac: Almanac, day: date) -> Iterator[Call]:
    told: dict[str, datetime] = {}  # jobs of today that are told of at once, and when
    fresh = [one for one in almanac.records.reports if _is_made_on(almanac, one, day)]
    if fresh:
        before = Records(
            reports=tuple(
                one for one in almanac.records.reports if not _is_made_on(almanac, one, day)
            )
        )
        for on in (day, day + _DAY):
            planned = almanac.plan_of(on)
            known = _urgent_ids(_planned(almanac, before, on))
            for kind in dict.fromkeys(one.kind for one in fresh):
                ids = (_urgent_ids(planned) - known) & _cares_of(almanac, kind)
                at = max(one.made_at for one in fresh if one.kind == kind and one.made_at)
                if ids - told.keys():
                    told |= dict.fromkeys(ids, at)
                    lines = _lines(planned, ids)
                    yield Call(
                        step=f"{STEP}{kind}-{len(ids)}",
                        at=at,
                        useful_until=at + _USEFUL,
                        jobs=tuple(_job(almanac, *line, at) for line in lines),
                    )
    yield from _midday(almanac, day, told)


def _midday(almanac: Almanac, day: date, told: dict[str, datetime]) -> Iterator[Call]:
    planned = almanac.plan_of(day)
    for walk in planned.rounds:
        if walk.name != "midday":
            continue
        lately = {care_id for care_id, at in told.items() if at > walk.start - _HOUR}
        lines = _lines(planned, _urgent_ids(planned) - lately)
        jobs = tuple(_job(almanac, *line, walk.start) for line in lines if line[0] is walk)
        if jobs:
            yield Call(
                step=f"{STEP}midday", at=walk.start, useful_until=walk.end + _HOUR, jobs=jobs
            )


def _is_made_on(almanac: Almanac, report: Report, day: date) -> bool:
    return report.made_at is not None and almanac.household.today(report.made_at) == day


def _planned(almanac: Almanac, records: Records, day: date) -> DayPlan:
    household = almanac.household
    return plan(household.profile, records, day, day, household.catalogue).days[0]


def _urgent_ids(planned: DayPlan) -> set[str]:
    return {task.care_id for task in planned.tasks if task.urgent}


def _cares_of(almanac: Almanac, kind: ReportKind) -> set[str]:
    """The cares that reports of that kind make due."""
    household = almanac.household
    return {
        care.id
        for care in in_force(household.profile, household.catalogue)
        if (isinstance(care.due, Recorded) and care.due.of == kind)
        or (isinstance(care.due, WeatherSign) and care.due.sign == kind)
    }


def _lines(planned: DayPlan, ids: Iterable[str]) -> Iterator[tuple[Round, Line]]:
    wanted = set(ids)
    for walk in planned.rounds:
        for line in walk.lines:
            if line.urgent and line.tasks[0].care_id in wanted:
                yield walk, line


def _job(almanac: Almanac, walk: Round, line: Line, at: datetime) -> Urgent:
    """The job with its time, as it is said at that instant."""
    site = almanac.household.profile.site
    clock = local_clock(walk.start, site.zone, site.region)
    later = walk.day > almanac.household.today(at)
    when = f"tomorrow at {clock}" if later else f"today at {clock}"
    if walk.start <= at:
        when = "now"
    return Urgent(what=line.text, when=when, why=line.tasks[0].why)
