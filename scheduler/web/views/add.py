"""Add: what happened, in one tap and with at most one number."""

import re
from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from typing import Literal

from scheduler.cares.changed import effect_of
from scheduler.cares.done_and_waiting import TaskKey
from scheduler.cares.records import (
    BIRD_KINDS,
    WEATHER_KINDS,
    PredatorGrade,
    Records,
    Report,
    WeatherKind,
)
from scheduler.profile.quantity import reckoned, write
from scheduler.service.jobs import feed_opened
from scheduler.service.reports.read_report import ToldReport, odd, read_report
from scheduler.service.weather import outlook
from scheduler.web import came_or_went
from scheduler.web.report_forms import Buttons, ReportPage, refused
from scheduler.web.request_and_answer import Answer, Visit, go
from scheduler.web.views import birds
from scheduler.wording.web.add import PredatorTiles, WrongNumber
from scheduler.wording.web.reports import PredatorButtons, WeatherButtons, WeatherEnds
from scheduler.wording.words import Words

_TITLES: Mapping[WeatherKind, Words] = {
    "heat": WeatherButtons.heat,
    "frost": WeatherButtons.frost,
    "snow": WeatherButtons.snow,
    "storm": WeatherButtons.storm,
    "predator": WeatherButtons.predator,
    "order": WeatherButtons.order,
}
_GRADES: Mapping[PredatorGrade, Words] = {
    "nearby": PredatorButtons.nearby,
    "tried": PredatorButtons.tried,
    "got-at": PredatorButtons.got_at,
}
# Each with its drawing.
_ONE_TAP: Sequence[tuple[WeatherKind, str]] = (
    ("storm", "cloud-lightning"),
    ("snow", "snowflake"),
    ("order", "shield-alert"),
)
_PREDATORS: Sequence[tuple[PredatorGrade, Words, str]] = (
    ("nearby", PredatorTiles.nearby, "footprints"),
    ("tried", PredatorTiles.tried, "paw-print"),
    ("got-at", PredatorTiles.got_at, "triangle-alert"),
)
_WITH_DEGREES: Sequence[tuple[WeatherKind, str]] = (
    ("heat", "thermometer-sun"),
    ("frost", "thermometer-snowflake"),
)
# What stands in the field where no forecast tells of heat or frost: from where on the birds need
# more care (common practice, no source); whoever reports it steps to what they read.
_FIRST_C = {"heat": 30.0, "frost": -5.0}
_JUST_NOW = timedelta(days=1)
_NUMBER = re.compile(
    "[-+\N{MINUS SIGN}]?[0-9]{1,4}(?:[.,][0-9]{1,3})?(?: ?\N{DEGREE SIGN}? ?[CFcf])?"
)


def _facts(visit: Visit) -> dict[str, object]:
    told = birds.facts(visit)
    since = visit.today - _JUST_NOW
    return {
        **told,
        "came_now": [one for one in _came(told) if one["day"] >= since],
        "kinds": [(kind, _TITLES[kind]()) for kind in WEATHER_KINDS],
        "grades": [(grade, said()) for grade, said in _GRADES.items()],
        "degrees": _degrees(visit),
        "with_degrees": [
            (kind, _TITLES[kind](), drawing, _first_number(visit, kind))
            for kind, drawing in _WITH_DEGREES
        ],
        "one_tap": [(kind, _TITLES[kind](), drawing) for kind, drawing in _ONE_TAP],
        "predators": [(grade, said(), drawing) for grade, said, drawing in _PREDATORS],
        "feed": feed_opened.last_opened(visit.journal, visit.profile, visit.today),
    }


def _came(told: Mapping[str, object]) -> Sequence[Mapping[str, date]]:
    found = told["came"]
    return found if isinstance(found, list) else ()


def _first_number(visit: Visit, kind: WeatherKind) -> str:
    """What stands in the field before anybody types: what is foretold of the day, if it is that."""
    weather = outlook.weather_of(visit.profile, visit.standing.records, visit.today)
    told = weather.high_c if kind == "heat" else weather.low_c
    first_c = _FIRST_C[kind]
    worse = told.value >= first_c if kind == "heat" else told.value <= first_c
    air_c = told.value if worse and told.source != "climate" else first_c
    written = write(reckoned(air_c, "°C", 0), visit.profile.units)
    return written.split("\N{NO-BREAK SPACE}")[0].replace("\N{MINUS SIGN}", "-")


