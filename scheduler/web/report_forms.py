"""What the pages of weather and of birds share: reports told, listed, ended, put back."""

from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from scheduler.cares.diary.of_reports import Change, ChangeKind, WrittenReport
from scheduler.cares.done_and_waiting import TaskKey
from scheduler.cares.records import Report, ReportKind
from scheduler.cares.report_words import words_of
from scheduler.cares.withheld_eggs import free_from
from scheduler.profile.load import Problems
from scheduler.profile.problem import Unreadable, dotted, shown
from scheduler.profile.words import capitalized
from scheduler.service.diary import Refused
from scheduler.service.reports import report
from scheduler.service.reports.emergencies import calls_now, in_sentences
from scheduler.service.reports.read_bird_report import read_days
from scheduler.service.reports.report import Already, NoSuchReport
from scheduler.web.request_and_answer import Answer, Visit, go
from scheduler.wording.spoken import short_day
from scheduler.wording.web.reports import (
    ReportConfirmed,
    Reported,
    ReportEnded,
    ReportLabel,
    ReportUndone,
    WrongReport,
)
from scheduler.wording.words import Words, every

_CHANGED: Mapping[ChangeKind, Mapping[str, Words]] = {
    "ended": every(ReportEnded),
    "confirmed": every(ReportConfirmed),
    "undone": every(ReportUndone),
    "label": every(ReportLabel),
}
Buttons = Sequence[tuple[str, str]]  # what each sends, and what it says


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportPage:
    """The page of the reports of some kinds, with a form to make one.

    `facts` is what it shows besides. `read` reads the form, or says by field what cannot be used;
    `odd` is what is asked before that is kept. `ends` gives the buttons that change a report's
    last day, `changes` what it changes in the plan beside the jobs that are told of already.
    """

    name: str
    kinds: Collection[ReportKind]
    fields: Sequence[str]
    facts: Callable[[Visit], Mapping[str, object]]
    read: Callable[[Visit], Report | Mapping[str, str]]
    odd: Callable[[Visit, Report], str]
    ends: Callable[[Visit, Report], Buttons]
    changes: Callable[[Visit, int, Report, Collection[TaskKey]], Sequence[str]] = lambda *_: ()

    def show(
        self, visit: Visit, wrong: Mapping[str, str] | None = None, unknown: str = "", odd: str = ""
    ) -> Answer:
        """The page; `wrong` says by field what could not be used of the form.

        With an `odd` question nothing was kept yet: the same form with `sure` = 1 keeps it.
        """
        book = report.book(visit.journal, visit.profile.site.id)
        today = visit.today
        known = [
            (number, one, book.last.get(number))
            for number, one in sorted(visit.standing.reports.items(), reverse=True)
            if one.kind in self.kinds
        ]
        facts = {
            **self.facts(visit),
            "question": odd,
            "reports": [self._line(visit, *one) for one in known if not is_over(one[1], today)],
            # For the day it stays where it was pressed; later the diary still takes it back.
            "over": [
                self._line(visit, number, one, last)
                for number, one, last in known
                if is_over(one, today) and today in _said_on(visit, one, last)
            ],
            "taken_back": self._taken_back(visit, book),
            "wrong": wrong or {},
            "typed": {name: visit.said(name) for name in self.fields},
            "unknown": unknown,
            "already": _already(visit, book),
        }
        status = 422 if wrong or unknown else 200
        return Answer(template=f"{self.name}.html", facts=facts, status=status)

    def make(self, visit: Visit) -> Answer:
        """Keeps what was told, as somebody's who is signed in; today, where no day was given."""
        found = self.read(visit)
        if not isinstance(found, Report):
            return self.show(visit, found)
        if visit.said("sure") != "1" and (question := self.odd(visit, found)):
            return self.show(visit, odd=question)
        told_by = replace(found, said_by=visit.who)
        number = report.make_by_tap(visit.journal, visit.profile.site.id, told_by, visit.speaker)
        if isinstance(number, Refused):
            return self.show(visit, unknown=number.question)
        return go(f"/{self.name}#report-{number}")

    def end(self, visit: Visit) -> Answer:
        """Keeps what a button says of a report: that it ends, holds, was never so, or is again."""
        typed, number = visit.said("number"), visit.number("number")
        found = _said_of(visit, number)
        if isinstance(found, NoSuchReport):
            return self.show(visit, unknown=WrongReport.none_of_that_number(number=typed))
        if isinstance(found, Refused):
            told = found.question or cannot_be_used(found.found, found.accepted, found.hint)
            return self.show(visit, unknown=told)
        already = f"?already={number}" if isinstance(found, Already) else ""
        return go(f"/{self.name}{already}#report-{number}")

    def _line(
        self, visit: Visit, number: int, one: Report, last: Change | None
    ) -> Mapping[str, object]:
        standing, now = visit.standing, visit.now
        # While that is of use: whoever made it is told here alone.
        calls = calls_now(standing.almanac, one, standing.said, standing.done, now)
        told = {key for call in calls for key in call.keys}
        return {
            "number": number,
            "text": words_of(visit.profile, one),
            "by": _reported_by(visit, one),
            "urgent": in_sentences(standing.almanac, calls, now),
            "changes": self.changes(visit, number, one, told),
            "ends": self.ends(visit, one),
            "asked": one.can_be_confirmed(visit.today) and one.confirmed_on != visit.today,
            "label": one.kind == "medicine" and one.egg_days is None,
            "said": _last_said(visit, last),
        }

    def _taken_back(self, visit: Visit, book: report.Book) -> list[Mapping[str, object]]:
        """What was taken back today: it can be put back here, and later in the diary."""
        return [
            {
                "number": one.number,
                "said": _taken_back(visit, one, one.undone_at),
                "turn": book.last[one.number].turn if one.number in book.last else 0,
            }
            for one in reversed(book.written)
            if one.undone_at
            and visit.standing.household.today(one.undone_at) == visit.today
            and one.report.kind in self.kinds
        ]


