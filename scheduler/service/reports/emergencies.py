"""Urgent jobs: told when a report makes them, and when the midday walk for them is due."""

import logging
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta

from scheduler.alerts.delivery import Matter
from scheduler.alerts.step import Step, step_at
from scheduler.cares.catalogue import Care, in_force
from scheduler.cares.closing import Closing
from scheduler.cares.day_plan import DayPlan, Line, Round
from scheduler.cares.done_and_waiting import Done, TaskKey, key_of
from scheduler.cares.records import GRADES, Records, Report, ReportKind
from scheduler.cares.report_words import report_words
from scheduler.cares.triggers import Recorded, WeatherSign
from scheduler.journal import closings
from scheduler.journal.store import Journal
from scheduler.messages.emergency import Reported, Urgent, emergency
from scheduler.messages.site_news import news
from scheduler.profile.quantity import write_quantity
from scheduler.profile.units import Units
from scheduler.service.almanac import Almanac
from scheduler.service.household.open_profile import Household
from scheduler.service.reports.report import records
from scheduler.service.weather_asked import around
from scheduler.wording.messages.emergency import Emergency
from scheduler.wording.service.reports import ReportWhere, UrgentTimes
from scheduler.wording.spoken import short_day

# Hotter, or colder, than was told of, in whole degrees of the household (common practice, no
# source); 100 °F and 95 °F lie a trifle less than 5 °F apart once they are Celsius.
_MUCH_WORSE_C: Mapping[Units, float] = {"metric": 3.0, "uk": 3.0, "us": 5 / 1.8 - 1e-6}
_DAY = timedelta(days=1)
_HOUR = timedelta(hours=1)
_USEFUL = timedelta(hours=3)
_LATE = timedelta(hours=12)  # where nothing ran, or nothing got out (common practice, no source)
_Job = tuple[str, str]  # a care and its house, by their ids
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """What whoever is on duty is told at an instant, once, because of these reports."""

    step: Step
    at: datetime
    useful_until: datetime
    lines: tuple[tuple[Round, Line], ...]
    reports: tuple[Report, ...]
    late_until: datetime | None = None  # of use so long where nobody has heard of it

    def matter(self, almanac: Almanac, link: str, told_at: datetime) -> Matter:
        """What is told of it at that instant."""
        told = [reported(almanac, one, told_at) for one in self.reports]
        return news(emergency, self.jobs(almanac, told_at), told, link)

    def jobs(self, almanac: Almanac, told_at: datetime) -> list[Urgent]:
        """Its jobs with their times, as they are said at that instant."""
        # The midday walk is announced by its hour, late or not.
        said_at = self.at if self.step.kind == "midday" else told_at
        return [_job(almanac, *line, said_at) for line in self.lines]

    @property
    def keys(self) -> set[TaskKey]:
        """What it asks for."""
        return {key for _, line in self.lines for key in map(key_of, line.tasks)}

    def without(self, other: "Call") -> "Call | None":
        """What of it the other does not ask for; None when nothing is left."""
        return self._beyond(other.keys)

    @property
    def counts_from(self) -> datetime:
        """From when on a tick counts against it."""
        return self.at - _HOUR if self.step.kind == "midday" else self.at

    def left_by(self, ticks: Mapping[TaskKey, Done]) -> "Call | None":
        """What of it was not ticked since; None when nothing is left.

        Of a midday walk within the hour before as well: what was ticked earlier is looked at again
        in the worst of the day.
        """
        return self._beyond({key for key, tick in ticks.items() if tick.at > self.counts_from})

    def _beyond(self, keys: set[TaskKey]) -> "Call | None":
        """The same without the lines that are all among these tasks; None when nothing is left."""
        lines = tuple(one for one in self.lines if not set(map(key_of, one[1].tasks)) <= keys)
        return replace(self, lines=lines) if lines else None

    def is_of(self, name: str) -> bool:
        """Whether it says nothing but what that person has just said."""
        return self.step.kind != "midday" and all(one.stands_by == name for one in self.reports)


