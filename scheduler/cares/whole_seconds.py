"""Instants in whole seconds: what is published must not hang on the last bits of a float."""

from datetime import datetime, timedelta

_SECOND = timedelta(seconds=1)
_HALF_SECOND = _SECOND / 2


def nearest_second(instant: datetime) -> datetime:
    """The nearest whole second: what is published must not hang on the last bits of a float."""
    return (instant + _HALF_SECOND).replace(microsecond=0)


def second_begun(instant: datetime) -> datetime:
    return instant.replace(microsecond=0)


def second_within(instant: datetime, first: datetime, last: datetime) -> datetime:
    """The nearest whole second that does not leave the span."""
    least = second_begun(first) + (_SECOND if first.microsecond else timedelta())
    return min(max(nearest_second(instant), least), second_begun(last))
