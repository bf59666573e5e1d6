"""`duskfold weather`: what the keeper knows and no average can: heat, frost, storm, a predator."""

import sys
from dataclasses import dataclass
from datetime import date
from typing import NoReturn

from scheduler.cares import reasons
from scheduler.cares.changed import effect_of
from scheduler.cares.records import Report
from scheduler.cares.reported import read_day, report_words
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.climate.curve import averages
from scheduler.profile.problem import Problem, Unreadable, dotted, nearest
from scheduler.service.open_profile import Household
from scheduler.service.read_report import KINDS, WITH_AIR, ToldReport, odd, read_report
from scheduler.service.report import NoSuchReport, confirm, end, make, records, undo

_CHANGES = {"end": "Ended", "undo": "Taken back", "confirm": "Still in force"}
_WORDS = (*KINDS, *_CHANGES)
_OPTIONS = {"first": "--from", "last": "--to", "link": "--link", "who": "--who"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the command line said."""

    what: str | None
    detail: str | None
    first: str | None
    last: str | None
    link: str
    who: str
    sure: bool = False


def run(session: Session, told: Told, *, json: bool) -> None:
    """Lists, makes, ends, confirms or undoes a report."""
    household = session.household()
    today = household.today(session.now)
    if told.what is None:
        _show(session, household, json=json)
    elif told.what in _CHANGES:
        _change(session, household, told, today, json=json)
    elif told.what in KINDS:
        _make(session, household, told, today, json=json)
    else:
        _refuse("WHAT", f'"{told.what}"', ", ".join(_WORDS), nearest(told.what, _WORDS))


def _make(session: Session, household: Household, told: Told, today: date, *, json: bool) -> None:
    kind, site = str(told.what), household.profile.site
    detail = told.detail or ""
    written = ToldReport(
        kind=kind,
        first=told.first,
        last=told.last,
        grade=detail if kind == "predator" else "",
        air="" if kind == "predator" else detail,
        link=told.link,
        who=told.who,
    )
    report = read_report(written, site.region, today)
    if isinstance(report, tuple):
        complain(*(_refusal(problem, kind) for problem in report))
        sys.exit(CANNOT_USE)
    if not told.sure and (question := odd(report, household.profile.units)):
        _ask(question)
    with session.journal() as journal:
        others = records(journal, household)
        number = make(journal, site.id, report, session.now)
    effect = effect_of(report, others, household.profile, household.catalogue, today)
    if json:
        print(as_json(_facts(number, report) | {"done": "noted", "changes": list(effect)}))
        return
    print(f"Noted as {number}: {_said(household, report)}.")
    for line in effect:
        print(wrapped(line, indent=2))
    print("Subscribed calendars follow by themselves, files when you run `duskfold feed`.")


def _ask(question: str) -> None:
    """Goes on only on a yes; where nobody can be asked, --yes is one."""
    if not sys.stdin.isatty():
        complain(f"duskfold weather: {question} If so, say it again with --yes.")
        sys.exit(CANNOT_USE)
    try:
        answer = input(f"{question} Type yes to note it: ")
    except EOFError:
        answer = ""
    if answer.strip().lower() not in {"y", "yes"}:
        print("Nothing was noted.")
        sys.exit(0)


def _refusal(problem: Problem, kind: str) -> str:
    key, hint = dotted(problem.key), problem.hint
    if key == "air" and kind not in WITH_AIR:
        hint = "Days are given with --from and --to."
    return _sentence(_OPTIONS.get(key, kind), problem.found, problem.accepted, hint)


def _change(session: Session, household: Household, told: Told, today: date, *, json: bool) -> None:
    detail = told.detail or ""
    if not detail.isdecimal():
        _refuse(
            str(told.what), f'"{detail or "nothing"}"', "the number of a report (duskfold weather)"
        )
    number, site_id = int(detail), household.profile.site.id
    with session.journal() as journal:
        if told.what == "end":
            last = _last_day(told.last, today)
            done = end(journal, site_id, number, last)
        elif told.what == "confirm":
            done = confirm(journal, site_id, number, today)
        else:
            done = undo(journal, site_id, number, session.now)
    if isinstance(done, NoSuchReport):
        known = ", ".join(map(str, done.known)) or "none is in force"
        _refuse(str(told.what), f'"{detail}"', known)
    word = _CHANGES[str(told.what)]
    if json:
        print(as_json(_facts(number, done) | {"done": word.lower()}))
        return
    print(f"{word}: {_said(household, done)}.")


def _show(session: Session, household: Household, *, json: bool) -> None:
    profile, today = household.profile, household.today(session.now)
    with session.journal() as journal:
        reports = journal.reports(profile.site.id)
    if json:
        print(as_json({"reports": [_facts(number, each) for number, each in reports.items()]}))
        return
    rows = [(str(number), _said(household, report)) for number, report in reports.items()]
    if rows:
        print(table(rows, ("no.", "reported")))
    else:
        print("Nothing is reported.")
    yearly = averages(profile)
    usual = reasons.usual_air(yearly, today, profile.units)
    guess = " (estimated from latitude)" if yearly.estimated else ""
    print(
        f"Average at this time of the year: {usual}{guess}. "
        "What is coming nobody has told Duskfold: it knows no forecast."
    )


def _facts(number: int, report: Report) -> dict[str, object]:
    return {
        "number": number,
        "kind": report.kind,
        "grade": report.grade,
        "from": report.spell.first.isoformat(),
        "to": report.spell.last.isoformat() if report.spell.last else None,
        "air_c": report.air_c,
        "link": report.link,
        "who": report.who,
        "confirmed_on": report.confirmed_on.isoformat() if report.confirmed_on else None,
    }


def _said(household: Household, report: Report) -> str:
    return report_words(report, household.profile.units)


def _last_day(text: str | None, today: date) -> date:
    try:
        return today if text is None else read_day(text, today)
    except Unreadable as unreadable:
        _refuse("--to", f'"{text}"', unreadable.accepted)


def _refuse(option: str, found: str, accepted: str, hint: str = "") -> NoReturn:
    complain(_sentence(option, found, accepted, hint))
    sys.exit(CANNOT_USE)


def _sentence(option: str, found: str, accepted: str, hint: str) -> str:
    return f"duskfold weather: {option}: found {found}; accepted: {accepted}. {hint}".rstrip()
