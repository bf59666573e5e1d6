"""The plan: for each date each coop's day, the rounds with their lines, and what marks a season.

A pure function of the profile, the catalogue and the records. Each date is planned by itself, so
the result does not depend on the size or the order of the window asked for.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal, get_args

from scheduler.cares import vents
from scheduler.cares.bird_line import BirdLine
from scheduler.cares.birds_today import bird_lines
from scheduler.cares.catalogue import (
    OWN,
    Age,
    Arrival,
    Care,
    Catalogue,
    ClockChanges,
    FirstOuting,
    Joining,
    OwnHouse,
    Quarantined,
    YearlyCleaning,
    in_force,
    is_daily,
    is_of_a_spell,
    leans_on_climate,
)
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.due import Dates, clock_shift
from scheduler.cares.free_range import FreeRange
from scheduler.cares.minutes import lock_up_minutes, minutes_for
from scheduler.cares.quarantine import meets_others_from, quarantine
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.cares.withheld_eggs import Carried, asked_about, carried, withheld
from scheduler.climate.curve import averages
from scheduler.husbandry.age import QUARANTINE_DAYS, all_on_heat, lays, some_on_heat
from scheduler.husbandry.growth import FEED_WORDS, feed_for
from scheduler.light.sun import Sky
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.own_cares import RoundName
from scheduler.profile.units import Units
from scheduler.profile.units_in_text import in_units
from scheduler.profile.values import Profile
from scheduler.profile.words import day_words, local_clock, words

ESTIMATED = "Temperatures estimated from latitude."
_FIRST_OUTING = timedelta(hours=1)  # at most; common practice, no source
_SHORTEST_ROUND_MINUTES = 5
_ROUND_NAMES: tuple[RoundName, ...] = get_args(RoundName)


_NOT_CHICKS = " (not the chicks')"

Subject = Literal["coop", "flock", "site"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Task:
    """One care, due on one date for one coop, flock or site; known by these and an ordinal."""

    care_id: str
    subject: Subject
    subject_id: str
    day: date
    ordinal: int
    title: str
    short: str
    why: str
    minutes: int
    daily: bool
    season: bool
    urgent: bool = False
    last: bool = False
    of_its_day: bool = False  # undone, it is of no use any more the day after
    late_title: str = ""  # once its day is over, where the title has the times of that day


@dataclass(frozen=True, slots=True, kw_only=True)
class Line:
    """What a round shows as one line: one job, or the last jobs together."""

    text: str
    minutes: int
    tasks: tuple[Task, ...]

    @property
    def urgent(self) -> bool:
        """Whether a report makes it come before everything else."""
        return any(task.urgent for task in self.tasks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """One walk to the coops, with its lines in order of rank, urgent ones first; aware UTC."""

    name: RoundName
    day: date
    start: datetime
    end: datetime
    minutes: int
    lines: tuple[Line, ...]

    @property
    def tasks(self) -> tuple[Task, ...]:
        """Every task of the round, in the order of its lines."""
        return tuple(task for line in self.lines for task in line.tasks)


@dataclass(frozen=True, slots=True, kw_only=True)
class DayPlan:
    """Everything of one civil date at a site; in the coops of `empty`, by id, no bird sleeps."""

    day: date
    coops: tuple[CoopDay, ...]
    rounds: tuple[Round, ...]
    seasons: tuple[Task, ...]
    empty: frozenset[str] = frozenset()
    birds: tuple[BirdLine, ...] = ()
    lock_up_minutes: int = 0

    @property
    def minutes(self) -> int:
        """What the day asks of whoever keeps the birds: every round and every lock-up."""
        return sum(walk.minutes for walk in self.rounds) + self.lock_up_minutes

    @property
    def tasks(self) -> tuple[Task, ...]:
        """Every task of the date, round by round."""
        return tuple(task for walk in self.rounds for task in walk.tasks)


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """The days of a window, both ends included."""

    profile: Profile
    days: tuple[DayPlan, ...]
    climate_estimated: bool


def sky_over(profile: Profile) -> Sky:
    """The sun at the profile's site."""
    site = profile.site
    return Sky.over(site.latitude_deg, site.longitude_deg, site.zone)


def plan(  # noqa: PLR0913, PLR0917 - whose, what is known, which days, of which cares
    profile: Profile,
    records: Records,
    first: date,
    last: date,
    catalogue: Catalogue,
    empty: Collection[tuple[str, date]] = frozenset(),
) -> Plan:
    """The plan from `first` to `last`, both included.

    `empty` has the coops, by id and date, in which no bird is by what was said: they have no jobs.
    """
    dates, usual = _dates(profile, records, catalogue)
    days = tuple(_day(dates, usual, day, empty) for day in _from_to(first, last))
    return Plan(profile=profile, days=days, climate_estimated=dates.averages.estimated)


