"""`duskfold weather`: what the keeper knows and no average can: heat, frost, storm, a predator."""

from dataclasses import dataclass, replace

from scheduler.cares import reasons
from scheduler.cares.changed import effect_of
from scheduler.cares.records import WEATHER_KINDS
from scheduler.cli.compose import Session
from scheduler.cli.faults import go_on_after
from scheduler.cli.screens.said_of_reports import Desk, change, facts, said
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.climate.curve import averages
from scheduler.profile.problem import Problem, dotted, nearest
from scheduler.service.reports.emergencies import to_do_at_once
from scheduler.service.reports.read_report import WITH_AIR, ToldReport, odd, read_report
from scheduler.service.reports.report import make, records

_CHANGES = ("end", "over", "undo", "confirm", "again")
_WORDS = (*WEATHER_KINDS, *_CHANGES)
_OPTIONS = {"first": "--from", "last": "--to", "link": "--link", "who": "--who"}


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherTyped:
    """What the command line said."""

    what: str | None
    detail: str | None
    first: str | None
    last: str | None
    link: str
    who: str
    by: str | None = None
    sure: bool = False


def run(session: Session, told: WeatherTyped, *, json: bool) -> None:
    """Lists, makes, ends, confirms or undoes a report, or takes that back."""
    desk = Desk.of(session, "weather", told.by, json=json)
    if told.what is None:
        _show(desk)
    elif told.what in _CHANGES:
        change(desk, told.what, told.detail or "", told.last)
    elif told.what in WEATHER_KINDS:
        _make(desk, told)
    else:
        desk.refuse("WHAT", f'"{told.what}"', ", ".join(_WORDS), nearest(told.what, _WORDS))


def _make(desk: Desk, told: WeatherTyped) -> None:
    kind, household = str(told.what), desk.household
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
    report = read_report(written, household.profile.site.region, desk.today)
    if isinstance(report, tuple):
        for problem in report:
            _refuse(desk, problem, kind)
        desk.typed.give_up()
    desk.typed.end_if_wrong()
    if not told.sure and (question := odd(report, household.profile.units)):
        go_on_after(question)
    now = desk.session.now
    with desk.session.journal() as journal:
        others = records(journal, household)
        report = replace(report, said_by=desk.by, made_at=now)
        number = make(journal, desk.site_id, report, now)
        urgent = to_do_at_once(journal, household, report, now)
    effect = effect_of(report, others, household.profile, household.catalogue, desk.today)
    if desk.json:
        print(as_json(facts(number, report) | {"done": "noted", "changes": list(effect)}))
        return
    print(f"Noted as {number}: {said(household, report)}.")
    for line in (*urgent, *effect):
        print(wrapped(line, indent=2))
    print("Subscribed calendars follow by themselves, files when you run `duskfold feed`.")


def _refuse(desk: Desk, problem: Problem, kind: str) -> None:
    key, hint = dotted(problem.key), problem.hint
    if key == "air" and kind not in WITH_AIR:
        hint = "Days are given with --from and --to."
    desk.typed.refuse(_OPTIONS.get(key, kind), problem.found, problem.accepted, hint)


def _show(desk: Desk) -> None:
    profile, today = desk.household.profile, desk.today
    with desk.session.journal() as journal:
        every = journal.reports(desk.site_id)
    reports = {number: one for number, one in every.items() if one.kind in WEATHER_KINDS}
    if desk.json:
        print(as_json({"reports": [facts(number, each) for number, each in reports.items()]}))
        return
    rows = [
        (str(number), said(desk.household, report), report.said_by)
        for number, report in reports.items()
    ]
    print(table(rows, ("no.", "reported", "by")) if rows else "Nothing is reported.")
    if len(reports) < len(every):
        print("Of the birds: duskfold birds.")
    for number, report in reports.items():
        if report.is_long_unconfirmed(today):
            print(
                f"Is {number} still in force? Yes: duskfold weather confirm {number}. "
                f"No: duskfold weather over {number}."
            )
    yearly = averages(profile)
    usual = reasons.usual_air(yearly, today, profile.units)
    guess = " (estimated from latitude)" if yearly.estimated else ""
    print(
        f"Average at this time of the year: {usual}{guess}. "
        "Duskfold knows no forecast: it goes by these until you tell it more."
    )
