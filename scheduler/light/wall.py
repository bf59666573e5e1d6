"""Wall-clock times inside a half-day, whatever the clock does that night."""

from datetime import UTC, date, datetime, time, timedelta, tzinfo

from scheduler.light.sun import HalfDay

_SECOND = timedelta(seconds=1)
_DAY = timedelta(days=1)


def first_in(half: HalfDay, at: time, zone: tzinfo) -> datetime | None:
    """The first instant of the half-day at which the clock shows `at`; None when it never does.

    A time that the clock skips means the first instant after the gap; one that it shows twice
    counts twice, so the first pass inside the half-day is taken.
    """
    day = half.start.astimezone(zone).date()
    passes = (instant for on in (day, day + _DAY) for instant in _passes(on, at, zone))
    return next((instant for instant in passes if instant in half), None)


def _passes(day: date, at: time, zone: tzinfo) -> tuple[datetime, ...]:
    first = datetime.combine(day, at, zone)
    second = first.replace(fold=1)
    before, after = first.utcoffset(), second.utcoffset()
    if before == after or before is None or after is None:
        return (first.astimezone(UTC),)
    if before > after:
        return first.astimezone(UTC), second.astimezone(UTC)
    return (_first_after_gap(second.astimezone(UTC), first.astimezone(UTC), zone),)


def _first_after_gap(before: datetime, after: datetime, zone: tzinfo) -> datetime:
    offset = before.astimezone(zone).utcoffset()
    while after - before > _SECOND:
        middle = before + (after - before) / 2
        if middle.astimezone(zone).utcoffset() == offset:
            before = middle
        else:
            after = middle
    return after.replace(microsecond=0)