def tasks_of(  # noqa: PLR0913, PLR0917 - as `plan`, for one care
    care_id: str,
    profile: Profile,
    records: Records,
    first: date,
    last: date,
    catalogue: Catalogue,
    empty: Collection[tuple[str, date]] = frozenset(),
) -> tuple[Task, ...]:
    """The tasks of one care that the plan has from `first` to `last`, without planning the rest."""
    dates, usual = _dates(profile, records, catalogue)
    return tuple(
        task
        for care in dates.cares
        if care.id == care_id
        for day in _from_to(first, last)
        if dates.due(care, day)
        for task in _tasks(dates, usual, care, day, _emptied(profile, day, empty))
    )


def _dates(profile: Profile, records: Records, catalogue: Catalogue) -> tuple[Dates, Dates]:
    """When each care in force is due, and when it would be if nothing had been reported."""
    sky, yearly, cares = sky_over(profile), averages(profile), in_force(profile, catalogue)
    return (
        Dates(profile, sky, yearly, records, cares),
        Dates(profile, sky, yearly, NO_RECORDS, cares),
    )


def _from_to(first: date, last: date) -> Iterator[date]:
    return map(date.fromordinal, range(first.toordinal(), last.toordinal() + 1))


def _emptied(profile: Profile, day: date, said: Collection[tuple[str, date]]) -> frozenset[str]:
    return frozenset(
        coop.id
        for coop in profile.coop
        if (coop.id, day) in said or not profile.flocks_on(coop.id, day)
    )


def _day(
    dates: Dates, usual: Dates, day: date, said_empty: Collection[tuple[str, date]]
) -> DayPlan:
    profile = dates.profile
    empty = _emptied(profile, day, said_empty)
    coops = tuple(
        _as_slept(coop_day(profile, dates.sky, coop, day, dates.records), said_empty)
        for coop in profile.coop
    )
    due = [
        (care, _tasks(dates, usual, care, day, empty))
        for care in dates.cares
        if dates.due(care, day)
    ]
    with_birds = [coop for coop in coops if coop.coop_id not in empty] or coops
    rounds = []
    for name in _ROUND_NAMES:
        lines = [job for care, tasks in due if care.round == name for job in _jobs(tasks)]
        if lines:
            rounds.append(_round(dates, name, day, with_birds, lines))
    seasons = tuple(task for _, tasks in due for task in tasks if task.season)
    return DayPlan(
        day=day,
        coops=coops,
        rounds=tuple(rounds),
        seasons=seasons,
        empty=empty,
        birds=bird_lines(profile, dates.records, day),
        lock_up_minutes=sum(
            lock_up_minutes(profile.flocks_on(coop.id, day))
            for coop in profile.coop
            if coop.id not in empty
        ),
    )


def _as_slept(coop: CoopDay, said_empty: Collection[tuple[str, date]]) -> CoopDay:
    """The coop's day; without a let-out where it was said that nobody slept there.

    And without a range where nobody sleeps there on the next night either.
    """
    if (coop.coop_id, coop.day - timedelta(days=1)) not in said_empty:
        return coop
    if (coop.coop_id, coop.day) in said_empty:
        coop = replace(coop, free_range="no birds")
    return coop if coop.kept_in else replace(coop, kept_in="nobody slept there")


