"""The rows of Week: a day's times, what was said of its doors, and its special jobs to tick."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date, timedelta

from scheduler.cares import reasons
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import DayPlan, Task
from scheduler.cares.done_and_waiting import LOOKED_BACK_DAYS, Done, TaskKey, key_of
from scheduler.cares.door_state import Door
from scheduler.cares.free_range import FreeRange
from scheduler.cares.rounds import together
from scheduler.messages.phrases import short
from scheduler.service.jobs import kept_ticks
from scheduler.web.job_lines import JobLine, done_by
from scheduler.web.last_results import Plans
from scheduler.web.request_and_answer import Visit
from scheduler.wording.spoken import in_a_row, short_day_and_month, short_weekday
from scheduler.wording.web.week import EveningSaid

TICKED_AHEAD_DAYS = 14  # a job may be done early; what is planned further on may still change
_MOST_SHOWN = 3
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """What was said of a door: well, where every bird is in; else whether it wants attention."""

    text: str
    is_well: bool = False
    is_wrong: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Times:
    """What a day has for a house; `no_birds` says why nothing. What is empty is not shown."""

    lock_up: str = ""
    latest: str = ""
    let_out: str = ""
    free_range: str = ""
    no_birds: str = ""


_FIELDS = tuple(one.name for one in fields(Times))


@dataclass(frozen=True, slots=True, kw_only=True)
class SpecialJob:
    """A job that is not of every day; it is ticked here or, by day or right, only shown."""

    line: JobLine
    care_id: str
    is_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One day: the times that its houses share, and for those that differ a column with names."""

    day: date
    weekday: str
    of_month: str
    is_today: bool
    shared: Times
    columns: tuple[tuple[tuple[str, ...], Times], ...]
    said: tuple[Said, ...]
    who: str
    jobs: tuple[SpecialJob, ...]
    notes: tuple[tuple[str, str], ...]
    is_unfolded: bool

    @property
    def shown(self) -> int:
        """How many of the jobs stand there; the others are one tap away."""
        return len(self.jobs) if len(self.jobs) <= _MOST_SHOWN + 1 else _MOST_SHOWN


def ticked_ahead(visit: Visit, plans: Plans) -> Iterator[TaskKey]:
    """The jobs of the days to come that may be ticked today already."""
    for day in plans.days(visit.standing, visit.today + _DAY, TICKED_AHEAD_DAYS).days:
        yield from (key_of(task) for task in day.tasks if _may_be_early(task))


def _may_be_early(task: Task) -> bool:
    """Not what every day has of its own, nor what a report asks for: it may yet get worse."""
    return not (task.daily or task.urgent or task.of_its_day)


def marks_since(visit: Visit, first: date) -> Mapping[TaskKey, Done]:
    """What was done of the days from `first` on, however long ago that is."""
    if first >= visit.today - LOOKED_BACK_DAYS * _DAY:
        return visit.standing.done
    return kept_ticks.ticks(visit.journal, visit.profile.site.id, first)


def each_day(visit: Visit, days: Sequence[DayPlan]) -> tuple[str, ...]:
    """The jobs in the same words on each of these days, which have no reason to be special."""
    of_days = [
        dict.fromkeys(text for text, _ in together(visit.profile, _special(day))) for day in days
    ]
    return tuple(text for text in of_days[0] if all(text in one for one in of_days))


def _special(day: DayPlan) -> list[Task]:
    return [task for task in day.tasks if not (task.daily or task.urgent)]


def row(
    visit: Visit,
    day: DayPlan,
    marks: Mapping[TaskKey, Done],
    everyday: Collection[str],
    of_birds: Iterable[tuple[str, str]],
) -> Row:
    """The row of that day, without the jobs of each day; nobody ticks the lines `of_birds`."""
    states = {one.coop_id: visit.standing.house_on(one.coop_id, day.day) for one in day.coops}
    times = {
        visit.profile.coop_of(one.coop_id).name: _times(visit, one, states[one.coop_id])
        for one in day.coops
    }
    shared = _shared(tuple(times.values()))
    columns: dict[Times, tuple[str, ...]] = {}
    for name, own in times.items():
        rest = replace(own, **{each: "" for each in _FIELDS if getattr(shared, each)})
        if rest != Times():
            columns[rest] = (*columns.get(rest, ()), name)
    seasons = [(text, tasks[0].why) for text, tasks in together(visit.profile, day.seasons)]
    return Row(
        day=day.day,
        weekday=short_weekday(day.day),
        of_month=short_day_and_month(day.day),
        is_today=day.day == visit.today,
        shared=shared,
        columns=tuple((names, rest) for rest, names in columns.items()),
        said=tuple(_said(visit, day, states)),
        who="" if all(one.no_birds for one in times.values()) else _who(visit, day.day),
        jobs=tuple(_jobs(visit, day, marks, everyday)),
        notes=tuple(dict([*of_birds, *seasons]).items()),
        is_unfolded=visit.query.get("open") == day.day.isoformat(),
    )