def calls_on(almanac: Almanac, day: date, said: Sequence[Closing] = ()) -> tuple[Call, ...]:
    """What the reports of that date make urgent, then its midday walk; in houses with birds.

    Each report by the time it was made, where it asks for more than those before it, or is worse
    by 3 °C (5 °F) than what was told of; the midday walk not when the same was told within the hour
    before.
    """
    if not almanac.records.reports:
        return ()
    empty = {on: almanac.emptied(on, said) for on in (day, day + _DAY)}
    try:
        return almanac.kept(
            ("calls", day, *empty.values()), lambda: tuple(_Calls(almanac, empty).on(day))
        )
    except Exception:  # noqa: BLE001 - a day that cannot be planned must stop no other reminder
        _log.exception("emergencies.not_planned")
        return ()


def to_do_now(
    almanac: Almanac,
    report: Report,
    said: Sequence[Closing],
    ticks: Mapping[TaskKey, Done],
    now: datetime,
) -> list[str]:
    """What the report made urgent today and has no tick, in sentences, while it is of use."""
    return in_sentences(almanac, calls_now(almanac, report, said, ticks, now), now)


def calls_now(
    almanac: Almanac,
    report: Report,
    said: Sequence[Closing],
    ticks: Mapping[TaskKey, Done],
    now: datetime,
) -> list[Call]:
    """What the report made urgent today and has no tick, while it is of use."""
    return [
        left
        for call in calls_on(almanac, almanac.household.today(now), said)
        if call.step.kind != "midday" and report in call.reports and now < call.useful_until
        if (left := call.left_by(ticks))
    ]


def in_sentences(almanac: Almanac, calls: Iterable[Call], now: datetime) -> list[str]:
    """The jobs of these calls, each with when and why."""
    return [
        Emergency.line(when=job.when, job=job.what, why=job.why)
        for call in calls
        for job in call.jobs(almanac, now)
    ]


def to_do_at_once(
    journal: Journal, household: Household, report: Report, now: datetime
) -> list[str]:
    """The same where nothing else is known yet."""
    with journal.reading() as connection:
        said = closings.closings(connection, household.profile.site.id)
    known = records(journal, household, around(household.today(now)))
    almanac = Almanac(household=household, records=known, ways=frozenset(), key=b"")
    return to_do_now(almanac, report, said, {}, now)


def urgent_lines(
    almanac: Almanac,
    kind: ReportKind,
    day: date,
    said: Sequence[Closing],
    ticks: Container[TaskKey] = (),
) -> list[str]:
    """What is urgent on that day or the next by reports of that kind and has no tick; each once."""
    found: list[str] = []
    for on in (day, day + _DAY):
        planned = almanac.plan_of(on, almanac.emptied(on, said))
        jobs = _of_kind(almanac, kind, _urgent(planned))
        found += _open_of((line for _, line in _lines(planned, jobs)), ticks)
    return list(dict.fromkeys(found))


def urgent_today(
    almanac: Almanac, day: date, said: Sequence[Closing], ticks: Container[TaskKey]
) -> list[str]:
    """What is urgent on that day, by whatever, and has not been ticked; each line once."""
    planned = almanac.plan_of(day, almanac.emptied(day, said))
    lines = (line for _, line in _lines(planned, _urgent(planned)))
    return list(dict.fromkeys(_open_of(lines, ticks)))


def _open_of(lines: Iterable[Line], ticks: Container[TaskKey]) -> list[str]:
    return [one.text for one in lines if any(key_of(each) not in ticks for each in one.tasks)]


def made_urgent(
    almanac: Almanac, report: Report, stood: tuple[Report, ...], day: date, said: Sequence[Closing]
) -> bool:
    """Whether on that day or the next the report asked for more than those that stood, or is worse.

    That is what is told of a report when it is made, seen from its end.
    """
    units = almanac.profile.units
    for on in (day, day + _DAY):
        empty = almanac.emptied(on, said)
        those = (stood, (*stood, report))
        less, more = (_urgent(almanac.planned_by(Records(reports=r), on, empty)) for r in those)
        if _of_kind(almanac, report.kind, more - less):
            return True
        if report.air_c is None or on not in report.spell:
            continue
        like_it = [one for one in stood if one.kind == report.kind and on in one.spell]
        is_worse = not any(is_no_worse(report, one, units) for one in like_it)
        if is_worse and _of_kind(almanac, report.kind, more):
            return True
    return False


