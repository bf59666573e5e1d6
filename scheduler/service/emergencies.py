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


def calls_on(almanac: Almanac, day: date, told_at: datetime | None = None) -> tuple[Call, ...]:
    """What the reports of that date make urgent, in words of `told_at`, then its midday walk.

    Each report by the time it was made, where it asks for more than those before it; the midday
    walk not when the same was told within the hour before.
    """
    if not almanac.records.reports:
        return ()
    try:
        return tuple(_calls(almanac, day, told_at))
    except Exception:  # noqa: BLE001 - a day that cannot be planned must stop no other reminder
        _log.exception("emergencies.not_planned")
        return ()


def _calls(almanac: Almanac, day: date, told_at: datetime | None) -> Iterator[Call]:
    told: dict[str, datetime] = {}  # jobs of today that are told of at once, and when
    reports = almanac.records.reports
    fresh = sorted((one for one in reports if _is_made_on(almanac, one, day)), key=_made_at)
    before = tuple(one for one in reports if not _is_made_on(almanac, one, day))
    if fresh:
        for on in (day, day + _DAY):
            planned = almanac.plan_of(on)
            known = _urgent_ids(_planned(almanac, Records(reports=before), on))
            for number, report in enumerate(fresh, start=1):
                so_far = Records(reports=(*before, *fresh[:number]))
                asked = _urgent_ids(_planned(almanac, so_far, on)) & _urgent_ids(planned)
                ids = (asked - known) & _cares_of(almanac, report.kind)
                known |= ids
                at = _made_at(report)
                if ids - told.keys():
                    told |= dict.fromkeys(ids, at)
                    yield Call(
                        step=f"{STEP}{report.kind}-{at:%H%M%S}",
                        at=at,
                        useful_until=at + _USEFUL,
                        jobs=tuple(
                            _job(almanac, *line, told_at or at) for line in _lines(planned, ids)
                        ),
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


def _made_at(report: Report) -> datetime:
    assert report.made_at  # noqa: S101 - asked of those alone that were made on a date
    return report.made_at


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
