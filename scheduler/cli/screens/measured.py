"""`duskfold weather measured`: what the keeper's own thermometer shows now."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from scheduler.cli.screens.facts import done_facts
from scheduler.cli.screens.said_of_reports import Desk
from scheduler.cli.screens.tables import as_json, wrapped
from scheduler.climate.forecast import Measured
from scheduler.profile.problem import Problem
from scheduler.service.measured import read_measured, thermometers, values_of
from scheduler.service.reports.read_report import ToldReport
from scheduler.wording.cli.refusals import FoundThere
from scheduler.wording.cli.said import MeasuredScreen
from scheduler.wording.service.measured import MeasuredAccepted, MeasuredHints

WORD = "measured"


@dataclass(frozen=True, slots=True, kw_only=True)
class ToldMeasured:
    """The options of a measurement as typed; empty and None: not given."""

    humidity: str = ""
    sensor: str | None = None


def keep(desk: Desk, air: str, told: ToldMeasured, of_report: ToldReport) -> None:
    """Keeps what was measured now; ends with everything that is wrong."""
    profile, now = desk.household.profile, desk.session.now
    for option, given in _given(of_report).items():
        desk.typed.refuse_word(option, given, MeasuredAccepted.nothing(), MeasuredHints.of_now())
    known = thermometers(profile)
    sensor = desk.typed.one_of("--sensor", told.sensor, known) or known[0]
    found = read_measured(air, told.humidity, profile.units, profile.site.region, now)
    if isinstance(found, tuple):
        desk.refuse_all(tuple(map(_found, found)), {"humidity": "--humidity"}, WORD)
    desk.typed.end_if_wrong()
    with desk.session.journal() as journal:
        journal.keep_measured(desk.site_id, sensor.id, found)
    if desk.json:
        print(as_json(facts(sensor.id, found) | done_facts("noted")))
        return
    values = values_of(found, profile.units)
    print(wrapped(MeasuredScreen.noted(values=values, sensor=sensor.name)))


def refuse_options(desk: Desk, told: ToldMeasured) -> None:
    """Refuses what belongs to a measurement where none is made."""
    given = {"--humidity": told.humidity, "--sensor": told.sensor or ""}
    for option, text in given.items():
        if text:
            nothing, hint = MeasuredAccepted.nothing(), MeasuredHints.only_measured()
            desk.typed.refuse_word(option, text, nothing, hint)


def _found(problem: Problem) -> Problem:
    """The problem; where nothing stands, nothing was found."""
    return problem if problem.found.strip('" ') else replace(problem, found=FoundThere.nothing())


def _given(told: ToldReport) -> Mapping[str, str]:
    options = {"--from": told.first, "--to": told.last, "--link": told.link, "--who": told.who}
    return {option: text for option, text in options.items() if text}


def facts(sensor_id: str, measured: Measured) -> dict[str, object]:
    """The JSON of what was measured."""
    humidity = None if measured.humidity is None else round(measured.humidity * 100, 2)
    return {
        "sensor": sensor_id,
        "at": measured.at,
        "air_c": round(measured.air_c, 2),
        "humidity_percent": humidity,
    }