def reported(almanac: Almanac, report: Report, at: datetime) -> Reported:
    """The report in words, as it is told at that instant."""
    made_at = report.made_at or at
    clock, made_on = almanac.clock(made_at), almanac.household.today(made_at)
    if made_on != almanac.household.today(at):
        clock = UrgentTimes.time_on_day(time=clock, day=short_day(made_on))
    air_c, words = report.air_c, words_of(almanac, report)
    units = almanac.profile.units
    degrees = "" if air_c is None else write_quantity(air_c, "temperature", units)
    return Reported(words=words, degrees=degrees, who=report.said_by, clock=clock)


def words_of(almanac: Almanac, report: Report) -> str:
    """The report in a few words, with the house of its birds where there are several."""
    profile = almanac.profile
    words = report_words(report, profile.units)
    house = profile.house_names.get(report.house_id or "")
    if not house or len(profile.coop) <= 1:
        return words
    return ReportWhere.in_house(report=words, house=house)


def cares_of(almanac: Almanac, kind: ReportKind) -> list[Care]:
    """The cares that reports of that kind make due."""
    return [
        care
        for care in in_force(almanac.household.profile, almanac.household.catalogue)
        if (isinstance(care.due, Recorded) and care.due.of == kind)
        or (isinstance(care.due, WeatherSign) and care.due.sign == kind)
    ]


def is_no_worse(report: Report, than: Report, units: Units) -> bool:
    """Whether of two reports of one kind the first says nothing that the second has not said."""
    if report.house_id != than.house_id:
        return False
    if report.kind in {"predator", "illness"}:
        return badness(report) <= badness(than)
    no_degrees = report.air_c is None or than.air_c is None
    return no_degrees or badness(report) - badness(than) < _MUCH_WORSE_C[units]