def _degrees(visit: Visit) -> str:
    return "°F" if visit.profile.units == "us" else "°C"


def _with_unit(typed: str, degrees: str) -> str:
    """A bare number has the unit that stands beside the field."""
    bare = typed.lstrip("+-\N{MINUS SIGN}").replace(".", "", 1).replace(",", "", 1)
    return f"{typed} {degrees}" if bare.isascii() and bare.isdecimal() else typed


def _ends(visit: Visit, one: Report) -> Buttons:
    """The buttons that would change its last day: what each sends, and what it says."""
    if one.kind in BIRD_KINDS:
        return birds.ends_of(visit, one)
    first, last, today = one.spell.first, one.spell.last, visit.today
    if today not in one.spell:
        return ()
    ends = []
    if first < today or one.can_end_at_once:
        over = WeatherEnds.has_ended if one.can_be_confirmed(today) else WeatherEnds.is_over
        ends.append(("over", over()))
    if last != today:
        ends.append(("end", WeatherEnds.ends_today()))
    return ends


def _changes(visit: Visit, number: int, one: Report, told: Collection[TaskKey]) -> tuple[str, ...]:
    """What it changes beside the other reports; nothing once it is over, nor of birds."""
    is_over = one.spell.last is not None and one.spell.last < visit.today
    if is_over or one.kind in BIRD_KINDS:
        return ()
    reports = visit.standing.reports.items()
    others = Records(reports=tuple(each for known, each in reports if known != number))
    catalogue = visit.standing.household.catalogue
    return effect_of(one, others, visit.profile, catalogue, visit.today, told, visit.now)


def _read(visit: Visit) -> Report | Mapping[str, str]:
    if visit.said("kind") in BIRD_KINDS:
        return birds.read(visit)
    typed = visit.said("air")
    told = ToldReport(
        kind=visit.said("kind"),
        grade=visit.said("grade"),
        first=visit.said("first") or None,
        last=visit.said("last") or None,
        air=_with_unit(typed, _degrees(visit)),
        link=visit.said("link"),
        who=visit.said("who"),
    )
    is_alone = visit.said("form") == "degrees"
    found = read_report(told, visit.profile.site.region, visit.today)
    wrong = dict(refused(found)) if isinstance(found, tuple) else {}
    if (is_alone and not typed) or ("air" in wrong and not _NUMBER.fullmatch(typed)):
        wrong["air"] = WrongNumber.degrees(example=_first_number(visit, _asked(told.kind)))
    if isinstance(found, Report) and not wrong:
        return found
    # Two forms ask for degrees: it is said in the one that was sent.
    return {f"{told.kind}-{field}" if is_alone else field: text for field, text in wrong.items()}


def _asked(kind: str) -> Literal["heat", "frost"]:
    return "frost" if kind == "frost" else "heat"


def _odd(visit: Visit, found: Report) -> str:
    if found.kind in BIRD_KINDS:
        return birds.PAGE.odd(visit, found)
    return odd(found, visit.profile.units)


PAGE = ReportPage(
    name="add",
    kinds=(*WEATHER_KINDS, *BIRD_KINDS),
    fields=("form", "grade", "air", "link", "who", *birds.PAGE.fields),
    facts=_facts,
    read=_read,
    odd=_odd,
    ends=_ends,
    changes=_changes,
)


def came(visit: Visit) -> Answer:
    """Birds came, hatched, left, moved or died: kept, or asked about beside the field."""
    wrong = came_or_went.keep(visit)
    return PAGE.show(visit, wrong) if wrong else go("/add#in-force")


def came_undone(visit: Visit) -> Answer:
    """What was said of that is taken back."""
    if why := came_or_went.take_back(visit):
        return PAGE.show(visit, {"flock-entry": why})
    return go("/add#in-force")


def feed(visit: Visit) -> Answer:
    """A bag of feed was opened today, or that is taken back."""
    if visit.said("do") == "undo":
        if bag := feed_opened.last_opened(visit.journal, visit.profile, visit.today):
            feed_opened.take_back(visit.journal, visit.profile, bag.on, visit.speaker)
    else:
        feed_opened.keep(visit.journal, visit.profile, visit.speaker)
    return go("/add#in-force")
