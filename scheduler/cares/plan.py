"""The plan: for each date each coop's day, the rounds with their lines, and what marks a season.

A pure function of the profile, the catalogue and the records. Each date is planned by itself, so
the result does not depend on the size or the order of the window asked for.
"""

import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from typing import get_args

from scheduler.cares.birds_today import bird_lines
from scheduler.cares.catalogue import (
    OWN,
    Care,
    Catalogue,
    has_its_hour,
    in_force,
    is_daily,
    is_of_a_spell,
    leans_on_climate,
)
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.day_plan import DayPlan, Line, Plan, Round, Subject, Task
from scheduler.cares.due import Dates, clock_shift
from scheduler.cares.minutes import lock_up_minutes, minutes_for
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.cares.told_in_tasks import (
    with_eggs_withheld,
    with_lit_house,
    with_own_vents,
    with_times,
    words_of_flock,
)
from scheduler.cares.triggers import (
    Age,
    Arrival,
    ClockChanges,
    FirstOuting,
    Joining,
    OwnHouse,
    Quarantined,
    YearlyCleaning,
)
from scheduler.climate.curve import averages
from scheduler.husbandry.age import QUARANTINE_DAYS, all_on_heat, lays, some_on_heat
from scheduler.light.sun import Sky
from scheduler.profile.coop import Coop
from scheduler.profile.own_cares import RoundName
from scheduler.profile.units import Units
from scheduler.profile.units_in_text import in_units
from scheduler.profile.values import Profile
from scheduler.profile.words import words

ESTIMATED = "Temperatures estimated from latitude."
_SHORTEST_ROUND_MINUTES = 5
_ROUND_NAMES: tuple[RoundName, ...] = get_args(RoundName)
_NOT_CHICKS = " (not the chicks')"


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


def waits_for_the_end_of(
    care: Care, profile: Profile, records: Records, day: date, catalogue: Catalogue
) -> str:
    """Until when nobody knows the care's next day: a report of that day that has no end yet."""
    dates, _ = _dates(profile, records, catalogue)
    waits = dates.waits_for_the_end_of(care, day)
    of = {"illness": "the illness", "order": "the housing order"}
    return f"not known until the report of {of[waits]} is ended" if waits else ""


def subject_of(care: Care) -> Subject:
    """What each task of the care is about."""
    if isinstance(care.due, Age | Arrival | Quarantined | Joining | FirstOuting):
        return "flock"
    return "site" if isinstance(care.due, ClockChanges) or care.source == OWN else "coop"


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
    subject = subject_of(care)
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
    if subject == "flock":
        subjects = [
            (flock.id, flock.name)
            for flock in dates.flocks_due(care, day)
            if flock.coop not in empty or not profile.flocks_on(flock.coop, day)
        ]
    elif subject == "site":
        subjects = [(profile.site.id, profile.site.name)]
    leans = dates.averages.estimated and leans_on_climate(care)
    units = profile.units
    why = care.why if care.source == OWN else in_units(_spoken(care.why, spoken), units)
    why += f" {ESTIMATED}" if leans else ""
    birds = {coop.id: profile.flocks_on(coop.id, day) for coop in profile.coop}
    of_subject: dict[str, dict[str, str]] = (
        {
            flock.id: words_of_flock(dates, flock, day)
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

    def worded(text: str, subject_id: str, name: str) -> str:
        return _worded(
            care, text, {**spoken, "flock": name, **of_subject.get(subject_id, {})}, units
        )

    tasks = (
        Task(
            care_id=care.id,
            subject=subject,
            subject_id=subject_id,
            day=day,
            ordinal=1,
            title=worded(care.title, subject_id, subject_name),
            late_title=worded(care.late, subject_id, subject_name),
            short=worded(care.short, subject_id, subject_name),
            why=why,
            minutes=minutes_for(care, birds.get(subject_id, ())),
            daily=is_daily(care),
            of_its_day=is_daily(care) or is_of_a_spell(care),
            season=care.season,
            urgent=care.urgent and (not usual.due(care, day) or dates.is_extreme(care, day)),
            last=care.last,
            alone=has_its_hour(care),
        )
        for subject_id, subject_name in subjects
    )
    if isinstance(care.due, FirstOuting):
        return tuple(with_times(dates, task) for task in tasks)
    if isinstance(care.due, Joining) and care.due.sleeps:
        return tuple(with_lit_house(dates, task) for task in tasks)
    return tuple(with_eggs_withheld(dates, care, with_own_vents(dates, care, tasks)))


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


def spoken(text: str, profile: Profile, flock: str = "the flock") -> str:
    """A text of the catalogue in the words and units of the profile, on no day in particular."""
    nobody = {
        "flock": flock,
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
    for tasks in kept:
        yield Line(text=titled(profile, tasks), minutes=sum(t.minutes for t in tasks), tasks=tasks)
    if rest := [task for tasks in folded for task in tasks]:
        titles = [titled(profile, tasks) for tasks in folded]
        yield Line(
            text=("Also: " if kept else "") + "; ".join(titles),
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
