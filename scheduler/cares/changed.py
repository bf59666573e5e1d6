"""What a report changes in the plan, by comparing the plan with it and without it."""

from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import partial

from scheduler.cares import reasons
from scheduler.cares.bird_line import said_of_house
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import Plan, Task
from scheduler.cares.done_and_waiting import TaskKey, key_of
from scheduler.cares.free_range import FreeRange
from scheduler.cares.plan import plan
from scheduler.cares.records import Records, Report, ReportKind
from scheduler.cares.report_words import report_words
from scheduler.cares.told_heat import felt_c
from scheduler.husbandry.age import all_on_heat
from scheduler.profile.own_cares import RoundName
from scheduler.profile.quantity import write_quantity
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.wording.cares.plan_changes import PlanChanges, PlanStays, Rounds, RunOfDays
from scheduler.wording.spoken import in_a_row, one_by_one, short_day
from scheduler.wording.words import Words, every

Spans = Callable[[Sequence[date]], str]  # runs of days in words
_LOOKED_AHEAD = timedelta(days=13)
_DAY = timedelta(days=1)
_JOBS_FROM_C: dict[ReportKind, tuple[float, Words]] = {
    "heat": (27.0, PlanStays.heat_begins),
    "frost": (0.0, PlanStays.frost_begins),
}
_ROUNDS = every(Rounds)


def effect_of(  # noqa: PLR0913, PLR0917 - a report beside others, a household, and its day
    report: Report,
    others: Records,
    profile: Profile,
    catalogue: Catalogue,
    today: date,
    told: Collection[TaskKey] = (),
    now: datetime | None = None,
) -> tuple[str, ...]:
    """What this report changes beside the others, in sentences; at least one, if none was `told`.

    Looks at the days of its spell from `today` on, at most fourteen: what holds on the last of
    them is said to hold to the end of its spell, or from its first day on where none is known.
    What it adds to a walk that is over `now` is still to do today.
    """
    first = max(report.spell.first, today)
    last = min(report.spell.last or date.max - _LOOKED_AHEAD, first + _LOOKED_AHEAD)
    if last < first:
        return (PlanStays.over(),)
    with_it = replace(others, reports=(*others.reports, report))
    before, after = (plan(profile, each, first, last, catalogue) for each in (others, with_it))
    began = today if report.spell.first < today else None
    spans = partial(_spans, today=today, began=began, horizon=last, end=report.spell.last)
    walks = after.days[0].rounds if first == today else ()
    over = {walk.name for walk in walks if now and walk.end <= now}
    found = (
        *_jobs(before, after, spans, _Told(keys=told, today=today, over=over)),
        *_times(before, after, spans),
    )
    return found if found or told else (_nothing(report, others, profile, first, last),)


def _nothing(report: Report, others: Records, profile: Profile, first: date, last: date) -> str:
    told, begins = report.air_c, _JOBS_FROM_C.get(report.kind)
    if begins and told is not None:
        limit_c, said = begins
        if felt_c(report, first) < limit_c if report.kind == "heat" else told > limit_c:
            return said(degrees=write_quantity(limit_c, "temperature", profile.units))
    beside = [
        _with_who_said_it(report_words(one, profile.units), one.said_by)
        for one in others.reports
        if one.kind == report.kind and one.spell.overlaps(first, last)
    ]
    if beside:
        return PlanStays.also_reported(reports=one_by_one(beside))
    if begins and all_on_heat([one for one in profile.flock if one.is_there(first)], first):
        return PlanStays.on_heat()
    return PlanStays.all_there()


def _with_who_said_it(report: str, who: str) -> str:
    return PlanStays.says(report=report, who=who) if who else report


@dataclass(frozen=True, slots=True, kw_only=True)
class _Told:
    """Which jobs are told of already, and which walks of today are over."""

    keys: Collection[TaskKey]
    today: date
    over: Collection[RoundName]


def _jobs(before: Plan, after: Plan, spans: Spans, told: _Told) -> Iterator[str]:
    """Each job that comes or goes, with its round and days, in the order of the plan."""
    ours, theirs = _by_title(after, told.keys), _by_title(before, told.keys)
    for (title, walk), days in ours.items():
        if new := [day for day in days if day not in theirs.get((title, walk), ())]:
            yield _added(title, walk, new, spans, told)
    for (title, walk), days in theirs.items():
        if gone := [day for day in days if day not in ours.get((title, walk), ())]:
            yield PlanChanges.no_longer(job=title, round=_ROUNDS[walk](), days=spans(gone))


