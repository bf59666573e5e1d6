"""`duskfold weather`: what the keeper knows and no average can: heat, frost, storm, a predator."""

import sys
from dataclasses import dataclass, replace
from datetime import date
from typing import NoReturn

from scheduler.cares import reasons
from scheduler.cares.changed import effect_of
from scheduler.cares.records import Report
from scheduler.cares.reported import read_day, report_words
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, complain, go_on_after
from scheduler.cli.screens.speaker import speaker
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.climate.curve import averages
from scheduler.profile.problem import Problem, Unreadable, dotted, nearest
from scheduler.service.open_profile import Household
from scheduler.service.read_report import KINDS, WITH_AIR, ToldReport, odd, read_report
from scheduler.service.report import (
    Already,
    NoSuchReport,
    Refused,
    Speaker,
    again,
    confirm,
    end,
    make,
    over,
    records,
    undo,
)

_CHANGES = {
    "end": "Ended",
    "over": "Over",
    "undo": "Taken back",
    "confirm": "Still in force",
    "again": "As it was before",
}
_SAYS = {"over": over, "confirm": confirm, "again": again, "undo": undo}
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
    by: str | None = None
    sure: bool = False


def run(session: Session, told: Told, *, json: bool) -> None:
    """Lists, makes, ends, confirms or undoes a report, or takes that back."""
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
    detail, by = told.detail or "", _by(household, told)
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
        go_on_after(question)
    with session.journal() as journal:
        others = records(journal, household)
        report = replace(report, said_by=by, made_at=session.now)
        number = make(journal, site.id, report, session.now)
    effect = effect_of(report, others, household.profile, household.catalogue, today)
    if json:
        print(as_json(_facts(number, report) | {"done": "noted", "changes": list(effect)}))
        return
    print(f"Noted as {number}: {_said(household, report)}.")
    for line in effect:
        print(wrapped(line, indent=2))
    print("Subscribed calendars follow by themselves, files when you run `duskfold feed`.")


def _refusal(problem: Problem, kind: str) -> str:
    key, hint = dotted(problem.key), problem.hint
    if key == "air" and kind not in WITH_AIR:
        hint = "Days are given with --from and --to."
    return _sentence(_OPTIONS.get(key, kind), problem.found, problem.accepted, hint)


def _change(session: Session, household: Household, told: Told, today: date, *, json: bool) -> None:
    what, detail, site_id = str(told.what), told.detail or "", household.profile.site.id
    if not detail.isdecimal():
        _refuse(what, f'"{detail or "nothing"}"', "the number of a report (duskfold weather)")
    number = int(detail)
    by = Speaker(who=_by(household, told), now=session.now, today=today)
    with session.journal() as journal:
        if what == "end":
            result = end(journal, site_id, number, _last_day(told.last, today), by)
        else:
            result = _SAYS[what](journal, site_id, number, by)
    if isinstance(result, NoSuchReport):
        _refuse(what, f'"{detail}"', ", ".join(map(str, result.known)) or "none is in force")
    if isinstance(result, Refused):
        _refuse(what, result.found, result.accepted, result.hint)
    if isinstance(result, Already):
        _tell(household, number, result.report, "Nothing was changed", json=json)
        return
    _tell(household, number, result, _CHANGES[what], json=json)
    if what != "again" and not json:
        print(f"If that was wrong: duskfold weather again {number}")
    if what in {"end", "over", "undo"} and not json:
        _tell_what_still_holds(session, household, result, today)


def _tell_what_still_holds(
    session: Session, household: Household, gone: Report, today: date
) -> None:
    """Says that another housing order holds longer than the one that was ended or taken back."""
    if gone.kind != "order":
        return
    with session.journal() as journal:
        reports = journal.reports(household.profile.site.id)
    for number, other in reports.items():
        end = other.spell.last
        lasts = end is None or (end >= today and end > (gone.spell.last or today))
        if other.kind == "order" and other != gone and lasts:
            print(wrapped(f"Order {number} still holds: {_said(household, other)}."))


def _tell(household: Household, number: int, report: Report, word: str, *, json: bool) -> None:
    if json:
        print(as_json(_facts(number, report) | {"done": word.lower()}))
    else:
        print(f"{word}: {_said(household, report)}.")


def _by(household: Household, told: Told) -> str:
    return speaker(f"weather {told.what}", household.profile, told.by)


def _show(session: Session, household: Household, *, json: bool) -> None:
    profile, today = household.profile, household.today(session.now)
    with session.journal() as journal:
        reports = journal.reports(profile.site.id)
    if json:
        print(as_json({"reports": [_facts(number, each) for number, each in reports.items()]}))
        return
    rows = [
        (str(number), _said(household, report), report.said_by)
        for number, report in reports.items()
    ]
    if rows:
        print(table(rows, ("no.", "reported", "by")))
    else:
        print("Nothing is reported.")
    for number, report in reports.items():
        if report.is_long_unconfirmed(today):
            print(
                f"Is {number} still in force? Yes: duskfold weather confirm {number}. "
                f"No: duskfold weather end {number}."
            )
    yearly = averages(profile)
    usual = reasons.usual_air(yearly, today, profile.units)
    guess = " (estimated from latitude)" if yearly.estimated else ""
    print(
        f"Average at this time of the year: {usual}{guess}. "
        "Duskfold knows no forecast: it goes by these until you tell it more."
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
        "by": report.said_by or None,
        "confirmed_on": report.confirmed_on.isoformat() if report.confirmed_on else None,
    }


def _said(household: Household, report: Report) -> str:
    return report_words(report, household.profile.units)


def _last_day(text: str | None, today: date) -> date:
    try:
        return today if text is None else read_day(text, today)
    except Unreadable as unreadable:
        _refuse("--to", f'"{text}"', unreadable.accepted, unreadable.hint)


def _refuse(option: str, found: str, accepted: str, hint: str = "") -> NoReturn:
    complain(_sentence(option, found, accepted, hint))
    sys.exit(CANNOT_USE)


def _sentence(option: str, found: str, accepted: str, hint: str) -> str:
    return f"duskfold weather: {option}: found {found}; accepted: {accepted}. {hint}".rstrip()