def is_over(one: Report, today: date) -> bool:
    """Whether it holds neither today nor later, nor withholds anything after its last dose."""
    last = one.spell.last
    if last is None or last >= today:
        return False
    if one.kind != "medicine":
        return True
    free = free_from(one)
    return free is not None and max(free, last + timedelta(days=1 + (one.meat_days or 0))) <= today


def _said_on(visit: Visit, one: Report, last: Change | None) -> set[date]:
    """On which days it was reported, and something was last said of it."""
    instants = (one.made_at, last.at if last else None)
    return {visit.standing.household.today(at) for at in instants if at}


def refused(problems: Problems, form: str = "") -> Mapping[str, str]:
    """What is said beside each field of that form that could not be used."""
    return {
        f"{form}{dotted(one.key)}": cannot_be_used(one.found, one.accepted, one.hint)
        for one in problems
    }


def cannot_be_used(found: str, accepted: str, hint: str) -> str:
    """That it cannot, what can, and the hint where there is one."""
    found = capitalized(found)
    if not hint:
        return WrongReport.field(found=found, accepted=accepted)
    return WrongReport.field_and_hint(found=found, accepted=accepted, hint=hint)


def _last_said(visit: Visit, change: Change | None) -> Mapping[str, object] | None:
    """What was said of it since, and the button that takes that back."""
    if change is None:
        return None
    said, when = _CHANGED[change.kind], _when(visit, change.at)
    text = said["by"](who=change.who, when=when) if change.who else said["by_nobody"](when=when)
    return {"text": text, "turn": change.turn, "button": said["undo"]()}


def _taken_back(visit: Visit, one: WrittenReport, at: datetime) -> str:
    said = capitalized(words_of(visit.profile, one.report))
    reported, when = _reported_by(visit, one.report), _when(visit, at)
    if not one.undone_by:
        return Reported.taken_back(report=said, reported=reported, when=when)
    return Reported.taken_back_by(report=said, reported=reported, who=one.undone_by, when=when)


def _reported_by(visit: Visit, one: Report) -> str:
    """By whom and when it was reported: two people may have reported the same."""
    who, when = one.said_by, _when(visit, one.made_at) if one.made_at else ""
    if who and when:
        return Reported.by_at(who=who, when=when)
    if who:
        return Reported.by(who=who)
    return Reported.at(when=when) if when else Reported.some_time()


def _when(visit: Visit, at: datetime) -> str:
    day = short_day(visit.profile.date_at(at))
    return Reported.when(day=day, at=visit.clock(at))


def _already(visit: Visit, book: report.Book) -> str:
    """Why the button that led here changed nothing; empty where it did."""
    asked = visit.query.get("already", "")
    one = next((one for one in book.written if str(one.number) == asked), None)
    if one is None:
        return ""
    if one.undone_at:
        when = _when(visit, one.undone_at)
        return Reported.already_taken_back(who=one.undone_by, when=when)
    return Reported.already()


def _said_of(visit: Visit, number: int) -> report.Result:
    journal, site_id, do = visit.journal, visit.profile.site.id, visit.said("do")
    by = visit.speaker
    if do == "again":
        return report.again(journal, site_id, number, by, visit.number("turn"))
    if do == "label":
        typed = visit.said("eggs")
        try:
            egg_days = read_days(typed)
        except Unreadable as refused:
            return Refused(found=shown(typed), accepted=refused.accepted)
        return report.label(journal, site_id, number, egg_days, by)
    says = {"undo": report.undo, "confirm": report.confirm, "over": report.over}.get(do)
    if says:
        return says(journal, site_id, number, by)
    return report.end(journal, site_id, number, visit.today, by)
