"""`duskfold weather`: what the keeper knows and no average can: heat, frost, storm, a predator."""

import sys
from dataclasses import dataclass
from datetime import date, timedelta
from typing import NoReturn, get_args

from scheduler.cares import reasons
from scheduler.cares.records import PREDATOR_DAYS, Report, ReportKind, Spell
from scheduler.cli.compose import Session
from scheduler.cli.faults import CANNOT_USE, complain
from scheduler.cli.screens.tables import as_json, table
from scheduler.climate.curve import averages
from scheduler.profile.problem import Unreadable, nearest
from scheduler.profile.units import read_quantity, write_quantity
from scheduler.profile.values import Profile
from scheduler.service.open_profile import Household
from scheduler.service.report import NoSuchReport, end, make, undo

KINDS: tuple[ReportKind, ...] = get_args(ReportKind)
_WORDS = (*KINDS, "end", "undo")
_DAY = timedelta(days=1)
_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri", "sat", "sun")
_LEADS_TO: dict[ReportKind, str] = {
    "heat": "Shade, cool water and midday looks are in the plan.",
    "frost": "Ice looks are in the plan.",
    "snow": "Clearing snow off roof, netting and door track is in the plan.",
    "storm": "No free range on these days; netting and roofs are in the plan.",
    "predator": (
        f"No free range for {PREDATOR_DAYS} days, lock-up by ten minutes after sunset, and the "
        "fence is in the plan."
    ),
    "order": (
        "No free range until it ends. Feed and water under cover; the order itself says what binds "
        "you."
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """What the command line said."""

    what: str | None
    detail: str | None
    first: str | None
    last: str | None
    link: str
    who: str


def run(session: Session, told: Told, *, json: bool) -> None:
    """Lists, makes, ends or undoes a report."""
    household = session.household()
    today = household.today(session.now)
    if told.what is None:
        _show(session, household, json=json)
    elif told.what in {"end", "undo"}:
        _change(session, household, told, today)
    elif told.what in KINDS:
        _make(session, household, told, today)
    else:
        _refuse("WHAT", told.what, ", ".join(_WORDS), nearest(told.what, _WORDS))


def _make(session: Session, household: Household, told: Told, today: date) -> None:
    kind: ReportKind = told.what  # type: ignore[assignment] # run() has looked
    profile = household.profile
    first = _day(told.first, today, "--from") or today
    open_ended = kind == "order"
    last = _day(told.last, first, "--to") or (None if open_ended else first)
    if last is not None and last < first:
        _refuse("--to", str(last), f"a day from {first} on")
    air_c = _temperature(told.detail, kind, profile) if told.detail else None
    report = Report(
        kind=kind, spell=Spell(first=first, last=last), air_c=air_c, link=told.link, who=told.who
    )
    with session.journal() as journal:
        number = make(journal, profile.site.id, report, session.now)
    print(f"Noted as {number}: {_said(report, profile)}. {_LEADS_TO[kind]}")
    print("Run `duskfold feed` to bring your calendars up to date.")


def _change(session: Session, household: Household, told: Told, today: date) -> None:
    detail = told.detail or ""
    if not detail.isdecimal():
        _refuse(str(told.what), detail or "nothing", "the number of a report (duskfold weather)")
    number, site_id = int(detail), household.profile.site.id
    with session.journal() as journal:
        if told.what == "end":
            last = _day(told.last, today, "--to") or today
            done = end(journal, site_id, number, last)
        else:
            done = undo(journal, site_id, number, session.now)
    if isinstance(done, NoSuchReport):
        known = ", ".join(map(str, done.known)) or "none is in force"
        _refuse(str(told.what), detail, known)
    word = "Ended" if told.what == "end" else "Taken back"
    print(f"{word}: {_said(done, household.profile)}.")


def _show(session: Session, household: Household, *, json: bool) -> None:
    profile, today = household.profile, household.today(session.now)
    with session.journal() as journal:
        reports = journal.reports(profile.site.id)
    if json:
        print(as_json({"reports": [_facts(number, each) for number, each in reports.items()]}))
        return
    rows = [(str(number), _said(report, profile)) for number, report in reports.items()]
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
        "from": report.spell.first.isoformat(),
        "to": report.spell.last.isoformat() if report.spell.last else None,
        "air_c": report.air_c,
        "link": report.link,
        "who": report.who,
    }


def _said(report: Report, profile: Profile) -> str:
    spell = report.spell
    text: str = "disease order" if report.kind == "order" else report.kind
    if report.air_c is not None:
        text += f" of {write_quantity(report.air_c, 'temperature', profile.units)}"
    if spell.last == spell.first:
        text += f" on {_date(spell.first)}"
    else:
        until = f" to {_date(spell.last)}" if spell.last else " until further notice"
        text += f" from {_date(spell.first)}{until}"
    text += f", binds {report.who}" if report.who else ""
    return text + (f" ({report.link})" if report.link else "")


def _date(day: date) -> str:
    return f"{day:%a} {day.day} {day:%b}"


def _temperature(detail: str, kind: ReportKind, profile: Profile) -> float:
    if kind not in {"heat", "frost"}:
        _refuse(kind, detail, "no temperature here", "Days are given with --from and --to.")
    try:
        return read_quantity(detail, "temperature", profile.site.region)
    except Unreadable as unreadable:
        _refuse(kind, detail, unreadable.accepted, unreadable.hint)


def _day(text: str | None, since: date, option: str) -> date | None:
    """A date, today, tomorrow, or the next such weekday on or after `since`."""
    if text is None:
        return None
    word = text.strip().lower()
    if word in {"today", "tomorrow"}:
        return since + (_DAY if word == "tomorrow" else timedelta())
    if word[:3] in _WEEKDAYS and word.isalpha():
        ahead = (_WEEKDAYS.index(word[:3]) - since.weekday()) % 7
        return since + ahead * _DAY
    try:
        return date.fromisoformat(word)
    except ValueError:
        _refuse(option, text, "a date such as 2026-12-21, a weekday, today, tomorrow")


def _refuse(option: str, found: str, accepted: str, hint: str = "") -> NoReturn:
    complain(f'duskfold weather: {option}: found "{found}"; accepted: {accepted}. {hint}'.rstrip())
    sys.exit(CANNOT_USE)