def _tasks(
    dates: Dates, usual: Dates, care: Care, day: date, empty: Collection[str]
) -> tuple[Task, ...]:
    profile = dates.profile
    spoken = words(profile.site.region)
    if isinstance(care.due, ClockChanges):
        forward = clock_shift(profile.site.zone, day) > timedelta()
        spoken = {**spoken, "direction": "forward" if forward else "back"}
    subject: Subject = "coop"
    subjects = [
        (coop.id, coop.name)
        for coop in profile.coop
        if _concerns(care, profile, coop, day)
        and coop.id not in empty
        and dates.reported_of(care, coop, day)
        and not dates.is_in_cleaning(care, coop, day)
        and (
            not isinstance(care.due, OwnHouse | YearlyCleaning)
            or dates.house_asks(care.due, coop, day)
        )
    ]
    if isinstance(care.due, Age | Arrival | Quarantined | Joining | FirstOuting):
        subject = "flock"
        subjects = [
            (flock.id, flock.name)
            for flock in dates.flocks_due(care, day)
            if flock.coop not in empty or not profile.flocks_on(flock.coop, day)
        ]
    elif isinstance(care.due, ClockChanges) or care.source == OWN:
        subject, subjects = "site", [(profile.site.id, profile.site.name)]
    leans = dates.averages.estimated and leans_on_climate(care)
    units = profile.units
    why = care.why if care.source == OWN else in_units(_spoken(care.why, spoken), units)
    why += f" {ESTIMATED}" if leans else ""
    birds = {coop.id: profile.flocks_on(coop.id, day) for coop in profile.coop}
    of_subject = (
        {
            flock.id: _of_flock(dates, flock, day)
            for flock in profile.flock
            if (flock.id, flock.name) in subjects
        }
        if subject == "flock"
        else {
            coop_id: {"not_chicks": _NOT_CHICKS if some_on_heat(flocks, day) else ""}
            for coop_id, flocks in birds.items()
        }
    )
    birds |= {flock.id: (flock,) for flock in profile.flock} if subject == "flock" else {}
    tasks = (
        Task(
            care_id=care.id,
            subject=subject,
            subject_id=subject_id,
            day=day,
            ordinal=1,
            title=_worded(
                care,
                care.title,
                {**spoken, "flock": subject_name, **of_subject.get(subject_id, {})},
                units,
            ),
            short=_worded(care, care.short, {**spoken, **of_subject.get(subject_id, {})}, units),
            why=why,
            minutes=minutes_for(care, birds.get(subject_id, ())),
            daily=is_daily(care),
            of_its_day=is_daily(care) or is_of_a_spell(care),
            season=care.season,
            urgent=care.urgent and (not usual.due(care, day) or dates.is_extreme(care, day)),
            last=care.last,
        )
        for subject_id, subject_name in subjects
    )
    if isinstance(care.due, FirstOuting):
        return tuple(_with_times(dates, task) for task in tasks)
    if isinstance(care.due, Joining) and care.due.sleeps:
        return tuple(_with_lit_house(dates, task) for task in tasks)
    return tuple(_with_eggs_withheld(dates, care, _with_own_vents(dates, care, tasks)))


def _of_flock(dates: Dates, flock: Flock, day: date) -> dict[str, str]:
    """What a job's texts say of its own flock: the day of its quarantine, the feed of its house."""
    house = dates.profile.flocks_on(flock.coop, day)
    apart = quarantine(flock, house, dates.records, day)
    return {
        "day": apart.words if apart else "",
        "count": apart.count if apart else "",
        "feed": FEED_WORDS[feed_for(house, day)],
    }


def _with_times(dates: Dates, task: Task) -> Task:
    """A first outing says from when to when: the last hour before they are called in."""
    profile = dates.profile
    house = next(flock.coop for flock in profile.flock if flock.id == task.subject_id)
    coop = coop_day(profile, dates.sky, profile.coop_of(house), task.day, dates.records)
    spell = coop.free_range
    if not isinstance(spell, FreeRange):
        return task
    start = max(spell.start, spell.call_in - _FIRST_OUTING)
    out, back = (
        local_clock(at, profile.site.zone, profile.site.region) for at in (start, spell.call_in)
    )
    return replace(task, title=f"{task.title}, {out} to {back}", late_title=task.title)


def _with_lit_house(dates: Dates, task: Task) -> Task:
    """Those for whom the lamp of the others is too long sleep apart, and get used to it there."""
    flock = next(flock for flock in dates.profile.flock if flock.id == task.subject_id)
    lit = dates.lit_house(flock, task.day)
    if lit is None:
        return task
    house, until = lit
    here = dates.profile.flocks_on(flock.coop, task.day)
    meets = meets_others_from(flock, here, dates.records, task.day)
    by_day = f" By day they may be with the others from {day_words(meets)} on." if meets else ""
    return replace(
        task,
        title=f"Let {flock.name} sleep apart until {day_words(until)}",
        short="sleep apart",
        why=f"{house} is lit, and they come from shorter days: lengthen their light by an hour a "
        f"week first.{by_day}",
    )


def _with_eggs_withheld(dates: Dates, care: Care, tasks: Iterable[Task]) -> Iterator[Task]:
    """A job with eggs says that they are not to be eaten, where a medicine was given."""
    for task in tasks:
        told = dates.records, task.subject_id, task.day
        eggs = care.eggs and (
            withheld(*told) or asked_about(*told) or carried(dates.profile, dates.records, task.day)
        )
        if eggs:
            perhaps = "perhaps " if isinstance(eggs, Carried) else ""
            yield replace(
                task,
                title=f"{task.title}: not to be eaten {eggs.until_words}",
                short=f"{task.short} {perhaps}not to be eaten",
                why=eggs.why,
            )
        else:
            yield task


