"""`duskfold weather`: what the keeper knows and no average can: heat, frost, storm, a predator."""

from dataclasses import replace

from scheduler.cares import reasons
from scheduler.cares.changed import effect_of
from scheduler.cares.climate_told import map_off
from scheduler.cares.records import WEATHER_KINDS
from scheduler.cares.report_words import words_of
from scheduler.cli.compose import Session
from scheduler.cli.faults import go_on_after
from scheduler.cli.screens import measured
from scheduler.cli.screens.facts import done_facts
from scheduler.cli.screens.measured import ToldMeasured
from scheduler.cli.screens.said_of_reports import Desk, change, facts, listed
from scheduler.cli.screens.tables import as_json, wrapped
from scheduler.climate.curve import ClimateSource, averages
from scheduler.profile.problem import nearest
from scheduler.service.measured import last_of_each, line_of
from scheduler.service.reports.emergencies import to_do_at_once
from scheduler.service.reports.read_report import WITH_AIR, ToldReport, odd, read_report
from scheduler.service.reports.report import make, records
from scheduler.service.weather import outlook
from scheduler.service.weather.agreed import attributions
from scheduler.service.weather.last_forecast import last_forecast, why_no_forecast
from scheduler.service.weather.warned import quoted, warnings_of
from scheduler.service.weather_asked import around
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.refusals import RefusalHints
from scheduler.wording.cli.said import ReportsScreen, WeatherScreen
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import Words

_USUAL: dict[ClimateSource, Words] = {
    "as given": WeatherScreen.usual,
    "from the climate map": WeatherScreen.usual_mapped,
    "estimated from latitude": WeatherScreen.usual_estimated,
}
_CHANGES = ("end", "over", "undo", "confirm", "again")
_WORDS = (*WEATHER_KINDS, measured.WORD, *_CHANGES)
_OPTIONS = {"first": "--from", "last": "--to", "link": "--link", "who": "--who"}


def run(  # noqa: PLR0913 - what the command line said
    session: Session,
    what: str | None,
    detail: str,
    told: ToldReport,
    *,
    measured_by: ToldMeasured,
    by: str | None,
    sure: bool,
    json: bool,
) -> None:
    """Lists, makes, ends, confirms or undoes a report, or takes that back.

    `detail` is the grade of a predator's visit, the air of another report or of a measurement, or a
    report's number.
    """
    desk = Desk.of(session, "weather", by, json=json)
    if what == measured.WORD:
        measured.keep(desk, detail, measured_by, told)
        return
    measured.refuse_options(desk, measured_by)
    if what is None:
        desk.typed.end_if_wrong()
        _show(desk)
    elif what in _CHANGES:
        change(desk, what, detail, told.last)
    elif what in WEATHER_KINDS:
        of_kind = {"grade": detail} if what == "predator" else {"air": detail}
        _make(desk, replace(told, **of_kind), sure=sure)
    else:
        desk.refuse_word(Metavar.what(), what, in_a_row(_WORDS), nearest(what, _WORDS))


def _make(desk: Desk, told: ToldReport, *, sure: bool) -> None:
    household = desk.household
    report = read_report(told, household.profile.site.region, desk.today)
    if isinstance(report, tuple):
        hint = "" if told.kind in WITH_AIR else RefusalHints.give_days()
        desk.refuse_all(report, _OPTIONS, told.kind, {"air": hint})
    desk.typed.end_if_wrong()
    if not sure and (question := odd(report, household.profile.units)):
        go_on_after(question)
    now = desk.session.now
    with desk.session.journal() as journal:
        others = records(journal, household, around(desk.today))
        report = replace(report, said_by=desk.by, made_at=now)
        number = make(journal, desk.site_id, report, now, desk.speaker.person_id)
        urgent = to_do_at_once(journal, household, report, now)
    effect = effect_of(report, others, household.profile, household.catalogue, desk.today, now=now)
    if desk.json:
        print(as_json(facts(number, report) | done_facts("noted") | {"changes": list(effect)}))
        return
    noted = ReportsScreen.noted(number=number, report=words_of(household.profile, report))
    print(wrapped(noted))
    for line in (*urgent, *effect):
        print(wrapped(line, indent=2))
    print(WeatherScreen.calendars())


def _show(desk: Desk) -> None:
    profile, today, now = desk.household.profile, desk.today, desk.session.now
    with desk.session.journal() as journal:
        every = journal.reports(desk.site_id)
        known = records(journal, desk.household, around(today))
        shown = last_of_each(journal, profile, now)
    reports = {number: one for number, one in every.items() if one.kind in WEATHER_KINDS}
    coming = outlook.coming(profile, known, now)
    if desk.json:
        listed_facts = [facts(number, each) for number, each in reports.items()]
        of_air = {
            "weather": outlook.outlook_facts(coming),
            "last_forecast": last_forecast(known.weather),
            "measured": [measured.facts(*one) for one in shown],
        }
        print(as_json({"reports": listed_facts} | of_air))
        return
    print(listed(desk.household, reports) or WeatherScreen.none())
    if len(reports) < len(every):
        print(WeatherScreen.of_birds())
    for number, report in reports.items():
        if report.is_long_unconfirmed(today):
            print(WeatherScreen.still_in_force(number=number))
    print()
    yearly = averages(profile)
    usual = reasons.usual_air(yearly, today, profile.units)
    lines = (
        *map(quoted, warnings_of(known, today, now)),
        *outlook.night_and_day(profile, coming),
        *(line_of(profile, *one, now) for one in shown),
        _USUAL[yearly.source](usual=usual, off=map_off(yearly, profile.units)),
        why_no_forecast(profile, known, now),
        *(said for said, _ in attributions(profile)),
    )
    for line in filter(None, lines):
        print(wrapped(line))
