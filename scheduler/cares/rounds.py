"""The rounds of a day: which jobs share a line, and when the walk begins."""

from collections.abc import Iterable, Iterator, Sequence
from datetime import date, timedelta

from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import Line, Round, Task
from scheduler.cares.due import Dates
from scheduler.profile.own_cares import RoundName
from scheduler.profile.values import Profile
from scheduler.wording.cares.of_house import JobOfHouses
from scheduler.wording.spoken import in_a_row, one_by_one

_SHORTEST_ROUND_MINUTES = 5


def jobs_of(tasks: tuple[Task, ...]) -> list[tuple[Task, ...]]:
    """The tasks of one care as jobs: houses with the same words share one, flocks do not."""
    if tasks and tasks[0].subject == "flock":
        return [(task,) for task in tasks]
    by_title: dict[str, list[Task]] = {}
    for task in tasks:
        by_title.setdefault(task.title, []).append(task)
    return [tuple(same) for same in by_title.values()]


def round_of(
    dates: Dates,
    name: RoundName,
    day: date,
    coops: Sequence[CoopDay],
    jobs: Sequence[tuple[Task, ...]],
) -> Round:
    lines = tuple(_lines(dates.profile, jobs))
    minutes = sum(line.minutes for line in lines)
    length = timedelta(minutes=max(minutes, _SHORTEST_ROUND_MINUTES))
    if name == "evening":
        end = min(coop.lock_up.instant for coop in coops)
        start = max(end - length, dates.sky.transit(day).replace(microsecond=0))
    else:
        opened = min(coop.let_out.instant for coop in coops)
        start = opened if name == "morning" else dates.sky.transit(day).replace(microsecond=0)
        end = start + length
    return Round(name=name, day=day, start=start, end=end, minutes=minutes, lines=lines)


def _lines(profile: Profile, jobs: Sequence[tuple[Task, ...]]) -> Iterator[Line]:
    """Urgent jobs first, each on its own line; of the others the last share one.

    What is tied to a time of the day shares none. What is to be done after everything else stands
    last, on a line of its own.
    """
    first = [tasks for tasks in jobs if tasks[0].urgent]
    last = [tasks for tasks in jobs if tasks[0].last]
    others = [tasks for tasks in jobs if not (tasks[0].urgent or tasks[0].last)]
    folded: list[tuple[Task, ...]] = []
    if len(others) > (most := profile.rounds.lines):
        shared = [tasks for tasks in others if not tasks[0].alone]
        folded = shared[max(most - 1 - (len(others) - len(shared)), 0) :]
    kept = [*first, *(tasks for tasks in others if tasks not in folded)]
    yield from (_line(titled(profile, tasks), tasks) for tasks in kept)
    if folded:
        titles = one_by_one([titled(profile, tasks) for tasks in folded])
        rest = tuple(task for tasks in folded for task in tasks)
        yield _line(JobOfHouses.also(jobs=titles) if kept else titles, rest, titles)
    yield from (_line(titled(profile, tasks), tasks) for tasks in last)


def _line(text: str, tasks: tuple[Task, ...], jobs: str = "") -> Line:
    minutes = sum(task.minutes for task in tasks)
    return Line(text=text, minutes=minutes, tasks=tasks, jobs=jobs)


def titled(profile: Profile, tasks: Sequence[Task], title: str = "") -> str:
    """The job's title, with the houses it is for when it is not for all of them."""
    ids = [task.subject_id for task in tasks if task.subject == "coop"]
    houses = [coop.name for coop in profile.coop if coop.id in ids]
    title = title or tasks[0].title
    if 0 < len(houses) < len(profile.coop):
        return JobOfHouses.job(job=title, houses=in_a_row(houses))
    return title


def each_once(profile: Profile, tasks: Iterable[Task]) -> Iterator[tuple[str, Task]]:
    """Each job of a date once, titled with its houses when it is not for all of them."""
    for text, same in together(profile, tasks):
        yield text, same[0]


def together(profile: Profile, tasks: Iterable[Task]) -> Iterator[tuple[str, tuple[Task, ...]]]:
    """The same with all of its tasks: those of one date and care in the same words."""
    found: dict[tuple[date, str, str, str], list[Task]] = {}
    for task in tasks:
        same_words = (task.day, task.care_id, task.title, task.why)
        found.setdefault(same_words, []).append(task)
    for same in found.values():
        yield titled(profile, same), tuple(same)
