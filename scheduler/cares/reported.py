"""What a keeper says of a report: the days as said, and the report told back."""

from datetime import date, timedelta
from types import MappingProxyType

from scheduler.cares.records import PredatorGrade, Report
from scheduler.profile.problem import Unreadable, meant_day, nearest
from scheduler.profile.units import Units, write_quantity

_PREDATOR: MappingProxyType[PredatorGrade, str] = MappingProxyType(
    {
        "nearby": "predator seen nearby",
        "tried": "predator that tried to get in",
        "got-at": "predator that got at the birds",
    }
)
_OVER_AT_ONCE = ", over that same day"
_DAY = timedelta(days=1)
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


def read_day(text: str, since: date) -> date:
    """A date, today, tomorrow, or the next such weekday on or after `since`, which is "today".

    Raises:
        Unreadable: the text is none of them.
    """
    word = text.strip().lower()
    if word in {"today", "tomorrow"}:
        return since + (_DAY if word == "tomorrow" else timedelta())
    begun = "wed" if word == "weds" else word
    named = [n for n, day in enumerate(_WEEKDAYS) if begun[2:] and day.startswith(begun)]
    if named:
        return since + (named[0] - since.weekday()) % 7 * _DAY
    try:
        return date.fromisoformat(word)
    except ValueError:
        hint = meant_day(word) or nearest(word, (*_WEEKDAYS, "today", "tomorrow"))
        raise Unreadable("a date such as 2026-12-21, a weekday, today, tomorrow", hint) from None


def report_words(report: Report, units: Units) -> str:
    """The report in a few words: "heat of 36 °C from Sat 26 Dec to Mon 28 Dec"."""
    spell = report.spell
    if report.kind == "predator":
        until = f", until {day_words(spell.last)}" if spell.last else ""
        until = _OVER_AT_ONCE if spell.is_empty else until
        return f"{_PREDATOR[report.grade or 'got-at']} on {day_words(spell.first)}{until}"
    text: str = "housing order" if report.kind == "order" else report.kind
    if report.air_c is not None:
        text += f" of {write_quantity(report.air_c, 'temperature', units)}"
    if spell.is_empty:
        text += f" on {day_words(spell.first)}{_OVER_AT_ONCE}"
    elif spell.last == spell.first:
        text += f" on {day_words(spell.first)}"
    else:
        until = f" to {day_words(spell.last)}" if spell.last else " until further notice"
        text += f" from {day_words(spell.first)}{until}"
    text += f", binds {report.who}" if report.who else ""
    return text + (f" ({report.link})" if report.link else "")


def day_words(day: date) -> str:
    """The date as it is said: "Sat 26 Dec"."""
    return f"{day:%a} {day.day} {day:%b}"