@dataclass(slots=True)
class _Calls:
    """The calls of one day; `told` has the jobs told of at once, and when."""

    almanac: Almanac
    empty: dict[date, frozenset[str]]
    told: dict[_Job, datetime] = field(default_factory=dict)
    told_of: list[Report] = field(default_factory=list)

    def on(self, day: date) -> Iterator[Call]:
        """Those of the reports made on that date, then that of its midday walk."""
        reports = self.almanac.records.reports
        fresh = sorted((one for one in reports if self._is_made_on(one, day)), key=_stands_since)
        before = tuple(one for one in reports if not self._is_made_on(one, day))
        for on in (day, day + _DAY) if fresh else ():
            yield from self._at_once(on, fresh, before)
        yield from self._midday(day)

    def _is_made_on(self, report: Report, day: date) -> bool:
        at = report.stands_since
        return at is not None and self.almanac.household.today(at) == day

    def _planned(self, reports: tuple[Report, ...], day: date) -> set[_Job]:
        records = Records(reports=reports)
        return _urgent(self.almanac.planned_by(records, day, self.empty[day]))

    def _at_once(
        self, day: date, fresh: Sequence[Report], before: tuple[Report, ...]
    ) -> Iterator[Call]:
        planned = self.almanac.plan_of(day, self.empty[day])
        urgent, known = _urgent(planned), self._planned(before, day)
        for number, report in enumerate(fresh, start=1):
            asked = self._planned((*before, *fresh[:number]), day) & urgent
            asked = _of_kind(self.almanac, report.kind, asked)
            jobs, at = asked - known, _stands_since(report)
            told = [one for one in (*before, *self.told_of) if day in one.spell]
            if not jobs and day in report.spell and self._is_worse_than_all(report, told):
                jobs = asked
            elif not jobs - self.told.keys() and not self._is_worse_than_all(report, self.told_of):
                jobs = set()
            known |= asked
            self.told |= dict.fromkeys(jobs, at)
            if jobs and report not in self.told_of:
                self.told_of.append(report)
                yield Call(
                    step=step_at("urgent", at, report.kind),
                    at=at,
                    useful_until=at + _USEFUL,
                    lines=tuple(_lines(planned, jobs)),
                    reports=(report,),
                    late_until=self._late_until(report, at),
                )

    def _late_until(self, report: Report, at: datetime) -> datetime:
        """After midnight nobody is told of what was of the day before alone, but for some hours."""
        made_on = self.almanac.household.today(at)
        zone = self.almanac.profile.on(made_on).site.zone
        if made_on + _DAY in report.spell:
            return at + _LATE
        midnight = datetime.combine(made_on + _DAY, time(), zone).astimezone(UTC)
        return max(min(at + _LATE, midnight), at + _USEFUL)

    def _is_worse_than_all(self, report: Report, told: Iterable[Report]) -> bool:
        """Whether there are reports like it among these, with degrees, and none was as bad."""
        if report.air_c is None:
            return False
        like_it = [one for one in told if one.kind == report.kind and one.air_c is not None]
        units = self.almanac.profile.units
        return bool(like_it) and not any(is_no_worse(report, one, units) for one in like_it)

    def _midday(self, day: date) -> Iterator[Call]:
        planned = self.almanac.plan_of(day, self.empty[day])
        for walk in (one for one in planned.rounds if one.name == "midday"):
            lately = {job for job, at in self.told.items() if at > walk.start - _HOUR}
            jobs = _urgent(planned) - lately
            lines = tuple(line for line in _lines(planned, jobs) if line[0] is walk)
            if lines:
                yield Call(
                    step=Step("midday"),
                    at=walk.start,
                    useful_until=walk.end + _HOUR,
                    lines=lines,
                    reports=tuple(self._asking(lines, day)),
                )

    def _asking(self, lines: Iterable[tuple[Round, Line]], day: date) -> Iterator[Report]:
        """Of each kind of report that asks for these jobs, the worst."""
        ids = {task.care_id for _, line in lines for task in line.tasks}
        kinds = dict.fromkeys(report.kind for report in self.almanac.records.reports)
        for kind in kinds:
            told = self.almanac.records.of(kind, day)
            if told and ids & {care.id for care in cares_of(self.almanac, kind)}:
                yield max(told, key=badness)


def badness(report: Report) -> float:
    """The larger, the worse, among reports of one kind."""
    if report.kind == "illness":
        return float(report.is_notifiable)
    if report.kind == "predator":
        return float(GRADES.index(report.grade or GRADES[-1]))
    air_c = report.air_c if report.air_c is not None else 0.0
    return -air_c if report.kind == "frost" else air_c


def _stands_since(report: Report) -> datetime:
    assert report.stands_since  # noqa: S101 - asked of those alone that were made on a date
    return report.stands_since


def _urgent(planned: DayPlan) -> set[_Job]:
    return {(task.care_id, task.subject_id) for task in planned.tasks if task.urgent}


def _of_kind(almanac: Almanac, kind: ReportKind, jobs: Iterable[_Job]) -> set[_Job]:
    cares = {care.id for care in cares_of(almanac, kind)}
    return {job for job in jobs if job[0] in cares}


def _lines(planned: DayPlan, jobs: Container[_Job]) -> Iterator[tuple[Round, Line]]:
    for walk in planned.rounds:
        for line in walk.lines:
            if line.urgent and any((one.care_id, one.subject_id) in jobs for one in line.tasks):
                yield walk, line


def _job(almanac: Almanac, walk: Round, line: Line, at: datetime) -> Urgent:
    is_tomorrow = walk.day > almanac.household.today(at)
    on_day = UrgentTimes.tomorrow if is_tomorrow else UrgentTimes.today
    when = UrgentTimes.now() if walk.start <= at else on_day(time=almanac.clock(walk.start))
    return Urgent(what=line.text, when=when, why=line.tasks[0].why)
