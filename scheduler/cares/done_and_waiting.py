"""Jobs that were done, and those of earlier days that still wait."""

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from datetime import date, datetime

from scheduler.cares.day_plan import DayPlan, Task

LOOKED_BACK_DAYS = 7


@dataclass(frozen=True, slots=True, order=True)
class TaskKey:
    """What a task is known by, as it is kept and as a form sends it."""

    care_id: str
    subject_id: str
    day: date
    ordinal: int = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """Who did a job, and when; or who said that nobody will this time (`skipped`)."""

    who: str
    at: datetime
    skipped: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiting:
    """Jobs of one line that were due on an earlier date and that nobody has done."""

    text: str
    since: date
    tasks: tuple[Task, ...]


def key_of(task: Task) -> TaskKey:
    """The task's identity."""
    return TaskKey(task.care_id, task.subject_id, task.day, task.ordinal)


def waiting(
    earlier: Iterable[DayPlan],
    today: DayPlan,
    done: Mapping[TaskKey, Done],
    known_since: date = date.min,
    off: Collection[str | tuple[str, str]] = frozenset(),
) -> tuple[Waiting, ...]:
    """What is still to be done of earlier days, the longest waiting first.

    Daily jobs do not wait, nor those of a spell of days: each day has its own. Of one care only the
    latest date counts, and none that is due again today, has been followed by another of the same
    short name, was due before anybody could know of it, or is `off`: its care, for all or
    for its subject.
    """
    every = [task for day in earlier for task in day.tasks]
    latest = {(task.care_id, task.subject_id): task for task in every}
    again = {(task.care_id, task.subject_id) for task in today.tasks}
    steps = {(task.short, task.subject_id): task for task in (*every, *today.tasks)}
    lines: dict[tuple[str, date], tuple[Task, ...]] = {}
    for place, task in latest.items():
        if task.day < known_since or task.of_its_day or place in again:
            continue
        if task.care_id in off or place in off:
            continue
        if steps[task.short, task.subject_id].day > task.day:
            continue
        if key_of(task) not in done:
            # Houses with the same job of the same date share it.
            line = (task.late_title or task.title, task.day)
            lines[line] = (*lines.get(line, ()), task)
    found = [Waiting(text=text, since=day, tasks=tasks) for (text, day), tasks in lines.items()]
    return tuple(sorted(found, key=lambda one: one.since))
