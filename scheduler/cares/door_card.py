"""A year of one coop's door in as few rows as a sheet of paper holds: lock up, shut by, let out."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from itertools import pairwise

from scheduler.cares.coop_day import coop_day
from scheduler.cares.let_out import KeptIn
from scheduler.cares.records import Records
from scheduler.light.sun import sky_over
from scheduler.profile.coop import Coop
from scheduler.profile.values import Profile

_DAY = timedelta(days=1)
_MINUTE = timedelta(minutes=1)
_INSTANT = timedelta(microseconds=1)
STEPS_MINUTES = (10, 15, 20, 30, 45, 60)
# Known of all days to come. An order or a gale ends, and the card hangs there longer.
_KEPT_IN_BY_AGE: frozenset[KeptIn] = frozenset({"on heat", "age unknown"})


@dataclass(frozen=True, slots=True, kw_only=True)
class DoorTimes:
    """One date of one door, in minutes after the midnight with which the date begins by the clock.

    A lock-up at 00:20 belongs to the date before and is 1460. Of an evening the minute that has
    begun, of a morning the next whole one; None where chicks are too young to be let out. `ahead`
    is how far the clock is ahead of UTC at the let-out and at the lock-up.
    """

    day: date
    lock_up: int
    shut_by: int
    let_out: int | None
    ahead: tuple[timedelta, timedelta]


@dataclass(frozen=True, slots=True, kw_only=True)
class CardRow:
    """Dates, both included, through which the card gives the same times."""

    first: date
    last: date
    lock_up: int
    shut_by: int
    let_out: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class CardTable:
    """The rows, and by how many minutes at most one of them may be off."""

    rows: tuple[CardRow, ...]
    step_minutes: int


def door_times(
    profile: Profile, coop: Coop, records: Records, first: date, last: date
) -> tuple[DoorTimes, ...]:
    """The times of every date from `first` to `last`, each where the birds live on it."""
    return tuple(
        _times(profile, coop, records, first + days * _DAY)
        for days in range((last - first).days + 1)
    )


def _times(profile: Profile, coop: Coop, records: Records, day: date) -> DoorTimes:
    here = profile.on(day)
    zone = here.site.zone
    planned = coop_day(here, sky_over(here), coop, day, records)
    opened, shut = planned.let_out.instant, planned.lock_up.instant
    kept_in = planned.kept_in in _KEPT_IN_BY_AGE
    return DoorTimes(
        day=day,
        lock_up=_minute(shut, zone, day),
        shut_by=_minute(planned.lock_up.latest, zone, day),
        let_out=None if kept_in else _minute(opened + _MINUTE - _INSTANT, zone, day),
        ahead=(_ahead(opened, zone), _ahead(shut, zone)),
    )


def _minute(instant: datetime, zone: tzinfo, day: date) -> int:
    local = instant.astimezone(zone)
    return (local.date() - day).days * 24 * 60 + local.hour * 60 + local.minute


def _ahead(instant: datetime, zone: tzinfo) -> timedelta:
    return instant.astimezone(zone).utcoffset() or timedelta()


def card_table(days: Sequence[DoorTimes], most_rows: int) -> CardTable:
    """The rows by the smallest step with which there are at most so many of them.

    By the largest step where even that makes more.
    """
    for step in STEPS_MINUTES:
        rows = card_rows(days, step)
        if len(rows) <= most_rows:
            break
    return CardTable(rows=rows, step_minutes=step)


def card_rows(days: Iterable[DoorTimes], step_minutes: int = 10) -> tuple[CardRow, ...]:
    """A new row where a time has come to differ by the step within it, or the clock has changed.

    A row has its earliest lock-up and shut-by, so it never says one that is too late; and its
    latest let-out, because before the true one it is not light and a fox may still be about.
    """
    return tuple(_row(run) for run in _runs(days, step_minutes))


def _runs(days: Iterable[DoorTimes], step_minutes: int) -> Iterator[list[DoorTimes]]:
    run: list[DoorTimes] = []
    for one in days:
        if run and not _is_alike([*run, one], step_minutes):
            yield run
            run = []
        run.append(one)
    if run:
        yield run


def _is_alike(run: Sequence[DoorTimes], step_minutes: int) -> bool:
    outs = _let_outs(run)
    return (
        run[0].ahead == run[-1].ahead
        and len(outs) in {0, len(run)}
        and _spread([one.lock_up for one in run]) < step_minutes
        and _spread([one.shut_by for one in run]) < step_minutes
        and _spread(outs) < step_minutes
    )


def _let_outs(run: Iterable[DoorTimes]) -> list[int]:
    return [one.let_out for one in run if one.let_out is not None]


def _spread(minutes: Sequence[int]) -> int:
    return max(minutes, default=0) - min(minutes, default=0)


def _row(run: Sequence[DoorTimes]) -> CardRow:
    return CardRow(
        first=run[0].day,
        last=run[-1].day,
        lock_up=min(one.lock_up for one in run),
        shut_by=min(one.shut_by for one in run),
        let_out=max(_let_outs(run), default=None),
    )


def clock_changes(days: Sequence[DoorTimes]) -> tuple[tuple[date, timedelta], ...]:
    """The dates from whose lock-up on the clock is set differently, and by how much."""
    return tuple(
        (after.day, after.ahead[1] - before.ahead[1])
        for before, after in pairwise(days)
        if after.ahead[1] != before.ahead[1]
    )