def _shared(times: Sequence[Times]) -> Times:
    """What is the same for all of them; of houses with birds and without nothing is."""
    if len({one.no_birds for one in times}) > 1:
        return Times()
    alike = (each for each in _FIELDS if len({getattr(one, each) for one in times}) == 1)
    return Times(**{each: getattr(times[0], each) for each in alike}) if times else Times()


def _times(visit: Visit, coop: CoopDay, state: Door) -> Times:
    no_birds = reasons.why_no_birds(visit.profile, coop.coop_id, coop.day, state)
    if no_birds:
        return Times(no_birds=no_birds)
    ranging = coop.free_range
    return Times(
        let_out=reasons.let_out_time(visit.profile, coop),
        free_range=visit.clock(ranging.start) if isinstance(ranging, FreeRange) else "",
        lock_up=visit.clock(coop.lock_up.instant, coop.day),
        latest=visit.clock(coop.lock_up.latest, coop.day),
    )


def _who(visit: Visit, day: date) -> str:
    """Whose evening it is; of one that is over the row says who shut the door."""
    if day < visit.today:
        return ""
    for night in visit.standing.nights:
        if night.evening.day == day and night.evening.on_duty:
            return night.evening.on_duty.name
    return next((one.name for one in visit.standing.almanac.crew(day)), "")


def _said(visit: Visit, day: DayPlan, states: Mapping[str, Door]) -> Iterator[Said]:
    """Each once; with the houses of which it was said where that are not all of them."""
    houses: dict[Said, list[str]] = {}
    for coop_id, state in states.items():
        if one := _of_door(visit, coop_id, day.day, state):
            houses.setdefault(one, []).append(visit.profile.coop_of(coop_id).name)
    for one, names in houses.items():
        if len(names) == len(states):
            yield one
        else:
            text = EveningSaid.of_house(house=in_a_row(names), said=one.text)
            yield replace(one, text=text)


def _of_door(visit: Visit, coop_id: str, day: date, state: Door) -> Said | None:
    if state.state == "open" or state.said is None:
        is_over = visit.standing.almanac.evening_of(visit.now, coop_id) > day
        # Nobody could say anything before there was a profile.
        if not (is_over and state.waits and day >= visit.standing.begun_on):
            return None
        return Said(text=EveningSaid.unsaid(), is_wrong=True)
    at, who = visit.clock(state.said.at, day), short(state.said.who)
    if state.counted is None:
        text = EveningSaid.not_counted(at=at, who=who)
    else:
        text = EveningSaid.counted(at=at, who=who, birds=state.counted)
    if state.at_large:
        text = EveningSaid.missing(said=text, birds=state.at_large)
    return Said(text=text, is_well=state.is_all_in, is_wrong=state.at_large > 0)


def _jobs(
    visit: Visit, day: DayPlan, marks: Mapping[TaskKey, Done], everyday: Collection[str]
) -> Iterator[SpecialJob]:
    ahead = (day.day - visit.today).days
    is_theirs = visit.may_not("jobs", visit.today) is None
    for text, tasks in together(visit.profile, [task for task in day.tasks if not task.daily]):
        if text in everyday:
            continue
        keys = tuple(map(key_of, tasks))
        is_near = -LOOKED_BACK_DAYS <= ahead <= TICKED_AHEAD_DAYS
        is_open = is_near and (ahead <= 0 or all(map(_may_be_early, tasks)))
        yield SpecialJob(
            line=JobLine(
                text=text,
                keys=keys,
                minutes=sum(task.minutes for task in tasks),
                done=done_by(visit, [marks.get(key) for key in keys], day.day),
            ),
            care_id=tasks[0].care_id,
            is_open=is_theirs and is_open,
        )
