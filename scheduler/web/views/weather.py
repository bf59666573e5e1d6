"""Weather and visitors: one tap says what no average can know."""

from collections.abc import Mapping
from dataclasses import replace
from urllib.parse import urlencode

from scheduler.cares import reasons
from scheduler.cares.changed import effect_of
from scheduler.cares.records import PredatorGrade, Records, Report, ReportKind, Spell
from scheduler.cares.reported import report_words
from scheduler.climate.curve import averages
from scheduler.profile.problem import dotted
from scheduler.service import report
from scheduler.service.read_report import KINDS, ToldReport, odd, read_report
from scheduler.service.report import NoSuchReport
from scheduler.web.visit import Answer, Visit, go

_TITLES: Mapping[ReportKind, str] = {
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
_WAS = ("changed", "do", "kind", "grade", "first", "last")
_LONGEST = 40
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
    facts = {
        "kinds": [(kind, _TITLES[kind]) for kind in KINDS],
        "grades": list(GRADES.items()),
        "question": question,
        "changed": _changed(visit),
        "reports": [
            {
                "number": number,
                "text": report_words(one, profile.units),
                "changes": _changes(visit, number, one),
                "goes_on": _goes_on(visit, one),
                "asked": _is_asked(visit, one),
            }
            for number, one in sorted(visit.standing.reports.items(), reverse=True)
        ],
        "usual": reasons.usual_air(yearly, visit.today, profile.units),
        "estimated": yearly.estimated,
        "wrong": wrong or {},
        "typed": {name: visit.said(name) for name in _FIELDS},
        "unknown": unknown,
        "degrees": _degrees(visit),
    }
    return Answer(template="weather.html", facts=facts, status=422 if wrong or unknown else 200)


def _degrees(visit: Visit) -> str:
    return "°F" if visit.profile.units == "us" else "°C"


def _with_unit(typed: str, degrees: str) -> str:
    """A bare number has the unit that stands beside the field."""
    bare = typed.lstrip("+-\N{MINUS SIGN}").replace(".", "", 1).replace(",", "", 1)
    return f"{typed} {degrees}" if bare.isascii() and bare.isdecimal() else typed


def _changed(visit: Visit) -> Mapping[str, str] | None:
    """What the page before has ended or taken back, as it was: it can be put back."""
    was = read_report(_told_of(visit.query), visit.profile.site.region, visit.today)
    if "changed" not in visit.query or isinstance(was, tuple):
        return None
    fields = {name: visit.query.get(name, "")[:_LONGEST] for name in _WAS}
    return {**fields, "text": report_words(_as_it_was(was, visit.query), visit.profile.units)}


def _told_of(fields: Mapping[str, str]) -> ToldReport:
    return ToldReport(
        kind=fields.get("kind", ""),
        grade=fields.get("grade", ""),
        first=fields.get("first", ""),
        last=fields.get("last") or None,
    )


def _as_it_was(was: Report, fields: Mapping[str, str]) -> Report:
    """Without a last day it went on: `read_report` would end it on its first."""
    return was if fields.get("last") else replace(was, spell=Spell(first=was.spell.first))


def _goes_on(visit: Visit, one: Report) -> bool:
    return one.spell.last is None or one.spell.last >= visit.today


def _is_asked(visit: Visit, one: Report) -> bool:
    return one.kind == "order" and one.spell.last is None and one.spell.first <= visit.today


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
        return show(
            visit,
            {
                dotted(one.key): f"Found {one.found}; accepted: {one.accepted}. {one.hint}".strip()
                for one in found
            },
        )
    if visit.said("sure") != "1" and (question := odd(found, visit.profile.units)):
        return show(visit, question=question)
    site_id = visit.profile.site.id
    if found not in visit.journal.reports(site_id).values():  # a wet screen taps twice
        report.make(visit.journal, site_id, found, visit.now)
    return go("/weather")


def end(visit: Visit) -> Answer:
    """Ends a report today, keeps that it still holds, or takes it back."""
    typed = visit.said("number")
    number = int(typed) if typed.isdecimal() and len(typed) < len("1000000") else -1
    site_id = visit.profile.site.id
    was = visit.journal.reports(site_id).get(number)
    if visit.said("do") == "again":
        return _again(visit, number)
    if visit.said("do") == "undo":
        found = report.undo(visit.journal, site_id, number, visit.now, visit.who)
    elif visit.said("do") == "confirm":
        found = report.confirm(visit.journal, site_id, number, visit.today)
    else:
        found = report.end(visit.journal, site_id, number, visit.today)
    if isinstance(found, NoSuchReport):
        return show(visit, unknown=f'Found "{typed}"; accepted: the number of a report below.')
    if was is None or visit.said("do") == "confirm":
        return go("/weather")
    told = {
        "changed": str(number),
        "do": visit.said("do"),
        "kind": was.kind,
        "grade": was.grade or "",
        "first": was.spell.first.isoformat(),
        "last": was.spell.last.isoformat() if was.spell.last else "",
    }
    return go(f"/weather?{urlencode(told)}")


def _again(visit: Visit, number: int) -> Answer:
    """Takes back that a report was ended or taken back: it is what it was."""
    fields = {name: visit.said(name) for name in _WAS}
    was = read_report(_told_of(fields), visit.profile.site.region, visit.today)
    if isinstance(was, tuple):
        return show(visit, unknown="That report cannot be put back: tell it anew.")
    site_id = visit.profile.site.id
    report.put_back(visit.journal, site_id, number, _as_it_was(was, fields))
    return go("/weather")
