"""What a keeper says of a report: the days as said, and the report told back."""

from datetime import date, timedelta

from scheduler.cares.bird_line import said_of_house
from scheduler.cares.records import PredatorGrade, Report, ReportKind, Sign
from scheduler.profile.problem import Unreadable, meant_day, nearest
from scheduler.profile.quantity import write_quantity
from scheduler.profile.units import Units
from scheduler.profile.values import Profile
from scheduler.wording.cares.reports import (
    DayAccepted,
    PredatorCame,
    ReportDays,
    ReportDetails,
    ReportedBirds,
    ReportNouns,
    Signs,
)
from scheduler.wording.spoken import one_by_one, short_day
from scheduler.wording.words import Words

_KIND_WORDS: dict[ReportKind, Words] = {
    "heat": ReportNouns.heat,
    "frost": ReportNouns.frost,
    "snow": ReportNouns.snow,
    "storm": ReportNouns.storm,
    "predator": ReportNouns.visit,
    "order": ReportNouns.order,
}
_OF_DEGREES: dict[ReportKind, Words] = {"heat": ReportNouns.heat_of, "frost": ReportNouns.frost_of}
_PREDATOR: dict[PredatorGrade, Words] = {
    "nearby": PredatorCame.nearby,
    "tried": PredatorCame.tried,
    "got-at": PredatorCame.got_at,
}
SIGN_WORDS: dict[Sign, Words] = {
    "deaths": Signs.deaths,
    "swollen-head": Signs.swollen_head,
    "blue-comb": Signs.blue_comb,
    "breathing": Signs.breathing,
    "no-balance": Signs.no_balance,
    "egg-drop": Signs.egg_drop,
    "feed-drop": Signs.feed_drop,
    "droppings": Signs.droppings,
    "hunched": Signs.hunched,
    "limping": Signs.limping,
    "wound": Signs.wound,
    "crop": Signs.crop,
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
        raise Unreadable(DayAccepted.words(), hint) from None


def words_of(profile: Profile, report: Report) -> str:
    """The report in words, after its house's name where there are several."""
    said = report_words(report, profile.units)
    return said_of_house(profile, report.house_id, said) if report.house_id else said


def report_words(report: Report, units: Units) -> str:
    """The report in a few words: "heat of 36 °C from Sat 26 Dec to Mon 28 Dec"."""
    said = _on_its_days(report, units)
    if report.who:
        said = ReportDetails.binds(report=said, who=report.who)
    if report.kind == "medicine":
        said = _with_its_label(report, said)
    return ReportDetails.link(report=said, link=report.link) if report.link else said


def _on_its_days(report: Report, units: Units) -> str:
    spell, what = report.spell, _what(report, units)
    first = short_day(spell.first)
    if spell.is_empty:
        return ReportDays.on_and_over(report=what, first=first)
    if spell.last is None:
        if report.kind == "predator":
            return ReportDays.on(report=what, first=first)
        said = ReportDays.until_notice if report.kind == "order" else ReportDays.since
        return said(report=what, first=first)
    if report.kind == "predator":
        return ReportDays.on_until(report=what, first=first, last=short_day(spell.last))
    if spell.last == spell.first:
        return ReportDays.on(report=what, first=first)
    return ReportDays.from_to(report=what, first=first, last=short_day(spell.last))


def _what(report: Report, units: Units) -> str:
    if report.kind == "predator":
        return _PREDATOR[report.grade or "got-at"]()
    if report.kind in _OF_DEGREES and report.air_c is not None:
        degrees = write_quantity(report.air_c, "temperature", units)
        return _OF_DEGREES[report.kind](degrees=degrees)
    return kind_words(report)


def kind_words(report: Report) -> str:
    """What kind of report it is, of birds with which ones: "housing order"."""
    said = _KIND_WORDS.get(report.kind)
    return said() if said else birds_words(report)


def birds_words(report: Report) -> str:
    """Which birds it is about, and what of them: "1 ill bird (limping or lame)"."""
    if report.kind == "medicine":
        if not report.birds:
            return report.words
        return ReportedBirds.medicine_for(medicine=report.words, birds=report.birds)
    if report.kind == "broody":
        return ReportedBirds.broody(birds=report.birds or 1)
    seen = [*(SIGN_WORDS[sign]() for sign in report.signs), report.words]
    return ReportedBirds.ill(birds=report.birds or 1, seen=one_by_one([one for one in seen if one]))


def _with_its_label(report: Report, said: str) -> str:
    if report.egg_days is None:
        told = ReportDetails.unread if report.meat_days is None else ReportDetails.unread_meat
    else:
        told = ReportDetails.eggs if report.meat_days is None else ReportDetails.eggs_meat
    return told(report=said, eggs=report.egg_days, meat=report.meat_days)
