"""A feed's events as values: what a plan says, before anybody has published it."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Literal

from scheduler.cares import reasons
from scheduler.cares.evening import CoopDay, FreeRange
from scheduler.cares.plan import DayPlan, Plan, Round, Task
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock

FeedName = Literal["lockup", "jobs", "seasons", "all"]
Part = Literal["lockup", "jobs", "seasons"]
PARTS: tuple[Part, ...] = ("lockup", "jobs", "seasons")

_DAY = timedelta(days=1)
_LET_OUT_MINUTES = 10
_LONGEST_TITLE = 70


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedEvent:
    """One event: instants in whole UTC minutes, or civil dates for a whole day.

    Two are equal when a calendar shows the same; whether an alarm may ring does not count.
    """

    part: Part
    uid: str
    day: date
    start: datetime | date
    end: datetime | date
    title: str
    description: str
    rings: bool = field(default=False, compare=False)


def events(plan: Plan) -> Iterator[FeedEvent]:
    """The events of every part, in order of date."""
    for day in plan.days:
        yield from lockup_events(plan.profile, day)
        yield from job_events(plan.profile, day)
        yield from season_events(plan.profile, day)


def lockup_events(profile: Profile, day: DayPlan) -> Iterator[FeedEvent]:
    """Let-outs, free-range times and lock-ups; coops with the same times share an event."""
    for coops in _sharing(day.coops, lambda coop: coop.let_out):
        yield _let_out(profile, coops)
    for coops in _sharing(day.coops, lambda coop: coop.free_range):
        if isinstance(coops[0].free_range, FreeRange):
            yield _free_range(profile, coops, coops[0].free_range)
    for coops in _sharing(day.coops, lambda coop: coop.lock_up):
        yield _lock_up(profile, coops)


def job_events(profile: Profile, day: DayPlan) -> Iterator[FeedEvent]:
    """One event a round."""
    for walk in day.rounds:
        yield _round(profile, walk)


def season_events(profile: Profile, day: DayPlan) -> Iterator[FeedEvent]:
    """One whole-day event for each change of season."""
    for task in day.seasons:
        yield _season(profile, task)


def nothing_to_show(profile: Profile, day: date) -> FeedEvent:
    """The event of a feed that would else be empty: RFC 5545 3.6 wants at least one component."""
    return FeedEvent(
        part="seasons",
        uid=_uid("nothing", profile.site.id, day, profile),
        day=day,
        start=day,
        end=day + _DAY,
        title="Nothing to show in these weeks",
        description="This calendar is alive; there is nothing in it for the time being.",
    )


def _sharing(
    coops: Iterable[CoopDay], by: Callable[[CoopDay], object]
) -> list[tuple[CoopDay, ...]]:
    groups: dict[object, list[CoopDay]] = {}
    for coop in coops:
        groups.setdefault(by(coop), []).append(coop)
    return [tuple(group) for group in groups.values()]


def _uid(kind: str, subject: str, day: date, profile: Profile) -> str:
    return f"{kind}-{subject}-{day.isoformat()}@{profile.site.id}"


def _minute(instant: datetime) -> datetime:
    return instant.replace(second=0, microsecond=0)


def _span(start: datetime, end: datetime) -> tuple[datetime, datetime]:
    first, last = _minute(start), _minute(end)
    return first, max(last, first + timedelta(minutes=1))


def _houses(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    """The names of the houses, when the site has more than those that share the event."""
    if len(profile.coop) == 1:
        return ""
    ids = {coop.coop_id for coop in coops}
    return " + ".join(coop.name for coop in profile.coop if coop.id in ids)


def _title(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


def _head_count(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    flocks = (flock for coop in coops for flock in profile.flocks_of(coop.coop_id))
    return reasons.birds(tuple(flocks))


def _lock_up(profile: Profile, coops: tuple[CoopDay, ...]) -> FeedEvent:
    coop = coops[0]
    shut = coop.lock_up
    start, end = _span(shut.instant, shut.latest)
    at, latest = _clock(profile, shut.instant), _clock(profile, shut.latest)
    count = _head_count(profile, coops)
    automatic = any(c.door == "automatic" for c in profile.coop if c.id == coop.coop_id)
    what = "See that the door has shut" if automatic else "Shut and latch the door"
    return FeedEvent(
        part="lockup",
        uid=_uid("lockup", coop.coop_id, coop.day, profile),
        day=coop.day,
        start=start,
        end=end,
        title=_title("Lock up", _houses(profile, coops), count, at),
        description=(
            f"{what}, count {count}. Latest {latest} ({reasons.why_latest(coop)}).\n"
            f"{reasons.why_lock_up(profile, coop)}"
        ),
        rings=True,
    )


def _let_out(profile: Profile, coops: tuple[CoopDay, ...]) -> FeedEvent:
    coop = coops[0]
    start = _minute(coop.let_out.instant)
    return FeedEvent(
        part="lockup",
        uid=_uid("letout", coop.coop_id, coop.day, profile),
        day=coop.day,
        start=start,
        end=start + timedelta(minutes=_LET_OUT_MINUTES),
        title=_title("Let out", _houses(profile, coops), _clock(profile, coop.let_out.instant)),
        description=f"{reasons.why_let_out(profile, coop)}\nLook at every bird as it comes out.",
    )


def _free_range(profile: Profile, coops: tuple[CoopDay, ...], spell: FreeRange) -> FeedEvent:
    coop = coops[0]
    start, end = _span(spell.start, spell.end)
    from_to = f"{_clock(profile, spell.start)} to {_clock(profile, spell.end)}"
    return FeedEvent(
        part="lockup",
        uid=_uid("range", coop.coop_id, coop.day, profile),
        day=coop.day,
        start=start,
        end=end,
        title=_title("Free range", _houses(profile, coops), from_to),
        description=(
            f"{reasons.why_range(profile, coop)}\nNobody able to stay: no free range today."
        ),
    )


def _round(profile: Profile, walk: Round) -> FeedEvent:
    start, end = _span(walk.start, walk.end)
    tasks = [task for line in walk.lines for task in line.tasks]
    lines = [f"{line.text} ({line.minutes} min)" for line in walk.lines]
    reason = [f"Why {t.short}: {t.why}" for t in _first_of_each(tasks) if not t.daily][:2]
    head = _title(f"{walk.name.capitalize()} jobs", f"{walk.minutes} min")
    return FeedEvent(
        part="jobs",
        uid=_uid(walk.name, profile.site.id, walk.day, profile),
        day=walk.day,
        start=start,
        end=end,
        title=f"{head} · {_shortly(tasks, _LONGEST_TITLE - len(head))}",
        description="\n".join([*lines, *reason]),
    )


def _first_of_each(tasks: Iterable[Task]) -> list[Task]:
    by_care: dict[str, Task] = {}
    for task in tasks:
        by_care.setdefault(task.care_id, task)
    return list(by_care.values())


def _shortly(tasks: list[Task], room: int) -> str:
    names = list(dict.fromkeys(task.short for task in tasks))
    kept = len(names)
    while kept > 1 and len(", ".join(names[:kept])) > room:
        kept -= 1
    more = f" +{len(names) - kept}" if kept < len(names) else ""
    return ", ".join(names[:kept]) + more


def _season(profile: Profile, task: Task) -> FeedEvent:
    coops = profile.coop if task.subject == "coop" and len(profile.coop) > 1 else ()
    house = next((coop.name for coop in coops if coop.id == task.subject_id), "")
    return FeedEvent(
        part="seasons",
        uid=_uid(task.care_id, task.subject_id, task.day, profile),
        day=task.day,
        start=task.day,
        end=task.day + _DAY,
        title=_title(task.title, house),
        description=f"{task.why}\nTakes about {task.minutes} min.",
    )


def _clock(profile: Profile, instant: datetime) -> str:
    return local_clock(instant, profile.site.zone, profile.site.region)
