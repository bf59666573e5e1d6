"""Reads a report as a keeper writes it, at a terminal or in the fields of a page."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal
from urllib.parse import urlsplit

from scheduler.cares.records import (
    GRADES,
    PREDATOR_DAYS,
    WEATHER_KINDS,
    PredatorGrade,
    Report,
    Spell,
    WeatherKind,
)
from scheduler.cares.report_words import read_day
from scheduler.profile.load import Problems
from scheduler.profile.problem import Problem, Unreadable, nearest, shown
from scheduler.profile.quantity import write_quantity
from scheduler.profile.units import Region, Units, read_quantity
from scheduler.wording.service.reports import (
    ReportAccepted,
    WeatherAccepted,
    WeatherAsked,
    WeatherHints,
)
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import Words

Field = Literal["kind", "grade", "first", "last", "air", "link", "who"]
WITH_AIR: frozenset[WeatherKind] = frozenset({"heat", "frost"})
# Beyond these no air in which hens are kept has been (common practice, no source); the others are
# asked about: hens pant from about 27 °C, and ice forms at 0 °C.
_POSSIBLE_C = {"heat": (0.0, 60.0), "frost": (-75.0, 15.0)}
_USUAL_C = {"heat": (20.0, 50.0), "frost": (-50.0, 3.0)}
_BETWEEN: Mapping[str, Words] = {
    "heat": WeatherAccepted.heat_between,
    "frost": WeatherAccepted.frost_between,
}
_ODD: Mapping[str, Words] = {"heat": WeatherAsked.odd_heat, "frost": WeatherAsked.odd_frost}
_LONG: Mapping[str, Words] = {
    "heat": WeatherAsked.long_heat,
    "frost": WeatherAsked.long_frost,
    "snow": WeatherAsked.long_snow,
    "storm": WeatherAsked.long_storm,
}
_LONGEST_WEATHER_DAYS = 31  # a longer spell of weather is rather a slip of the pen
LONGEST_LINK = 300
LONGEST_WHO = 120
_TWO_YEARS = timedelta(days=731)
_ADDRESS = re.compile(r"https?://[^\s/?#]\S*", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldReport:
    """The texts of a report as written; a day not given is None, another text not given empty."""

    kind: str
    grade: str = ""
    first: str | None = None
    last: str | None = None
    air: str = ""
    link: str = ""
    who: str = ""


def read_report(told: ToldReport, region: Region, today: date) -> Report | Problems:
    """The report, or one problem for each wrong field, in the order of `Field`, which is its key.

    Begins today unless told; lasts one day, a predator's visit fourteen, an order until further
    notice. A predator tried to get in unless told. `found` is quoted.
    """
    problems: list[Problem] = []
    kind = next((one for one in WEATHER_KINDS if one == told.kind), None)
    if kind is None:
        hint = nearest(told.kind, WEATHER_KINDS)
        problems.append(_wrong("kind", shown(told.kind), in_a_row(WEATHER_KINDS), hint))
    grade = _grade(told, problems)
    spell = _spell(told, today, problems)
    air_c = _air_c(told, region, problems)
    problems += _wrong_texts(told)
    if problems or kind is None:
        return tuple(problems)
    return Report(kind=kind, grade=grade, spell=spell, air_c=air_c, link=told.link, who=told.who)


def _wrong(field: Field, found: str, accepted: str, hint: str = "") -> Problem:
    return Problem(key=(field,), found=found, accepted=accepted, hint=hint)


def _grade(told: ToldReport, problems: list[Problem]) -> PredatorGrade | None:
    """The middle one where nothing is said: better the fence walked once too often."""
    if told.kind != "predator":
        if told.grade:
            accepted, hint = WeatherAccepted.no_grade(), WeatherHints.grade()
            problems.append(_wrong("grade", shown(told.grade), accepted, hint))
        return None
    spelled = re.sub(r"[\s_]+", "-", told.grade.strip().lower()) or "tried"
    grade = next((one for one in GRADES if one == spelled), None)
    if grade is None:
        hint = nearest(spelled, GRADES)
        problems.append(_wrong("grade", shown(told.grade), in_a_row(GRADES), hint))
    return grade


def _spell(told: ToldReport, today: date, problems: list[Problem]) -> Spell:
    """The days as told; what cannot be read counts as not told, beside its problem."""
    first = _day("first", told.first, today, today, problems) or today
    last = _day("last", told.last, first, today, problems)
    if last and last < first:
        problems.append(_wrong("last", shown(str(last)), ReportAccepted.or_later(first=first)))
    return Spell(first=first, last=last or _usual_end(told.kind, first))


def _usual_end(kind: str, first: date) -> date | None:
    if kind == "order":
        return None
    return first + timedelta(days=PREDATOR_DAYS - 1) if kind == "predator" else first


def _day(
    field: Field, text: str | None, since: date, today: date, problems: list[Problem]
) -> date | None:
    if text is None:
        return None
    try:
        day = read_day(text, today, since)
    except Unreadable as unreadable:
        accepted, hint = unreadable.accepted, unreadable.hint
    else:
        if abs(day - today) <= _TWO_YEARS:
            return day
        least, most = today - _TWO_YEARS, today + _TWO_YEARS
        accepted, hint = ReportAccepted.between(first=least, last=most), ""
    problems.append(_wrong(field, shown(text), accepted, hint))
    return None


def _air_c(told: ToldReport, region: Region, problems: list[Problem]) -> float | None:
    if not told.air:
        return None
    if told.kind in WEATHER_KINDS and told.kind not in WITH_AIR:
        refused = Unreadable(WeatherAccepted.no_temperature(), WeatherHints.temperature())
    else:
        try:
            air_c = read_quantity(told.air, "temperature", region)
        except Unreadable as unreadable:
            refused = unreadable
        else:
            least_c, most_c = _POSSIBLE_C.get(told.kind, (air_c, air_c))
            if least_c <= air_c <= most_c:
                return air_c
            units: Units = "us" if told.air.strip().lower().endswith("f") else "metric"
            least, most = (write_quantity(c, "temperature", units) for c in (least_c, most_c))
            refused = Unreadable(_BETWEEN[told.kind](least=least, most=most))
    problems.append(_wrong("air", shown(told.air), refused.accepted, refused.hint))
    return None


def odd(report: Report, units: Units) -> str:
    """What to ask before the report is kept, because it is likely to be a slip; mostly nothing."""
    first, last = report.spell.first, report.spell.last
    if report.kind in WITH_AIR and report.air_c is not None:
        least_c, most_c = _USUAL_C[report.kind]
        if not least_c <= report.air_c <= most_c:
            degrees = write_quantity(report.air_c, "temperature", units)
            return _ODD[report.kind](degrees=degrees)
    days = (last - first).days + 1 if last else 0
    if report.kind in _LONG and days > _LONGEST_WEATHER_DAYS:
        return _LONG[report.kind](days=days)
    return ""


def _wrong_texts(told: ToldReport) -> Iterator[Problem]:
    """Both are shown to others, as an address to follow and on one line."""
    if told.link and (hint := _wrong_link(told.link)) is not None:
        accepted = WeatherAccepted.link(longest=LONGEST_LINK)
        yield _wrong("link", shown(told.link), accepted, hint)
    if len(told.who) > LONGEST_WHO or not told.who.isprintable():
        yield _wrong("who", shown(told.who), WeatherAccepted.who(longest=LONGEST_WHO))


def _wrong_link(link: str) -> str | None:
    """What is to be mended in a link that no browser can follow; empty where that is plain."""
    if len(link) > LONGEST_LINK or not link.isprintable() or not _ADDRESS.fullmatch(link):
        return ""
    try:
        parts = urlsplit(link)
        host = parts.hostname or ""
    except ValueError:
        return WeatherHints.ipv6()
    try:
        _ = parts.port
    except ValueError:
        return WeatherHints.port()
    if not re.fullmatch(r"[\w.:-]*\w[\w.:-]*", host):
        return WeatherHints.server()
    return None
