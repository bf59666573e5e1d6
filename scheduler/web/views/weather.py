"""Weather and visitors: one tap says what no average can know."""

from collections.abc import Mapping

from scheduler.cares import reasons
from scheduler.cares.changed import effect_of
from scheduler.cares.records import WEATHER_KINDS, PredatorGrade, Records, Report, WeatherKind
from scheduler.climate.curve import averages
from scheduler.service.reports import report
from scheduler.service.reports.read_report import ToldReport, odd, read_report
from scheduler.web.report_forms import already, kept, listed, refused, say_of, taken_back
from scheduler.web.request_and_answer import Answer, Visit

_TITLES: Mapping[WeatherKind, str] = {
    "heat": "Heat",
    "frost": "Frost",
    "snow": "Snow",
    "storm": "Storm",
    "predator": "A predator was here",
    "order": "A housing order",
}
GRADES: Mapping[PredatorGrade, str] = {
    "nearby": "It was seen nearby",
    "tried": "It tried to get in",
    "got-at": "It got at the birds",
}
_FIELDS = ("kind", "grade", "air", "first", "last", "link", "who")


def show(
    visit: Visit,
    wrong: Mapping[str, str] | None = None,
    unknown: str = "",
    question: str = "",
) -> Answer:
    """The page; `wrong` says by field what could not be used of the form.

    With a `question` nothing was kept yet: the same form with `sure` = 1 keeps it.
    """
    profile = visit.profile
    yearly = averages(profile)
    book = report.book(visit.journal, profile.site.id)
    facts = {
        "kinds": [(kind, _TITLES[kind]) for kind in WEATHER_KINDS],
        "grades": list(GRADES.items()),
        "question": question,
        "reports": listed(visit, book, WEATHER_KINDS, _ends, _changes),
        "taken_back": taken_back(visit, book, WEATHER_KINDS),
        "usual": reasons.usual_air(yearly, visit.today, profile.units),
        "estimated": yearly.estimated,
        "wrong": wrong or {},
        "typed": {name: visit.said(name) for name in _FIELDS},
        "unknown": unknown,
        "already": already(visit, book),
        "degrees": _degrees(visit),
    }
    return Answer(template="weather.html", facts=facts, status=422 if wrong or unknown else 200)


def _degrees(visit: Visit) -> str:
    return "°F" if visit.profile.units == "us" else "°C"


def _with_unit(typed: str, degrees: str) -> str:
    """A bare number has the unit that stands beside the field."""
    bare = typed.lstrip("+-\N{MINUS SIGN}").replace(".", "", 1).replace(",", "", 1)
    return f"{typed} {degrees}" if bare.isascii() and bare.isdecimal() else typed


def _goes_on(visit: Visit, one: Report) -> bool:
    return one.spell.last is None or one.spell.last >= visit.today


def _ends(visit: Visit, one: Report) -> tuple[tuple[str, str], ...]:
    """The buttons that would change its last day: what each sends, and what it says."""
    first, last, today = one.spell.first, one.spell.last, visit.today
    if today not in one.spell:
        return ()
    ends = []
    if first < today or one.can_end_at_once:
        ends.append(("over", "It has ended" if one.can_be_confirmed(today) else "It is over"))
    if last != today:
        ends.append(("end", "It ends today"))
    return tuple(ends)


def _changes(visit: Visit, number: int, one: Report) -> tuple[str, ...]:
    """What it changes beside the other reports; nothing once it is over."""
    if not _goes_on(visit, one):
        return ()
    reports = visit.standing.reports.items()
    others = Records(reports=tuple(each for known, each in reports if known != number))
    catalogue = visit.standing.household.catalogue
    return effect_of(one, others, visit.profile, catalogue, visit.today)


def make(visit: Visit) -> Answer:
    """Keeps what was told; today, where no day was given."""
    told = ToldReport(
        kind=visit.said("kind"),
        grade=visit.said("grade"),
        first=visit.said("first") or None,
        last=visit.said("last") or None,
        air=_with_unit(visit.said("air"), _degrees(visit)),
        link=visit.said("link"),
        who=visit.said("who"),
    )
    found = read_report(told, visit.profile.site.region, visit.today)
    if isinstance(found, tuple):
        return show(visit, refused(found))
    if visit.said("sure") != "1" and (question := odd(found, visit.profile.units)):
        return show(visit, question=question)
    return kept(visit, found, "/weather")


def end(visit: Visit) -> Answer:
    """Ends a report today or at once, keeps that it holds, or takes it or that back."""
    found = say_of(visit, "/weather")
    return show(visit, unknown=found) if isinstance(found, str) else found
