"""Weather and visitors: one tap says what no average can know."""

from collections.abc import Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.cares import reasons
from scheduler.cares.changed import effect_of
from scheduler.cares.records import PredatorGrade, Records, Report, ReportKind
from scheduler.cares.reported import day_words, report_words
from scheduler.climate.curve import averages
from scheduler.journal.reports import Change, ChangeKind
from scheduler.profile.problem import dotted
from scheduler.service import report
from scheduler.service.emergencies import MIDDAY, calls_on
from scheduler.service.read_report import KINDS, ToldReport, odd, read_report
from scheduler.service.report import Already, NoSuchReport, Refused, Speaker
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
_CHANGED: Mapping[ChangeKind, tuple[str, str]] = {
    "ended": ("Ended", "it has ended"),
    "confirmed": ("Still in force, said", "still in force"),
    "undone": ("Taken back", "taken back"),
}
_PUT_BACK_WITHIN = timedelta(days=14)  # later the diary and the terminal still know it
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
        "kinds": [(kind, _TITLES[kind]) for kind in KINDS],
        "grades": list(GRADES.items()),
        "question": question,
        "reports": [
            {
                "number": number,
                "text": report_words(one, profile.units),
                "by": _reported(visit, one),
                "urgent": _urgent(visit, one),
                "changes": _changes(visit, number, one),
                "ends": _ends(visit, one),
                "asked": one.can_be_confirmed(visit.today) and one.confirmed_on != visit.today,
                "said": _last_said(visit, book.last.get(number)),
            }
            for number, one in sorted(visit.standing.reports.items(), reverse=True)
        ],
        "taken_back": _taken_back(visit, book),
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


def _last_said(visit: Visit, change: Change | None) -> Mapping[str, object] | None:
    """What was said of it since, and the button that takes that back."""
    if change is None:
        return None
    since, word = _CHANGED[change.kind]
    return {
        "text": f"{since} by {change.who}" if change.who else since,
        "when": _when(visit, change.at),
        "turn": change.turn,
        "button": f"Undo \u201c{word}\u201d",
    }


def _reported(visit: Visit, one: Report) -> str:
    """By whom and when it was reported: two people may have reported the same."""
    by = f"Reported by {one.said_by}" if one.said_by else "Reported"
    return f"{by}, {_when(visit, one.made_at)}" if one.made_at else by


def _when(visit: Visit, at: datetime) -> str:
    return f"{day_words(at.astimezone(visit.profile.site.zone).date())}, {visit.clock(at)}"


def _urgent(visit: Visit, one: Report) -> list[str]:
    """What it asks for at once, while that is of use: whoever made it is told here alone."""
    almanac = visit.standing.almanac
    return [
        f"{job.when[:1].upper()}{job.when[1:]}: {job.what}. {job.why}"
        for call in calls_on(almanac, visit.today, visit.standing.said)
        if call.step != MIDDAY and one in call.reports and visit.now < call.useful_until
        for job in call.jobs(almanac, visit.now)
    ]


def _taken_back(visit: Visit, book: report.Book) -> list[Mapping[str, object]]:
    """What was taken back lately: it can be put back."""
    return [
        {
            "number": one.number,
            "text": report_words(one.report, visit.profile.units),
            "by": _reported(visit, one.report),
            "who": one.undone_by,
            "when": _when(visit, one.undone_at),
            "turn": book.last[one.number].turn if one.number in book.last else 0,
        }
        for one in reversed(book.written)
        if one.undone_at and visit.now - one.undone_at < _PUT_BACK_WITHIN
    ]


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
    told_by = replace(found, said_by=visit.who)
    number = report.make_by_tap(visit.journal, visit.profile.site.id, told_by, visit.now)
    return go(f"/weather#report-{number}")


def end(visit: Visit) -> Answer:
    """Ends a report today or at once, keeps that it holds, or takes it or that back."""
    typed = visit.said("number")
    number = int(typed) if typed.isdecimal() and len(typed) < len("1000000") else -1
    found = _said_of(visit, number)
    if isinstance(found, NoSuchReport):
        return show(visit, unknown=f'Found "{typed}"; accepted: the number of a report below.')
    if isinstance(found, Refused):
        told = f"Found {found.found}; accepted: {found.accepted}. {found.hint}".rstrip()
        return show(visit, unknown=told)
    return go(f"/weather#report-{number}")


def _said_of(visit: Visit, number: int) -> report.Result:
    journal, site_id, do = visit.journal, visit.profile.site.id, visit.said("do")
    by = Speaker(who=visit.who, now=visit.now, today=visit.today)
    if do == "again":
        turn = visit.said("turn")
        meant = int(turn) if turn.isdecimal() and len(turn) < len("1000000") else -1
        return report.again(journal, site_id, number, by, meant)
    if do == "undo":
        book = report.book(journal, site_id)
        if any(one.number == number and one.undone_at for one in book.written):
            return Already(next(one.report for one in book.written if one.number == number))
        return report.undo(journal, site_id, number, by)
    if do == "confirm":
        return report.confirm(journal, site_id, number, by)
    if do == "over":
        return report.over(journal, site_id, number, by)
    return report.end(journal, site_id, number, visit.today, by)