def _with_own_vents(dates: Dates, care: Care, tasks: Iterable[Task]) -> Iterator[Task]:
    """A change of vents says what to set in this coop, or is left out where nothing changes."""
    coops = {coop.id: coop for coop in dates.profile.coop}
    for task in tasks:
        coop = coops.get(task.subject_id)
        if not vents.is_change(care.id) or not coop or not coop.vent:
            yield task
        elif own := vents.change(care.id, dates.profile, coop, task.day, dates.averages):
            air = in_units(own.why, dates.profile.units)
            yield replace(task, title=own.title, why=f"{task.why} {air}".strip())


def _jobs(tasks: tuple[Task, ...]) -> list[tuple[Task, ...]]:
    """The tasks of one care as jobs: houses with the same words share one, flocks do not."""
    if tasks and tasks[0].subject == "flock":
        return [(task,) for task in tasks]
    by_title: dict[str, list[Task]] = {}
    for task in tasks:
        by_title.setdefault(task.title, []).append(task)
    return [tuple(same) for same in by_title.values()]


def _concerns(  # noqa: PLR0911 - one answer for each object
    care: Care, profile: Profile, coop: Coop, day: date
) -> bool:
    """Whether the care has an object in the house, and birds of an age for it."""
    netting = coop.run.netting if coop.run else "none"
    flocks = profile.flocks_on(coop.id, day)
    if care.only == "on heat":
        return some_on_heat(flocks, day)
    if care.only and all_on_heat(flocks, day):
        return False
    match care.only:
        case None | "off heat" | "let out":
            return True
        case "open feeder":
            return not coop.feeder or any(feeder.type != "treadle" for feeder in coop.feeder)
        case "ark":
            return coop.type == "ark"
        case "automatic door":
            return coop.door == "automatic"
        case "electric netting":
            return netting == "electric"
        case "overhead netting":
            return netting == "overhead"
        case "hens":
            return any(lays(flock, day) for flock in flocks)


def _worded(care: Care, text: str, spoken: Mapping[str, str], units: Units) -> str:
    """The catalogue's text in the region's words and units; a keeper's own words as they are."""
    return text if care.own_words else in_units(_spoken(text, spoken), units)


def spoken(text: str, profile: Profile) -> str:
    """A text of the catalogue in the words and units of the profile, for nobody in particular."""
    nobody = {
        "flock": "the flock",
        "direction": "forward or back",
        "day": f"{QUARANTINE_DAYS} days",
        "feed": "grower",
    }
    nobody |= {"not_chicks": "", "count": f"{QUARANTINE_DAYS} days"}
    return in_units(_spoken(text, {**words(profile.site.region), **nobody}), profile.units)


def _spoken(text: str, spoken: Mapping[str, str]) -> str:
    return re.sub(r"\{(\w+)\}", lambda match: spoken.get(match[1], match[0]), text)


def _round(
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

    What is to be done after everything else stands last, on a line of its own.
    """
    first = [tasks for tasks in jobs if tasks[0].urgent]
    last = [tasks for tasks in jobs if tasks[0].last]
    others = [tasks for tasks in jobs if not (tasks[0].urgent or tasks[0].last)]
    most = profile.rounds.lines
    kept = len(others) if len(others) <= most else most - 1
    for tasks in [*first, *others[:kept]]:
        yield Line(text=titled(profile, tasks), minutes=sum(t.minutes for t in tasks), tasks=tasks)
    if rest := [task for tasks in others[kept:] for task in tasks]:
        titles = [titled(profile, tasks) for tasks in others[kept:]]
        yield Line(
            text=("Also: " if first or kept else "") + "; ".join(titles),
            minutes=sum(task.minutes for task in rest),
            tasks=tuple(rest),
        )
    for tasks in last:
        yield Line(text=titled(profile, tasks), minutes=sum(t.minutes for t in tasks), tasks=tasks)


def titled(profile: Profile, tasks: Sequence[Task], title: str = "") -> str:
    """The job's title, with the houses it is for when it is not for all of them."""
    ids = [task.subject_id for task in tasks if task.subject == "coop"]
    houses = [coop.name for coop in profile.coop if coop.id in ids]
    title = title or tasks[0].title
    return f"{title} ({', '.join(houses)})" if 0 < len(houses) < len(profile.coop) else title


def each_once(profile: Profile, tasks: Iterable[Task]) -> Iterator[tuple[str, Task]]:
    """Each job of a date once, titled with its houses when it is not for all of them."""
    together: dict[tuple[date, str, str], list[Task]] = {}
    for task in tasks:
        together.setdefault((task.day, task.title, task.why), []).append(task)
    for same in together.values():
        yield titled(profile, same), same[0]
