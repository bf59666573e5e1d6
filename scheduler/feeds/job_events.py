"""The events of a day's walks to the coop."""

from collections.abc import Iterable, Iterator

from scheduler.cares.day_plan import DayPlan, Round, Task
from scheduler.feeds.event import FeedEvent, cut_to, joined_title, span, uid_of
from scheduler.profile.values import Profile
from scheduler.wording.feeds.events import JobsEvent, JobsTitles
from scheduler.wording.words import every

_LONGEST_TITLE = 70
_TITLES = every(JobsTitles)


def job_events(profile: Profile, day: DayPlan) -> Iterator[FeedEvent]:
    """One event a round."""
    for walk in day.rounds:
        yield _round(profile, walk)


def _round(profile: Profile, walk: Round) -> FeedEvent:
    start, end = span(walk.start, walk.end)
    lines = [JobsEvent.job(job=line.text, minutes=line.minutes) for line in walk.lines]
    not_daily = [task for task in _first_of_each(walk.tasks) if not task.daily]
    reason = [JobsEvent.why(job=task.short, reason=task.why) for task in not_daily[:2]]
    head = joined_title(_TITLES[walk.name](), JobsEvent.minutes(minutes=walk.minutes))
    shorts = list(dict.fromkeys(task.short for task in walk.tasks))
    return FeedEvent(
        part="jobs",
        uid=uid_of(walk.name, profile.site.id, walk.day, profile),
        kind=walk.name,
        day=walk.day,
        start=start,
        end=end,
        title=f"{head} · {cut_to(shorts, _LONGEST_TITLE - len(head), ', ')}",
        description="\n".join([*lines, *reason]),
    )


def _first_of_each(tasks: Iterable[Task]) -> list[Task]:
    by_care: dict[str, Task] = {}
    for task in tasks:
        by_care.setdefault(task.care_id, task)
    return list(by_care.values())
