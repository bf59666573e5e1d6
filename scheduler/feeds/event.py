"""A feed's events as values: what a plan says, before anybody has published it."""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import partial
from typing import Literal

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.free_range import FreeRange, NoRange
from scheduler.cares.plan import DayPlan, Plan, Round, Task
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock

FeedName = str  # one of FEEDS, or house_feed(coop id)
FEEDS: tuple[FeedName, ...] = ("lockup", "jobs", "seasons", "all", "doors")
_HOUSE = "house-"
Part = Literal["lockup", "jobs", "seasons"]
PARTS: tuple[Part, ...] = ("lockup", "jobs", "seasons")

_DAY = timedelta(days=1)
_LET_OUT_MINUTES = 10
_LONGEST_TITLE = 70
_LONGEST_HOUSES = 30
_PARTS = {"lockup": 3, "letout": 2, "range": 2}  # of a title that names no house
_NOTHING = "nothing is to be done."
# What a day without it asks for, where birds are there.
_INSTEAD = {
    "letout": "keep them in the house. Feed, water and look at every bird there.",
    "range": "keep them in the run or the house.",
}
_UNDER_A_ROOF = "keep them in the covered run; where the run has no roof, in the house."
_WHY_NO_RANGE = {
    "housing order": "housing order",
    "quarantine": "quarantine",
    "predator": "a predator got at them",
    "ill birds": "ill birds",
    "storm": "a storm is on its way",
    "too young": "too young",
    "age unknown": "the age of the young is not known",
    "newly moved": "newly moved in",
    "behind wire": "they see the others through wire first",
    "on heat": "chicks on heat",
    "run only": "run only",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedEvent:
    """One event: instants in whole UTC minutes, or civil dates for a whole day.

    Two are equal when a calendar shows the same; whether an alarm may ring does not count, nor
    do the kind and the houses, by which an event is known again.
    """

    part: Part
    uid: str
    day: date
    start: datetime | date
    end: datetime | date
    title: str
    description: str
    rings: bool = field(default=False, compare=False)
    kind: str = field(default="", compare=False)
    houses: frozenset[str] = field(default=frozenset(), compare=False)


def house_feed(coop_id: str) -> FeedName:
    """The name of the calendar of one house's times."""
    return f"{_HOUSE}{coop_id}"


def house_of(feed: FeedName) -> str | None:
    """The id of the house whose calendar that is; None for those of the whole site."""
    return feed.removeprefix(_HOUSE) if feed.startswith(_HOUSE) else None


def feeds_of(profile: Profile) -> tuple[FeedName, ...]:
    """Every calendar of the site; a house has one of its own where there are several."""
    houses = sorted(house_feed(coop.id) for coop in profile.coop) if len(profile.coop) > 1 else ()
    return (*FEEDS, *houses)


def events(plan: Plan) -> Iterator[FeedEvent]:
    """The events of every part, in order of date."""
    for day in plan.days:
        yield from lockup_events(plan.profile, day)
        yield from job_events(plan.profile, day)
        yield from season_events(plan.profile, day)


def lockup_events(profile: Profile, day: DayPlan) -> Iterator[FeedEvent]:
    """Let-outs, free-range times and lock-ups; coops with the same times share an event.

    A coop in which no bird sleeps on that date has none.
    """
    housed = [coop for coop in day.coops if coop.coop_id not in day.empty]
    for coops in _sharing([coop for coop in housed if not coop.kept_in], _morning):
        yield _let_out(profile, coops)
    for coops in _sharing(housed, partial(_ranging, profile)):
        if isinstance(coops[0].free_range, FreeRange):
            yield _free_range(profile, coops, coops[0].free_range)
    for coops in _sharing(housed, lambda coop: coop.lock_up):
        yield _lock_up(profile, coops)


def job_events(profile: Profile, day: DayPlan) -> Iterator[FeedEvent]:
    """One event a round."""
    for walk in day.rounds:
        yield _round(profile, walk)


def season_events(profile: Profile, day: DayPlan) -> Iterator[FeedEvent]:
    """One whole-day event for each change of season; houses with the same words share it."""
    shared: dict[tuple[str, str], list[Task]] = {}
    for task in sorted(day.seasons, key=lambda task: task.subject_id):
        shared.setdefault((task.care_id, task.title), []).append(task)
    for tasks in shared.values():
        yield _season(profile, tasks)


def nothing_to_show(profile: Profile, day: date) -> FeedEvent:
    """The event of a feed that would else be empty: RFC 5545 3.6 wants at least one component."""
    return FeedEvent(
        part="seasons",
        uid=_uid("nothing", profile.site.id, day, profile),
        day=day,
        kind="nothing",
        start=day,
        end=day + _DAY,
        title="Nothing to show in these weeks",
        description="This calendar is alive; there is nothing in it for the time being.",
    )


def _sharing(
    coops: Iterable[CoopDay], by: Callable[[CoopDay], object]
) -> list[tuple[CoopDay, ...]]:
    """The coops with equal times together, by id: the order of a profile's tables is no fact."""
    groups: dict[object, list[CoopDay]] = {}
    for coop in sorted(coops, key=lambda coop: coop.coop_id):
        groups.setdefault(by(coop), []).append(coop)
    return [tuple(group) for group in groups.values()]


def _morning(coop: CoopDay) -> object:
    """What houses must have in common to share a let-out: when, and into what."""
    spell = coop.free_range
    return coop.let_out, spell if not isinstance(spell, FreeRange) else "range"


def _ranging(profile: Profile, coop: CoopDay) -> object:
    """What houses must have in common to share a free-range time: when, and what is said of it."""
    return coop.free_range, reasons.why_range(profile, coop)


def _ids(coops: Iterable[CoopDay]) -> frozenset[str]:
    return frozenset(coop.coop_id for coop in coops)


def _uid(kind: str, subject: str, day: date, profile: Profile) -> str:
    return f"{kind}-{subject}-{day.isoformat()}@{profile.site.id}"


def _minute(instant: datetime) -> datetime:
    return instant.replace(second=0, microsecond=0)


def _span(start: datetime, end: datetime) -> tuple[datetime, datetime]:
    first, last = _minute(start), _minute(end)
    return first, max(last, first + timedelta(minutes=1))


def _houses(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    """The names of the houses that share the event; nothing when all of the site do."""
    if len(coops) == len(profile.coop):
        return ""
    return _cut([profile.coop_of(coop.coop_id).name for coop in coops], _LONGEST_HOUSES, " + ")


def _title(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


def _head_count(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    flocks = (flock for coop in coops for flock in profile.flocks_on(coop.coop_id, coop.day))
    return reasons.birds(tuple(flocks), profile.site.region)


def _counts(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    """What to count, house by house where several share the event."""
    if len(coops) == 1:
        return f"count {_head_count(profile, coops)}"
    each = (f"{profile.coop_of(c.coop_id).name} {_head_count(profile, (c,))}" for c in coops)
    return f"count {'; '.join(each)}"


def _lock_up(profile: Profile, coops: tuple[CoopDay, ...]) -> FeedEvent:
    coop = coops[0]
    shut = coop.lock_up
    start, end = _span(shut.instant, shut.latest)
    at, latest = _clock(profile, shut.instant, coop.day), _clock(profile, shut.latest, coop.day)
    count = _head_count(profile, coops)
    which = "the door" if len(coops) == 1 else "every door"
    doors = {profile.coop_of(sharing.coop_id).door for sharing in coops}
    what = {
        frozenset({"manual"}): f"Shut and latch {which}",
        frozenset({"automatic"}): f"See that {which} has shut",
    }.get(frozenset(doors), "Shut and latch; see that the automatic door has shut")
    return FeedEvent(
        part="lockup",
        uid=_uid("lockup", coop.coop_id, coop.day, profile),
        kind="lockup",
        houses=_ids(coops),
        day=coop.day,
        start=start,
        end=end,
        title=_title("Lock up", _houses(profile, coops), count, at),
        description=(
            f"{what}, {_counts(profile, coops)}. Latest {latest} ({reasons.why_latest(coop)}).\n"
            f"{_why_lock_up(profile, coops)}{_ducks(profile, coops)}"
        ),
        rings=True,
    )


def _why_lock_up(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    """What set it, and what to do about new birds: house by house where that is not the same."""
    houses: dict[str, list[str]] = {}
    for coop in coops:
        why = reasons.why_lock_up(profile, coop)
        houses.setdefault(why, []).append(profile.coop_of(coop.coop_id).name)
    if len(houses) == 1:
        return next(iter(houses))
    return "\n".join(f"{', '.join(names)}: {why}" for why, names in houses.items())


def _ducks(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    flocks = [flock for coop in coops for flock in profile.flocks_on(coop.coop_id, coop.day)]
    return f" {reasons.WALK_IN}" if any(flock.others for flock in flocks) else ""


def _let_out(profile: Profile, coops: tuple[CoopDay, ...]) -> FeedEvent:
    coop = coops[0]
    start = _minute(coop.let_out.instant)
    return FeedEvent(
        part="lockup",
        uid=_uid("letout", coop.coop_id, coop.day, profile),
        kind="letout",
        houses=_ids(coops),
        day=coop.day,
        start=start,
        end=start + timedelta(minutes=_LET_OUT_MINUTES),
        title=_title("Let out", _houses(profile, coops), _clock(profile, coop.let_out.instant)),
        description=f"{reasons.why_let_out(profile, coop)}\n{_out(profile, coop)}",
    )


def _out(profile: Profile, coop: CoopDay) -> str:
    if isinstance(coop.free_range, FreeRange) or coop.free_range in {"no sunset", "too late"}:
        return "Look at every bird as it comes out."
    return f"Into the run only. {reasons.why_range(profile, coop)}"


def _free_range(profile: Profile, coops: tuple[CoopDay, ...], spell: FreeRange) -> FeedEvent:
    coop = coops[0]
    start, end = _span(spell.start, spell.end)
    all_day = profile.coop_of(coop.coop_id).ranging == "all day"
    from_to = f"{_clock(profile, spell.start)} to {_clock(profile, spell.end)}"
    return FeedEvent(
        part="lockup",
        uid=_uid("range", coop.coop_id, coop.day, profile),
        kind="range",
        houses=_ids(coops),
        day=coop.day,
        start=start,
        end=end,
        title=_title("Free range", _houses(profile, coops), from_to),
        description=(
            f"{reasons.why_range(profile, coop)}\n"
            + ("" if all_day else "Nobody able to stay: no free range today.")
        ).strip(),
    )


def _round(profile: Profile, walk: Round) -> FeedEvent:
    start, end = _span(walk.start, walk.end)
    lines = [f"{line.text} ({line.minutes} min)" for line in walk.lines]
    reason = [f"Why {t.short}: {t.why}" for t in _first_of_each(walk.tasks) if not t.daily][:2]
    head = _title(f"{walk.name.capitalize()} jobs", f"{walk.minutes} min")
    return FeedEvent(
        part="jobs",
        uid=_uid(walk.name, profile.site.id, walk.day, profile),
        kind=walk.name,
        day=walk.day,
        start=start,
        end=end,
        title=f"{head} · {_shortly(walk.tasks, _LONGEST_TITLE - len(head))}",
        description="\n".join([*lines, *reason]),
    )


def _first_of_each(tasks: Iterable[Task]) -> list[Task]:
    by_care: dict[str, Task] = {}
    for task in tasks:
        by_care.setdefault(task.care_id, task)
    return list(by_care.values())


def _shortly(tasks: Iterable[Task], room: int) -> str:
    return _cut(list(dict.fromkeys(task.short for task in tasks)), room, ", ")


def _cut(names: list[str], room: int, joint: str) -> str:
    """As many of the names as there is room for, at least one, and how many more there are."""
    kept = len(names)
    while kept > 1 and len(joint.join(names[:kept])) > room:
        kept -= 1
    more = f" +{len(names) - kept}" if kept < len(names) else ""
    return joint.join(names[:kept]) + more


def _season(profile: Profile, tasks: list[Task]) -> FeedEvent:
    task = tasks[0]
    ids = [each.subject_id for each in tasks if each.subject == "coop"]
    some = len(ids) < len(profile.coop)
    houses = _cut([profile.coop_of(each).name for each in ids], _LONGEST_HOUSES, " + ")
    return FeedEvent(
        part="seasons",
        uid=_uid(task.care_id, task.subject_id, task.day, profile),
        kind=task.care_id,
        houses=frozenset(each.subject_id for each in tasks),
        day=task.day,
        start=task.day,
        end=task.day + _DAY,
        title=_title(task.title, houses if ids and some else ""),
        description=f"{task.why}\nTakes about {sum(each.minutes for each in tasks)} min.",
    )


def called_off(event: FeedEvent, profile: Profile, day: DayPlan | None) -> FeedEvent:
    """The event with a title and a text that say so: some programs show it as going ahead."""
    name = event.title.partition(" · ")[0]
    what = _title(f"Called off: {name[:1].lower()}{name[1:]}", _called_off_at(event, profile))
    reason = _reason(event, day)
    because = f" ({reason})" if reason else ""
    return replace(
        event,
        title=f"{what}{because}",
        description=f"Called off{because}: {_instead(event, day)}",
        rings=False,
    )


def _called_off_at(event: FeedEvent, profile: Profile) -> str:
    """The houses by name; its count and clock time would read as something to be done."""
    if event.part == "seasons":  # its title names houses where not all of them have that job
        return event.title.partition(" · ")[2]
    if not event.houses or event.part != "lockup":
        return ""
    names = [coop.name for coop in profile.coop if coop.id in event.houses]
    if names:
        return "" if len(profile.coop) == 1 else _cut(names, _LONGEST_HOUSES, " + ")
    parts = event.title.split(" · ")  # of a house that is not kept any more, the title knows it
    return parts[1] if len(parts) > _PARTS[event.kind] else ""


def _instead(event: FeedEvent, day: DayPlan | None) -> str:
    """What is to be done in its place: birds that stay in are fed all the same."""
    with_birds = {coop.coop_id for coop in day.coops} - set(day.empty) if day else set()
    if event.houses.isdisjoint(with_birds):
        return _NOTHING
    if event.kind == "range" and _spell(event, day) == "housing order":
        return _UNDER_A_ROOF
    return _INSTEAD.get(event.kind, _NOTHING)


def _reason(event: FeedEvent, day: DayPlan | None) -> str:
    """Why it does not happen, in a few words, where the plan of the day knows."""
    spell = _spell(event, day)
    return _WHY_NO_RANGE.get(spell, "") if isinstance(spell, str) else ""


def _spell(event: FeedEvent, day: DayPlan | None) -> FreeRange | NoRange | None:
    """The free-range time of the first of its houses, or why there is none."""
    for coop in day.coops if day else ():
        if coop.coop_id in event.houses and event.kind in {"range", "letout"}:
            return coop.free_range
    return None


def _clock(profile: Profile, instant: datetime, of: date | None = None) -> str:
    return local_clock(instant, profile.site.zone, profile.site.region, of)