def _added(title: str, walk: RoundName, days: Sequence[date], spans: Spans, told: _Told) -> str:
    if walk not in told.over or told.today not in days:
        return PlanChanges.job(job=title, round=_ROUNDS[walk](), days=spans(days))
    if then := [day for day in days if day != told.today]:
        return PlanChanges.job_still_then(job=title, round=_ROUNDS[walk](), days=spans(then))
    return PlanChanges.job_still(job=title)


def _by_title(planned: Plan, told: Collection[TaskKey]) -> dict[tuple[str, RoundName], list[date]]:
    found: dict[tuple[str, RoundName], list[date]] = {}
    named: list[tuple[Task, RoundName]] = [
        (task, walk.name)
        for day in planned.days
        for walk in day.rounds
        for task in walk.tasks
        if key_of(task) not in told
    ]
    for task, walk in sorted(named, key=lambda pair: not pair[0].urgent):
        days = found.setdefault((task.title, walk), [])
        if task.day not in days:
            days.append(task.day)
    return {place: sorted(days) for place, days in found.items()}


def _times(before: Plan, after: Plan, spans: Spans) -> Iterator[str]:
    profile = after.profile
    for coop in profile.coop:
        pairs = list(zip(_of(before, coop.id), _of(after, coop.id), strict=True))
        for said in _times_of_house(profile, pairs, spans):
            yield said_of_house(profile, coop.id, said)


def _times_of_house(
    profile: Profile, pairs: Sequence[tuple[CoopDay, CoopDay]], spans: Spans
) -> Iterator[str]:
    ranged = [ours for theirs, ours in pairs if isinstance(theirs.free_range, FreeRange)]
    if stay := [ours for ours in ranged if not isinstance(ours.free_range, FreeRange)]:
        no_range = PlanChanges.no_range(days=spans([one.day for one in stay]))
        yield f"{no_range} {reasons.why_range(profile, stay[0])}"
    let_out = [ours for theirs, ours in pairs if not theirs.kept_in]
    if kept := [ours.day for ours in let_out if ours.kept_in == "housing order"]:
        yield PlanChanges.no_let_out(days=spans(kept))
    if shut := [pair for pair in pairs if pair[0].lock_up != pair[1].lock_up]:
        was, becomes = (_clock(profile, one) for one in shut[0])
        days = spans([ours.day for _, ours in shut])
        yield PlanChanges.lock_up(time=becomes, before=was, days=days)


def _of(planned: Plan, coop_id: str) -> Iterator[CoopDay]:
    return (coop for day in planned.days for coop in day.coops if coop.coop_id == coop_id)


def _clock(profile: Profile, coop: CoopDay) -> str:
    site = profile.on(coop.day).site
    return local_clock(coop.lock_up.instant, site.zone, site.region, coop.day)


def _spans(
    days: Sequence[date], today: date, began: date | None, horizon: date, end: date | None
) -> str:
    """Each run of days with its first and last: "Sat 26 Dec to Mon 28 Dec, Thu 31 Dec".

    One that reaches the horizon, beyond which nobody has looked, goes on to the end of the spell,
    or has no last: "from Sat 26 Dec on". What `began` before today is told from today on.
    """
    runs: list[list[date]] = []
    for day in days:
        if runs and day - runs[-1][-1] == _DAY:
            runs[-1].append(day)
        else:
            runs.append([day])
    told = []
    for first, *later in runs:
        last = later[-1] if later else first
        goes_on = bool(later) and last == horizon
        if goes_on and end is None:
            told.append(_from_then_on(first, began))
        elif later:
            told.append(_to(first, end if goes_on and end else last, began))
        else:
            told.append(RunOfDays.today() if first == today else short_day(first))
    return in_a_row(told)


def _from_then_on(first: date, began: date | None) -> str:
    if first == began:
        return RunOfDays.from_today()
    return RunOfDays.from_day(first=short_day(first))


def _to(first: date, last: date, began: date | None) -> str:
    if first == began:
        return RunOfDays.today_to(last=short_day(last))
    return RunOfDays.from_to(first=short_day(first), last=short_day(last))
