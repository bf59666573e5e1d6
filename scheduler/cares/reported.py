"""What a keeper says of a report: the days as said, the report told back, what follows from it."""

from datetime import date, timedelta
from types import MappingProxyType

from scheduler.cares.records import PREDATOR_DAYS, Report, ReportKind
from scheduler.profile.problem import Unreadable
from scheduler.profile.units import Units, write_quantity

LEADS_TO: MappingProxyType[ReportKind, str] = MappingProxyType(
    {
        "heat": "Shade, cool water and midday looks are in the plan.",
        "frost": "Ice looks are in the plan.",
        "snow": "Clearing snow off roof, netting and door track is in the plan.",
        "storm": "No free range on these days; netting and roofs are in the plan.",
        "predator": (
            f"No free range for {PREDATOR_DAYS} days, lock-up by ten minutes after sunset, and the "
            "fence is in the plan."
        ),
        "order": (
            "No free range until it ends. Feed and water under cover; the order itself says what "
            "binds you."
        ),
    }
)
_DAY = timedelta(days=1)
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")


def read_day(text: str, since: date) -> date:
    """A date, today, tomorrow, or the next such weekday on or after `since`, which is "today".

    Raises:
        Unreadable: the text is none of them.
    """
    word = text.strip().lower()
    if word in {"today", "tomorrow"}:
        return since + (_DAY if word == "tomorrow" else timedelta())
    if word[:3] in _WEEKDAYS and word.isalpha():
        ahead = (_WEEKDAYS.index(word[:3]) - since.weekday()) % 7
        return since + ahead * _DAY
    try:
        return date.fromisoformat(word)
    except ValueError:
        raise Unreadable("a date such as 2026-12-21, a weekday, today, tomorrow") from None


def report_words(report: Report, units: Units) -> str:
    """The report in a few words: "heat of 36 °C from Sat 26 Dec to Mon 28 Dec"."""
    spell = report.spell
    text: str = "disease order" if report.kind == "order" else report.kind
    if report.air_c is not None:
        text += f" of {write_quantity(report.air_c, 'temperature', units)}"
    if spell.last == spell.first:
        text += f" on {_date(spell.first)}"
    else:
        until = f" to {_date(spell.last)}" if spell.last else " until further notice"
        text += f" from {_date(spell.first)}{until}"
    text += f", binds {report.who}" if report.who else ""
    return text + (f" ({report.link})" if report.link else "")


def _date(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"
