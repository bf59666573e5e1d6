"""The lines of jobs on Today: what each says, who has done it, and how it is ticked."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler.cares import reasons
from scheduler.cares.catalogue import over
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import DayPlan, Line, Round, Task
from scheduler.cares.done_and_waiting import Done, TaskKey, key_of, waiting
from scheduler.cares.flock_dates import held_back
from scheduler.cares.job_title import FEED_OPENED
from scheduler.cares.rounds import titled, together
from scheduler.service.jobs import kept_ticks
from scheduler.web.request_and_answer import Visit
from scheduler.wording.feeds.events import JobsTitles
from scheduler.wording.spoken import day_and_month, weekday
from scheduler.wording.web.today import JobNotes, WalkNames, WalksAhead
from scheduler.wording.words import every

_WATER = "water"
LET_OUT = "let-out"
_WATER_OVERDUE_AFTER = timedelta(hours=2)  # after its round, common practice, no source
_LET_OUT_OVERDUE = (timedelta(hours=1), timedelta(hours=5))  # from and until then, the same
MOST_WAITING = 3  # are pointed at, the others are one tap away
MOST_OF_A_WALK = 5  # the same of one walk
_DAYS_OF_A_WEEK = 7
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLine:
    """One job to tick: its text, its identities, why it is done, who has done it and when."""

    text: str
    keys: tuple[TaskKey, ...]
    minutes: int
    why: str = ""
    done: str = ""
    note: str = ""
    overdue: bool = False

    @property
    def anchor(self) -> str:
        """Where the line stands on the page."""
        return anchor_of(self.keys[0])

    @property
    def sent(self) -> tuple[str, ...]:
        """The identities as a form sends them."""
        return tuple(map(written, self.keys))


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundView:
    """One walk with its lines, a line a job."""

    name: str
    heading: str
    label: str
    start: str
    minutes: int
    lines: tuple[JobLine, ...]

    @property
    def is_last(self) -> bool:
        """Whether it is the walk at dusk."""
        return self.name == "evening"

    @property
    def shown(self) -> tuple[JobLine, ...]:
        """The lines that are read at once: up to the fifth that is still to be done.

        One more is no reason for a fold.
        """
        undone = [place for place, line in enumerate(self.lines) if not line.done]
        few = len(undone) <= MOST_OF_A_WALK + 1
        return self.lines if few else self.lines[: undone[MOST_OF_A_WALK]]

    @property
    def folded(self) -> tuple[JobLine, ...]:
        """The lines that are one tap away."""
        return self.lines[len(self.shown) :]


def written(key: TaskKey) -> str:
    """A task's identity as a form sends it."""
    return f"{key.care_id}|{key.subject_id}|{key.day}|{key.ordinal}"


def anchor_of(key: TaskKey) -> str:
    """The place of a job's line on the page."""
    return f"job-{key.care_id}-{key.subject_id}-{key.day}-{key.ordinal}"


def let_out_key(coop: CoopDay) -> TaskKey:
    """A let-out's identity among the jobs of its date."""
    return TaskKey(LET_OUT, coop.coop_id, coop.day)


def round_view(visit: Visit, walk: Round, today: DayPlan) -> RoundView:
    """The walk as the page shows it, without what is urgent in it."""
    lines = list(_let_outs(visit, today)) if walk.name == "morning" else []
    for line in walk.lines:
        if not line.urgent:
            lines += [_line(visit, walk, text, tasks) for text, tasks in _jobs(visit, line)]
    return RoundView(
        name=walk.name,
        heading=every(WalkNames)[walk.name](),
        label=every(JobsTitles)[walk.name](),
        start=visit.clock(walk.start),
        minutes=sum(line.minutes for line in walk.lines if not line.urgent),
        lines=tuple(lines),
    )


def urgent_lines(visit: Visit, today: DayPlan) -> Iterator[JobLine]:
    """What a report makes come before everything else, whichever walk it belongs to."""
    for walk in today.rounds:
        for line in walk.lines:
            if line.urgent:
                told = _line(visit, walk, line.text, line.tasks)
                yield replace(told, note="" if told.done else _when(visit, walk))


def _jobs(visit: Visit, line: Line) -> Iterator[tuple[str, tuple[Task, ...]]]:
    """Each job with its title: of those that share a line of a message, each by itself."""
    if not line.jobs:
        yield line.text, line.tasks
        return
    yield from together(visit.profile, line.tasks)


def _when(visit: Visit, walk: Round) -> str:
    """When a job of that walk is to be done, as it is said now; its hour only while it is ahead."""
    if visit.now < walk.start:
        return every(WalksAhead)[walk.name](at=visit.clock(walk.start))
    return JobNotes.now() if visit.now < walk.end else JobNotes.still_to_do()


