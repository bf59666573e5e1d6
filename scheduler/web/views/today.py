"""Today: the lock-up first, then what is to be done; one thumb, in the rain."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta
from urllib.parse import quote

from scheduler.cares.catalogue import over
from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_lines import day_lines
from scheduler.cares.day_plan import DayPlan, Round, Task
from scheduler.cares.done_and_waiting import Done, TaskKey, key_of, waiting
from scheduler.cares.flock_dates import held_back
from scheduler.cares.rounds import each_once, titled
from scheduler.profile.who_may import LINK
from scheduler.service.jobs import kept_ticks
from scheduler.web.door_forms import Wrong, answered, is_of_another_evening, not_kept, say, untold
from scheduler.web.evening_cards import empty, of_their_days, tonight, unsaid_last_night
from scheduler.web.last_results import Plans
from scheduler.web.request_and_answer import Answer, Visit, go, refuse
from scheduler.web.views import birds
from scheduler.wording.spoken import day_and_month, weekday
from scheduler.wording.web.door_forms import WrongDoorForm
from scheduler.wording.web.today import JobNotes, WalkLabels, WalkNames, WalksAhead, WrongTick
from scheduler.wording.words import every

_WATER = "water"
LET_OUT = "let-out"
_WATER_OVERDUE_AFTER = timedelta(hours=2)  # after its round, common practice, no source
_LET_OUT_OVERDUE = (timedelta(hours=1), timedelta(hours=5))  # from and until then, the same
_LONGEST_LIST = 40
MOST_WAITING = 3  # are pointed at, the others are one tap away
_DAYS_OF_A_WEEK = 7
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class JobLine:
    """One line to tick: its text, its identities, who has done it and when."""

    text: str
    keys: tuple[TaskKey, ...]
    minutes: int
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
    """One walk with its lines."""

    name: str
    heading: str
    label: str
    start: str
    minutes: int
    lines: tuple[JobLine, ...]


def show(visit: Visit, plans: Plans, wrong: Wrong | None = None, unknown: str = "") -> Answer:
    """The page; `wrong` and `unknown` say what could not be used of a form."""
    *earlier, today = plans.up_to(visit.standing, visit.today).days
    still = list(_waiting(visit, earlier, today))
    first = _pointed_at(still)
    cards, urgent = tonight(visit), list(_urgent(visit, today))
    unsaid, without, told = unsaid_last_night(visit, cards), empty(visit), not_kept(visit)
    rounds = [_round(visit, walk, today) for walk in today.rounds]
    shown = (*urgent, *still, *(line for walk in rounds for line in walk.lines))
    facts = {
        "cards": of_their_days(visit, cards),
        "unsaid": of_their_days(visit, unsaid),
        "empty": of_their_days(visit, without),
        "wrong": wrong,
        "unknown": unknown,
        "told": told,
        "untold": untold(wrong, told, {one.key for one in (*cards, *unsaid, *without)}),
        "times": [
            (visit.profile.coop_of(coop.coop_id).name, day_lines(visit.profile, coop))
            for coop in today.coops
            if not visit.standing.houses[coop.coop_id].is_empty
        ],
        "orders": [
            (number, one.spell.first)
            for number, one in visit.standing.reports.items()
            if one.is_long_unconfirmed(visit.today) and visit.may_not("reports") is None
        ],
        "birds": birds.today(visit),
        "not_theirs": visit.may_not("jobs", visit.today),
        "urgent": urgent,
        "rounds": rounds,
        "unplanned": list(_unplanned(visit, {key for line in shown for key in line.keys})),
        "waiting": still[:first],
        "waiting_more": still[first:],
        "waiting_all": sum(not line.done for line in still),
        "seasons": [(text, task.why) for text, task in each_once(visit.profile, today.seasons)],
    }
    status = 422 if wrong or unknown else 200
    return Answer(template="today.html", facts=facts, status=status)


def said(visit: Visit, plans: Plans) -> Answer:
    """Something was said of a door."""
    day = _date(visit.said("day"))
    if day is None:
        text = WrongDoorForm.no_date(typed=visit.said("day"))
        return show(visit, plans, Wrong(field="day", text=text, typed={}))
    if is_of_another_evening(visit, day):
        text = WrongDoorForm.another_day(weekday=weekday(day))
        return show(visit, plans, Wrong(field="day", text=text, typed={}))
    result = say(visit, day, visit.who, visit.voice or LINK)
    if isinstance(result, Wrong):
        return show(visit, plans, result)
    return answered(visit, result, "/")


def ticked(visit: Visit, plans: Plans) -> Answer:
    """A job was ticked or left out this time, or that was taken back."""
    do = visit.said("do")
    if do not in {"done", "skip", "undo"}:
        return show(visit, plans, unknown=WrongTick.no_button(button=do[:80]))
    planned = plans.up_to(visit.standing, visit.today)
    known = {key_of(task) for day in planned.days for task in day.tasks}
    known |= {_let_out_key(coop) for day in planned.days for coop in day.coops}
    if do == "undo":
        known |= visit.standing.marks.keys()  # whatever has become of the plan since
    wanted = [(text, _read(text)) for text in visit.form.get("job", [])[:_LONGEST_LIST]]
    strange = [text for text, key in wanted if key not in known]
    if strange or not wanted:
        text = WrongTick.no_job(job=strange[0][:80]) if strange else WrongTick.none_chosen()
        return show(visit, plans, unknown=text)
    keys = [key for _, key in wanted if key]
    if why := visit.may_not("jobs", _day_of(visit, keys)):
        return refuse(why)
    site_id = visit.profile.site.id
    if do == "undo":
        if not kept_ticks.take_back(visit.journal, site_id, keys, visit.speaker):
            anchor = anchor_of(keys[0])
            return go(f"/?already={quote(anchor)}#{anchor}")
    else:
        kept_ticks.mark(
            visit.journal,
            site_id,
            keys,
            visit.speaker,
            at=visit.tapped_at(),
            asked=visit.standing.asked_since,
            skipped=do == "skip",
        )
    return go(f"/#{anchor_of(keys[0])}")


def _day_of(visit: Visit, keys: Sequence[TaskKey]) -> date:
    """The day that a tick is of: that on which it is done, or was, where it is taken back."""
    marks = [visit.standing.marks[key].at for key in keys if key in visit.standing.marks]
    undone = marks if visit.said("do") == "undo" else []
    return visit.standing.household.today(min(undone, default=visit.tapped_at() or visit.now))


def written(key: TaskKey) -> str:
    """A task's identity as a form sends it."""
    return f"{key.care_id}|{key.subject_id}|{key.day}|{key.ordinal}"


