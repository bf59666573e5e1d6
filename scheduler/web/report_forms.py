"""What the pages of weather and of birds share: reports listed, ended, taken back, put back."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.cares.bird_line import house_words
from scheduler.cares.records import Report, ReportKind
from scheduler.cares.report_words import report_words
from scheduler.journal.reports import Change, ChangeKind
from scheduler.profile.load import Problems
from scheduler.profile.problem import Unreadable, dotted
from scheduler.profile.words import day_words
from scheduler.service.reports import report
from scheduler.service.reports.emergencies import to_do_now
from scheduler.service.reports.read_bird_report import read_days
from scheduler.service.reports.report import Already, NoSuchReport, ReportRefused, Speaker
from scheduler.web.request_and_answer import Answer, Visit, go

_CHANGED: Mapping[ChangeKind, tuple[str, str]] = {
    "ended": ("Ended", "it has ended"),
    "confirmed": ("Still in force, said", "still in force"),
    "undone": ("Taken back", "taken back"),
    "label": ("What the label says was noted", "what the label says"),
}
_PUT_BACK_WITHIN = timedelta(days=14)  # later the diary and the terminal still know it


def listed(
    visit: Visit,
    book: report.Book,
    kinds: Collection[ReportKind],
    ends: Callable[[Visit, Report], Sequence[tuple[str, str]]],
    changes: Callable[[Visit, int, Report], Sequence[str]] = lambda *_: (),
) -> list[Mapping[str, object]]:
    """The reports of those kinds in force, the newest first.

    `ends` gives the buttons that change a report's last day, `changes` what it changes in the plan.
    """
    return [
        {
            "number": number,
            "text": words_of(visit, one),
            "by": reported_by(visit, one),
            "urgent": urgent_now(visit, one),
            "changes": changes(visit, number, one),
            "ends": ends(visit, one),
            "asked": one.can_be_confirmed(visit.today) and one.confirmed_on != visit.today,
            "label": one.kind == "medicine" and one.egg_days is None,
            "said": last_said(visit, book.last.get(number)),
        }
        for number, one in sorted(visit.standing.reports.items(), reverse=True)
        if one.kind in kinds
    ]


def refused(problems: Problems, form: str = "") -> Mapping[str, str]:
    """What is said beside each field of that form that could not be used."""
    return {
        f"{form}{dotted(one.key)}": (
            f"Found {one.found}; accepted: {one.accepted}. {one.hint}".strip()
        )
        for one in problems
    }


def kept(visit: Visit, found: Report, page: str) -> Answer:
    """Keeps the report as somebody's who is signed in, and goes to it on its page."""
    told_by = replace(found, said_by=visit.who)
    number = report.make_by_tap(visit.journal, visit.profile.site.id, told_by, visit.now)
    return go(f"{page}#report-{number}")


def words_of(visit: Visit, one: Report) -> str:
    """The report in words, after its house's name where there are several."""
    where = house_words(visit.profile, one.house_id) if one.house_id else ""
    return f"{where}{report_words(one, visit.profile.units)}"


def urgent_now(visit: Visit, one: Report) -> list[str]:
    """What it asks for at once, while that is of use: whoever made it is told here alone."""
    standing = visit.standing
    return to_do_now(standing.almanac, one, standing.said, standing.done, visit.now)


def last_said(visit: Visit, change: Change | None) -> Mapping[str, object] | None:
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


def reported_by(visit: Visit, one: Report) -> str:
    """By whom and when it was reported: two people may have reported the same."""
    by = f"Reported by {one.said_by}" if one.said_by else "Reported"
    return f"{by}, {_when(visit, one.made_at)}" if one.made_at else by


def _when(visit: Visit, at: datetime) -> str:
    return f"{day_words(at.astimezone(visit.profile.site.zone).date())}, {visit.clock(at)}"


def taken_back(
    visit: Visit, book: report.Book, kinds: Collection[ReportKind]
) -> list[Mapping[str, object]]:
    """What of those kinds was taken back lately: it can be put back."""
    return [
        {
            "number": one.number,
            "text": words_of(visit, one.report),
            "by": reported_by(visit, one.report),
            "who": one.undone_by,
            "when": _when(visit, one.undone_at),
            "turn": book.last[one.number].turn if one.number in book.last else 0,
        }
        for one in reversed(book.written)
        if one.undone_at
        and visit.now - one.undone_at < _PUT_BACK_WITHIN
        and one.report.kind in kinds
    ]


def say_of(visit: Visit, back: str) -> Answer | str:
    """Keeps what a button says of a report, and goes back to it there; or why it cannot be kept."""
    typed = visit.said("number")
    number = int(typed) if typed.isdecimal() and len(typed) < len("1000000") else -1
    found = _said_of(visit, number)
    if isinstance(found, NoSuchReport):
        return f'Found "{typed}"; accepted: the number of a report below.'
    if isinstance(found, ReportRefused):
        return f"Found {found.found}; accepted: {found.accepted}. {found.hint}".rstrip()
    already = f"?already={number}" if isinstance(found, Already) else ""
    return go(f"{back}{already}#report-{number}")


def already(visit: Visit, book: report.Book) -> str:
    """Why the button that led here changed nothing; empty where it did."""
    asked = visit.query.get("already", "")
    one = next((one for one in book.written if str(one.number) == asked), None)
    if one is None:
        return ""
    if one.undone_at:
        by = f"{one.undone_by}, {_when(visit, one.undone_at)}"
        return f"Nothing was changed: that was taken back already, by {by}."
    return "Nothing was changed: it stands below as it is now."


def _said_of(visit: Visit, number: int) -> report.Result:
    journal, site_id, do = visit.journal, visit.profile.site.id, visit.said("do")
    by = Speaker(who=visit.who, now=visit.now, today=visit.today)
    if do == "again":
        turn = visit.said("turn")
        meant = int(turn) if turn.isdecimal() and len(turn) < len("1000000") else -1
        return report.again(journal, site_id, number, by, meant)
    if do == "undo":
        return report.undo(journal, site_id, number, by)
    if do == "label":
        return _label(visit, number, by)
    if says := {"confirm": report.confirm, "over": report.over}.get(do):
        return says(journal, site_id, number, by)
    return report.end(journal, site_id, number, visit.today, by)


def _label(visit: Visit, number: int, by: Speaker) -> report.Result:
    typed = visit.said("eggs")
    try:
        egg_days = read_days(typed)
    except Unreadable as refused:
        return ReportRefused(found=f'"{typed}"', accepted=refused.accepted)
    return report.label(visit.journal, visit.profile.site.id, number, egg_days, by)