def _let_outs(visit: Visit, today: DayPlan) -> Iterator[JobLine]:
    for coop in today.coops:
        slept_there = not visit.standing.house_on(coop.coop_id, today.day - _DAY).is_empty
        if coop.kept_in or not (slept_there or let_out_key(coop) in visit.standing.done):
            continue
        house = visit.profile.coop_of(coop.coop_id)
        at, key = coop.let_out.instant, let_out_key(coop)
        since, until = (at + after for after in _LET_OUT_OVERDUE)
        late = _is_known(visit) and since <= visit.now < until
        clock = visit.clock(at)
        yield JobLine(
            text=JobNotes.let_out_of(at=clock, house=house.name)
            if len(today.coops) > 1
            else JobNotes.let_out(at=clock),
            keys=(key,),
            minutes=0,
            why=reasons.why_let_out(visit.profile, coop),
            done=_done(visit, [key]),
            overdue=late and house.door == "manual" and key not in visit.standing.done,
        )


def _is_known(visit: Visit) -> bool:
    """Whether anybody could know of this day's jobs when it began."""
    return visit.standing.known_since < visit.today


def waiting_lines(visit: Visit, earlier: Sequence[DayPlan], today: DayPlan) -> Iterator[JobLine]:
    """What still waits; what was done today stays, so that it can be taken back there."""
    standing = visit.standing
    done = standing.done
    before = {
        key: mark for key, mark in done.items() if standing.household.today(mark.at) < visit.today
    }
    cares, records = standing.household.catalogue, standing.records
    off = over(cares, records, visit.today) | held_back(visit.profile, records, cares, visit.today)
    for one in waiting(earlier, today, before, standing.known_since, off):
        keys = tuple(map(key_of, one.tasks))
        yield JobLine(
            text=titled(visit.profile, one.tasks, one.text),
            keys=keys,
            minutes=sum(task.minutes for task in one.tasks),
            why=one.tasks[0].why,
            done=_done(visit, keys),
            note=_since(one.since, visit.today),
        )


def unplanned_lines(visit: Visit, shown: Collection[TaskKey]) -> Iterator[JobLine]:
    """What was done today and has left the plan since, so that it can be taken back here."""
    standing = visit.standing
    for key, mark in sorted(standing.marks.items(), key=lambda one: one[1].at):
        if key.care_id == FEED_OPENED:  # it is taken back where it is told
            continue
        is_ahead = key.day > visit.today  # on Week, where it was ticked
        if key not in shown and not is_ahead and standing.household.today(mark.at) == visit.today:
            text = kept_ticks.title_of(standing.household, key)
            done, note = done_by(visit, [mark], visit.today), JobNotes.ticked_today()
            yield JobLine(text=text, keys=(key,), minutes=0, done=done, note=note)


def pointed_at(lines: Sequence[JobLine]) -> int:
    """Up to where three of the lines are still to be done."""
    still = [place for place, line in enumerate(lines) if not line.done]
    return still[MOST_WAITING] if len(still) > MOST_WAITING else len(lines)


def _line(visit: Visit, walk: Round, text: str, tasks: Sequence[Task]) -> JobLine:
    keys = [key_of(task) for task in tasks]
    waits = any(
        task.care_id == _WATER and key_of(task) not in visit.standing.done for task in tasks
    )
    return JobLine(
        text=text,
        keys=tuple(keys),
        minutes=sum(task.minutes for task in tasks),
        why=tasks[0].why,
        done=_done(visit, keys),
        overdue=waits and _is_known(visit) and visit.now >= walk.end + _WATER_OVERDUE_AFTER,
    )


def _done(visit: Visit, keys: Sequence[TaskKey]) -> str:
    return done_by(visit, [visit.standing.done.get(key) for key in keys], visit.today)


def done_by(visit: Visit, marks: Sequence[Done | None], day: date) -> str:
    """By whom and when, once all of them are done; with the weekday where that is not on `day`."""
    found = [mark for mark in marks if mark]
    if not found or len(found) < len(marks):
        return ""
    last = max(found, key=lambda mark: mark.at)
    told = JobNotes.not_this_time if last.skipped else JobNotes.done
    return told(who=last.who, at=visit.clock(last.at, day))


def _since(day: date, today: date) -> str:
    ago = (today - day).days
    if ago >= _DAYS_OF_A_WEEK:
        return JobNotes.since(day=day_and_month(day))
    return JobNotes.since_yesterday() if ago == 1 else JobNotes.since(day=weekday(day))