def anchor_of(key: TaskKey) -> str:
    """The place of a job's line on the page."""
    return f"job-{key.care_id}-{key.subject_id}-{key.day}-{key.ordinal}"


def _read(text: str) -> TaskKey | None:
    parts = text.split("|")
    if len(parts) != 4 or not parts[3].isdecimal() or len(parts[3]) > 3:  # noqa: PLR2004 - as written
        return None
    day = _date(parts[2])
    return TaskKey(parts[0], parts[1], day, int(parts[3])) if day else None


def _date(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if len(text) == len("2026-12-21") else None
    except ValueError:
        return None


def _let_out_key(coop: CoopDay) -> TaskKey:
    return TaskKey(LET_OUT, coop.coop_id, coop.day)


def _round(visit: Visit, walk: Round, today: DayPlan) -> RoundView:
    lines = list(_let_outs(visit, today)) if walk.name == "morning" else []
    lines += [_line(visit, walk, line.text, line.tasks) for line in walk.lines if not line.urgent]
    return RoundView(
        name=walk.name,
        heading=every(WalkNames)[walk.name](),
        label=every(WalkLabels)[walk.name](),
        start=visit.clock(walk.start),
        minutes=sum(line.minutes for line in walk.lines if not line.urgent),
        lines=tuple(lines),
    )


def _urgent(visit: Visit, today: DayPlan) -> Iterator[JobLine]:
    """What a report makes come before everything else, whichever walk it belongs to."""
    for walk in today.rounds:
        for line in walk.lines:
            if line.urgent:
                told = _line(visit, walk, line.text, line.tasks)
                yield replace(told, note="" if told.done else _when(visit, walk))


def _when(visit: Visit, walk: Round) -> str:
    """When a job of that walk is to be done, as it is said now; its hour only while it is ahead."""
    if visit.now < walk.start:
        return every(WalksAhead)[walk.name](at=visit.clock(walk.start))
    return JobNotes.now() if visit.now < walk.end else JobNotes.still_to_do()


def _let_outs(visit: Visit, today: DayPlan) -> Iterator[JobLine]:
    for coop in today.coops:
        slept_there = not visit.standing.house_on(coop.coop_id, today.day - _DAY).is_empty
        if coop.kept_in or not (slept_there or _let_out_key(coop) in visit.standing.done):
            continue
        house = visit.profile.coop_of(coop.coop_id)
        at, key = coop.let_out.instant, _let_out_key(coop)
        since, until = (at + after for after in _LET_OUT_OVERDUE)
        late = _is_known(visit) and since <= visit.now < until
        clock = visit.clock(at)
        yield JobLine(
            text=JobNotes.let_out_of(at=clock, house=house.name)
            if len(today.coops) > 1
            else JobNotes.let_out(at=clock),
            keys=(key,),
            minutes=0,
            done=_done(visit, [key]),
            overdue=late and house.door == "manual" and key not in visit.standing.done,
        )


def _is_known(visit: Visit) -> bool:
    """Whether anybody could know of this day's jobs when it began."""
    return visit.standing.known_since < visit.today


def _waiting(visit: Visit, earlier: Sequence[DayPlan], today: DayPlan) -> Iterator[JobLine]:
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
            done=_done(visit, keys),
            note=_since(one.since, visit.today),
        )


def _unplanned(visit: Visit, shown: Collection[TaskKey]) -> Iterator[JobLine]:
    """What was done today and has left the plan since, so that it can be taken back here."""
    standing = visit.standing
    for key, mark in sorted(standing.marks.items(), key=lambda one: one[1].at):
        if key not in shown and standing.household.today(mark.at) == visit.today:
            text = kept_ticks.title_of(standing.household, key)
            done, note = _by_whom(visit, mark), JobNotes.ticked_today()
            yield JobLine(text=text, keys=(key,), minutes=0, done=done, note=note)


def _pointed_at(lines: Sequence[JobLine]) -> int:
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
        done=_done(visit, keys),
        overdue=waits and _is_known(visit) and visit.now >= walk.end + _WATER_OVERDUE_AFTER,
    )


def _done(visit: Visit, keys: Sequence[TaskKey]) -> str:
    """By whom and when, once all of them are done."""
    marks = [visit.standing.done.get(key) for key in keys]
    if not marks or not all(marks):
        return ""
    last = max((mark for mark in marks if mark), key=lambda mark: mark.at)
    return _by_whom(visit, last)


def _by_whom(visit: Visit, mark: Done) -> str:
    told = JobNotes.not_this_time if mark.skipped else JobNotes.done
    return told(who=mark.who, at=visit.clock(mark.at))


def _since(day: date, today: date) -> str:
    ago = (today - day).days
    if ago >= _DAYS_OF_A_WEEK:
        return JobNotes.since(day=day_and_month(day))
    return JobNotes.since_yesterday() if ago == 1 else JobNotes.since(day=weekday(day))
