"""A feed's events as values: what a plan says, before anybody has published it."""

from collections.abc import Iterator
from datetime import date, timedelta

from scheduler.cares.day_plan import DayPlan, Plan, Task
from scheduler.feeds.door_events import lockup_events
from scheduler.feeds.event import LONGEST_HOUSES, FeedEvent, cut_to, joined_title, uid_of
from scheduler.feeds.job_events import job_events
from scheduler.profile.values import Profile
from scheduler.wording.cares.moving import MoveInCalendar
from scheduler.wording.feeds.events import SeasonEvent
from scheduler.wording.spoken import day_and_month

_DAY = timedelta(days=1)


def events(plan: Plan) -> Iterator[FeedEvent]:
    """The events of every part, in order of date."""
    for day in plan.days:
        here = plan.profile.on(day.day)
        yield from lockup_events(here, day)
        yield from job_events(here, day)
        yield from season_events(here, day)
        if here.move and day.day == here.move.on:
            yield _moving_day(here, day.day, here.move.settled_on)


def season_events(profile: Profile, day: DayPlan) -> Iterator[FeedEvent]:
    """One whole-day event for each change of season; houses with the same words share it."""
    shared: dict[tuple[str, str], list[Task]] = {}
    for task in sorted(day.seasons, key=lambda task: task.subject_id):
        shared.setdefault((task.care_id, task.title), []).append(task)
    for tasks in shared.values():
        yield _season(profile, tasks)


def _season(profile: Profile, tasks: list[Task]) -> FeedEvent:
    task = tasks[0]
    ids = [each.subject_id for each in tasks if each.subject == "coop"]
    some = len(ids) < len(profile.coop)
    houses = cut_to([profile.coop_of(each).name for each in ids], LONGEST_HOUSES, " + ")
    takes = SeasonEvent.takes(minutes=sum(each.minutes for each in tasks))
    return FeedEvent(
        part="seasons",
        uid=uid_of(task.care_id, task.subject_id, task.day, profile),
        kind=task.care_id,
        houses=frozenset(each.subject_id for each in tasks),
        day=task.day,
        start=task.day,
        end=task.day + _DAY,
        title=joined_title(task.title, houses if ids and some else ""),
        description=f"{task.why}\n{takes}",
    )


def _moving_day(profile: Profile, day: date, until: date) -> FeedEvent:
    return FeedEvent(
        part="seasons",
        uid=uid_of("move", profile.site.id, day, profile),
        kind="move",
        day=day,
        start=day,
        end=day + _DAY,
        title=MoveInCalendar.title(),
        description=MoveInCalendar.text(until=day_and_month(until)),
    )


def nothing_to_show(profile: Profile, day: date) -> FeedEvent:
    """The event of a feed that would else be empty: RFC 5545 3.6 wants at least one component."""
    return FeedEvent(
        part="seasons",
        uid=uid_of("nothing", profile.site.id, day, profile),
        day=day,
        kind="nothing",
        start=day,
        end=day + _DAY,
        title=SeasonEvent.nothing(),
        description=SeasonEvent.works(),
    )
