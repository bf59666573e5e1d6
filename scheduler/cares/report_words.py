"""What a keeper says of a report: the days as said, and the report told back."""

from datetime import date, timedelta

from scheduler.cares.bird_line import house_words
from scheduler.cares.records import BIRD_KINDS, PredatorGrade, Report, Sign
from scheduler.profile.problem import Unreadable, meant_day, nearest
from scheduler.profile.quantity import write_quantity
from scheduler.profile.units import Units
from scheduler.profile.values import Profile
from scheduler.profile.words import counted, day_words

_PREDATOR: dict[PredatorGrade, str] = {
    "nearby": "predator seen nearby",
    "tried": "predator that tried to get in",
    "got-at": "predator that got at the birds",
}
_OVER_AT_ONCE = ", over that same day"
SIGN_WORDS: dict[Sign, str] = {
    "deaths": "two or more deaths within a day",
    "swollen-head": "swollen head, eyelids, comb or wattles",
    "blue-comb": "blue or purple comb, wattles or legs",
    "breathing": "trouble breathing, coughing, sneezing, runny nose",
    "no-balance": "stumbling, tremors, twisted neck",
    "egg-drop": "the flock suddenly lays far fewer eggs",
    "feed-drop": "the flock suddenly eats or drinks far less",
    "droppings": "watery or bloody droppings",
    "hunched": "hunched, fluffed up, keeps apart",
    "limping": "limping or lame",
    "wound": "wound or pecked skin",
    "crop": "crop still full in the morning",
}
_DAY = timedelta(days=1)
_WEEKDAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_DAYS_AWAY = {"yesterday": -_DAY, "today": timedelta(), "tomorrow": _DAY}


def read_day(text: str, today: date, since: date | None = None) -> date:
    """A date, yesterday, today, tomorrow, or the next such weekday on or after `since`, or today.

    Raises:
        Unreadable: the text is none of them.
    """
    word = text.strip().lower()
    if word in _DAYS_AWAY:
        return today + _DAYS_AWAY[word]
    begun = "wed" if word == "weds" else word
    named = [n for n, day in enumerate(_WEEKDAYS) if begun[2:] and day.startswith(begun)]
    if named:
        begins = since or today
        return begins + (named[0] - begins.weekday()) % 7 * _DAY
    try:
        return date.fromisoformat(word)
    except ValueError:
        hint = meant_day(word) or nearest(word, (*_WEEKDAYS, *_DAYS_AWAY))
        accepted = "a date such as 2026-12-21, a weekday, yesterday, today, tomorrow"
        raise Unreadable(accepted, hint) from None


def words_of(profile: Profile, report: Report) -> str:
    """The report in words, after its house's name where there are several."""
    where = house_words(profile, report.house_id) if report.house_id else ""
    return f"{where}{report_words(report, profile.units)}"


def report_words(report: Report, units: Units) -> str:
    """The report in a few words: "heat of 36 °C from Sat 26 Dec to Mon 28 Dec"."""
    spell = report.spell
    if report.kind == "predator":
        until = f", until {day_words(spell.last)}" if spell.last else ""
        until = _OVER_AT_ONCE if spell.is_empty else until
        return f"{_PREDATOR[report.grade or 'got-at']} on {day_words(spell.first)}{until}"
    text: str = "housing order" if report.kind == "order" else report.kind
    if report.kind in BIRD_KINDS:
        text = birds_words(report)
    if report.air_c is not None:
        text += f" of {write_quantity(report.air_c, 'temperature', units)}"
    if spell.is_empty:
        text += f" on {day_words(spell.first)}{_OVER_AT_ONCE}"
    elif spell.last == spell.first:
        text += f" on {day_words(spell.first)}"
    else:
        goes_on = " until further notice" if report.kind == "order" else ""
        until = f" to {day_words(spell.last)}" if spell.last else goes_on
        text += f" {'from' if until else 'since'} {day_words(spell.first)}{until}"
    text += f", binds {report.who}" if report.who else ""
    if report.kind == "medicine":
        text += f"; {_withdrawal(report)}"
    return text + (f" ({report.link})" if report.link else "")


def birds_words(report: Report) -> str:
    """Which birds it is about, and what of them: "1 ill bird (limping or lame)"."""
    if report.kind == "medicine":
        of = f" for {counted(report.birds, 'birds')}" if report.birds else ""
        return f"{report.words}{of}"
    if report.kind == "broody":
        return counted(report.birds or 1, "broody hens")
    seen = "; ".join(filter(None, (*(SIGN_WORDS[sign] for sign in report.signs), report.words)))
    return f"{counted(report.birds or 1, 'ill birds')} ({seen})"


def _withdrawal(report: Report) -> str:
    eggs = "not known" if report.egg_days is None else counted(report.egg_days, "days")
    meat = "" if report.meat_days is None else f", meat {counted(report.meat_days, 'days')}"
    return f"by the label or the vet: eggs {eggs}{meat}"
