"""What a report changes in the plan, by comparing the plan with it and without it."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from functools import partial

from scheduler.cares import reasons
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import Plan, Task
from scheduler.cares.free_range import FreeRange
from scheduler.cares.plan import plan
from scheduler.cares.records import Records, Report
from scheduler.cares.report_words import report_words
from scheduler.cares.weather_told import felt_c
from scheduler.husbandry.age import all_on_heat
from scheduler.profile.quantity import write_quantity
from scheduler.profile.values import Profile
from scheduler.profile.words import day_words, local_clock

Spans = Callable[[Sequence[date]], str]  # runs of days in words
_LOOKED_AHEAD = timedelta(days=13)
_DAY = timedelta(days=1)
_JOBS_FROM_C = {"heat": (27.0, "shade and water for heat"), "frost": (0.0, "checks for ice")}


def effect_of(
    report: Report, others: Records, profile: Profile, catalogue: Catalogue, today: date
) -> tuple[str, ...]:
    """What this report changes beside the others, in sentences; at least one.

    Looks at the days of its spell from `today` on, at most fourteen: what holds on the last of
    them is said to hold to the end of its spell, or from its first day on where none is known.
    """
    first = max(report.spell.first, today)
    last = min(report.spell.last or date.max - _LOOKED_AHEAD, first + _LOOKED_AHEAD)
    if last < first:
        return ("Nothing changes in the plan: those days are over.",)
    with_it = replace(others, reports=(*others.reports, report))
    before, after = (plan(profile, each, first, last, catalogue) for each in (others, with_it))
    began = today if report.spell.first < today else None
    spans = partial(_spans, began=began, horizon=last, end=report.spell.last)
    found = (*_jobs(before, after, spans), *_times(before, after, spans))
    return found or (_nothing(report, others, profile, first, last),)


def _nothing(report: Report, others: Records, profile: Profile, first: date, last: date) -> str:
    told = report.air_c
    limit_c, what = _JOBS_FROM_C.get(report.kind, (0.0, ""))
    misses = told is not None and (
        felt_c(report, first) < limit_c if report.kind == "heat" else told > limit_c
    )
    if what and misses:
        degrees = write_quantity(limit_c, "temperature", profile.units)
        return f"Nothing changes in the plan: {what} begin at {degrees}."
    beside = [
        report_words(one, profile.units) + (f" (says {one.said_by})" if one.said_by else "")
        for one in others.reports
        if one.kind == report.kind and one.spell.overlaps(first, last)
    ]
    if beside:
        return f"Nothing changes in the plan by this alone. Also reported: {'; '.join(beside)}."
    if what and all_on_heat([one for one in profile.flock if one.is_there(first)], first):
        return "Nothing changes in the plan: they are chicks on heat. Go by where they lie."
    return "Nothing changes in the plan: it was all there already."


def _jobs(before: Plan, after: Plan, spans: Spans) -> Iterator[str]:
    """Each job that comes or goes, with its round and days, in the order of the plan."""
    ours, theirs = _by_title(after), _by_title(before)
    for (title, walk), days in ours.items():
        if new := [day for day in days if day not in theirs.get((title, walk), ())]:
            yield f"{title} ({walk}, {spans(new)})."
    for (title, walk), days in theirs.items():
        if gone := [day for day in days if day not in ours.get((title, walk), ())]:
            yield f"No longer: {title} ({walk}, {spans(gone)})."


def _by_title(planned: Plan) -> dict[tuple[str, str], list[date]]:
    found: dict[tuple[str, str], list[date]] = {}
    named: list[tuple[Task, str]] = [
        (task, walk.name) for day in planned.days for walk in day.rounds for task in walk.tasks
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
        where = f"{coop.name}: " if len(profile.coop) > 1 else ""
        ranged = [ours for theirs, ours in pairs if isinstance(theirs.free_range, FreeRange)]
        if stay := [ours for ours in ranged if not isinstance(ours.free_range, FreeRange)]:
            why = reasons.why_range(profile, stay[0])
            yield f"{where}No free range {spans([one.day for one in stay])}. {why}"
        let_out = [ours for theirs, ours in pairs if not theirs.kept_in]
        if kept := [ours.day for ours in let_out if ours.kept_in == "housing order"]:
            yield f"{where}No let-out {spans(kept)}: the run has no roof."
        if shut := [pair for pair in pairs if pair[0].lock_up != pair[1].lock_up]:
            was, becomes = (_clock(profile, one) for one in shut[0])
            days = spans([ours.day for _, ours in shut])
            yield f"{where}Lock up at {becomes} instead of {was} on the first day ({days})."


def _of(planned: Plan, coop_id: str) -> Iterator[CoopDay]:
    return (coop for day in planned.days for coop in day.coops if coop.coop_id == coop_id)


def _clock(profile: Profile, coop: CoopDay) -> str:
    return local_clock(coop.lock_up.instant, profile.site.zone, profile.site.region, coop.day)


def _spans(days: Sequence[date], began: date | None, horizon: date, end: date | None) -> str:
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
        start = "today" if first == began else day_words(first)
        if goes_on and end is None:
            told.append(f"from {start} on")
        elif later:
            told.append(f"{start} to {day_words(end if goes_on and end else last)}")
        else:
            told.append(start)
    return ", ".join(told)
