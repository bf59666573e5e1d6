"""The plan: for each date each coop's day, the rounds with their lines, and what marks a season.

A pure function of the profile, the catalogue and the records. Each date is planned by itself, so
the result does not depend on the size or the order of the window asked for.
"""

from collections.abc import Callable, Collection, Iterator
from dataclasses import replace
from datetime import date, timedelta
from typing import NamedTuple, get_args

from scheduler.cares.birds_today import bird_lines
from scheduler.cares.catalogue import Care, Catalogue, in_force, is_daily
from scheduler.cares.coop_day import CoopDay, coop_day
from scheduler.cares.day_plan import DayPlan, Plan, Task
from scheduler.cares.due import Dates
from scheduler.cares.due_tasks import due_tasks, subject_of
from scheduler.cares.minutes import lock_up_minutes
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.cares.rounds import jobs_of, round_of
from scheduler.climate.curve import averages
from scheduler.light.sun import sky_over
from scheduler.profile.own_cares import RoundName
from scheduler.profile.values import Profile
from scheduler.wording.cares.tasks import KnownLater

_MOULT = "moult-watch"
_ROUND_NAMES: tuple[RoundName, ...] = get_args(RoundName)


def plan(  # noqa: PLR0913, PLR0917 - whose, what is known, which days, of which cares
    profile: Profile,
    records: Records,
    first: date,
    last: date,
    catalogue: Catalogue,
    empty: Collection[tuple[str, date]] = frozenset(),
) -> Plan:
    """The plan from `first` to `last`, both included, each date where the birds live on it.

    `empty` has the coops, by id and date, in which no bird is by what was said: they have no jobs.
    """
    days = list[DayPlan]()
    for here in _places(profile, first, last):
        dates, usual = _dates(here.profile, records, catalogue)
        days += [_day(dates, usual, day, empty) for day in _from_to(here.first, here.last)]
    begins = profile.on(first)
    return Plan(profile=begins, days=tuple(days), climate=averages(begins).source)


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
    return tuple(
        _tasks(profile, records, first, last, catalogue, empty, lambda care: care.id == care_id)
    )


def timeline(  # noqa: PLR0913, PLR0917 - as `plan`, for what comes to a flock
    profile: Profile,
    records: Records,
    first: date,
    last: date,
    catalogue: Catalogue,
    empty: Collection[tuple[str, date]] = frozenset(),
) -> tuple[Task, ...]:
    """What the plan has for flocks but their daily jobs, and each moult, by date."""
    found = _tasks(profile, records, first, last, catalogue, empty, _is_of_a_life)
    return tuple(sorted(found, key=lambda task: task.day))


def _is_of_a_life(care: Care) -> bool:
    return care.id == _MOULT or (subject_of(care) == "flock" and not is_daily(care))


def _tasks(  # noqa: PLR0913, PLR0917 - as `plan`, and of which cares
    profile: Profile,
    records: Records,
    first: date,
    last: date,
    catalogue: Catalogue,
    empty: Collection[tuple[str, date]],
    is_meant: Callable[[Care], bool],
) -> Iterator[Task]:
    for here in _places(profile, first, last):
        dates, usual = _dates(here.profile, records, catalogue)
        for care in filter(is_meant, dates.cares):
            for day in _from_to(here.first, here.last):
                if dates.due(care, day):
                    said = _emptied(here.profile, day, empty)
                    yield from due_tasks(dates, usual, care, day, said)


def waits_for_the_end_of(
    care: Care, profile: Profile, records: Records, day: date, catalogue: Catalogue
) -> str:
    """Until when nobody knows the care's next day: a report of that day that has no end yet."""
    dates, _ = _dates(profile.on(day), records, catalogue)
    waits = dates.flocks.waits_for_the_end_of(care, day)
    if waits is None:
        return ""
    return KnownLater.order() if waits == "order" else KnownLater.illness()


class _Stay(NamedTuple):
    """Days of a window on which the birds live at one place, both included."""

    profile: Profile
    first: date
    last: date


def _places(profile: Profile, first: date, last: date) -> Iterator[_Stay]:
    """The window in one part, or in two where a move lies in it."""
    if profile.move and first < profile.move.on <= last:
        before = profile.move.on - timedelta(days=1)
        yield _Stay(profile.on(first), first, before)
        first = profile.move.on
    yield _Stay(profile.on(first), first, last)


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
        (care, due_tasks(dates, usual, care, day, empty))
        for care in dates.cares
        if dates.due(care, day)
    ]
    with_birds = [coop for coop in coops if coop.coop_id not in empty] or coops
    rounds = []
    for name in _ROUND_NAMES:
        lines = [job for care, tasks in due if care.round == name for job in jobs_of(tasks)]
        if lines:
            rounds.append(round_of(dates, name, day, with_birds, lines))
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
