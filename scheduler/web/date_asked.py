"""A date that an address or a form asks for: the date, or why it cannot be used."""

from dataclasses import dataclass
from datetime import date

from scheduler.wording.spoken import day_month_year
from scheduler.wording.web.week import WrongDate

_WRITTEN = len("2026-12-21")


@dataclass(frozen=True, slots=True, kw_only=True)
class DateAsked:
    """The date to show; where another was `typed` that cannot be used, `wrong` says why.

    `is_date`: what stands in the field is a date, so that a browser's own field can hold it.
    """

    day: date
    typed: str
    wrong: str = ""
    is_date: bool = True


def date_asked(typed: str, usual: date, first: date, last: date) -> DateAsked:
    """What was typed where it is a date from `first` to `last`; else, or of nothing, `usual`."""
    if not typed:
        return DateAsked(day=usual, typed=usual.isoformat())
    day = _read(typed)
    if day is None:
        example = usual.isoformat()
        wrong = WrongDate.no_date(typed=typed, example=example)
        return DateAsked(day=usual, typed=typed, wrong=wrong, is_date=False)
    if not first <= day <= last:
        wrong = WrongDate.too_far(first=day_month_year(first), last=day_month_year(last))
        return DateAsked(day=usual, typed=day.isoformat(), wrong=wrong)
    return DateAsked(day=day, typed=day.isoformat())


def _read(text: str) -> date | None:
    try:
        return date.fromisoformat(text) if len(text) == _WRITTEN else None
    except ValueError:
        return None
