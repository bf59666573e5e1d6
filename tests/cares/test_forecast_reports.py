"""What a forecast reports by itself: of one day, by its service, and for whom it rings."""

from dataclasses import replace
from datetime import UTC, date, datetime

import pytest

from scheduler.cares.decided import DecidedDay
from scheduler.cares.forecast_reports import LOUD_STORM, SNOW, STORM, forecast_reports
from scheduler.cares.records import Records, Report, Spell
from scheduler.climate.forecast import OfficialWarning
from scheduler.climate.weather import Reading
from tests.weather_decided import DECIDED_AT, decided

DAY = date(2026, 12, 21)
TOLD_AT = datetime(2026, 12, 20, 13, tzinfo=UTC)
LOUD = (HOT := "heat:high:33:81:emergency", LOUD_STORM, "warned:storm:emergency")


def day_of(*signs: str, stood: tuple[str, ...] = (), since: datetime | None = None) -> DecidedDay:
    told = Reading(value=24.0, source="forecast", at=TOLD_AT, by="us-nws")
    found = decided(DAY)
    high_c = replace(told, value=34.6, by="met-norway")
    weather = replace(found.weather, gust_m_s=told, snow_cm=replace(told, value=5.0), high_c=high_c)
    return replace(
        found,
        weather=weather,
        signs=frozenset(signs),
        stood=frozenset(stood),
        told_since=() if since is None else tuple((sign, since) for sign in LOUD if sign in signs),
    )


def reports(found: DecidedDay) -> list[Report]:
    return list(forecast_reports([found]))


def test_a_usual_day_reports_nothing() -> None:
    assert reports(day_of("frost:low:0", "heat:high:27")) == []


def test_heat_that_kills_is_told_with_its_degrees_by_its_service_since_it_was_decided() -> None:
    (heat,) = reports(day_of(HOT, since=TOLD_AT))
    assert (heat.kind, heat.air_c, heat.said_by) == ("heat", 35, "MET Norway")
    assert (heat.spell, heat.made_at) == (Spell(first=DAY, last=DAY), TOLD_AT)
    assert heat.forecast
    assert heat.rings
    found = day_of(HOT, since=TOLD_AT)
    high_c = replace(found.weather.high_c, told=36.8)  # blended with the year it is less
    (heat,) = reports(replace(found, weather=replace(found.weather, high_c=high_c)))
    assert heat.air_c == 37
    assert reports(day_of(HOT)) == []  # too far ahead to have been told


@pytest.mark.parametrize(
    ("signs", "since", "kind", "rings"),
    [
        ((STORM,), None, "storm", False),
        ((STORM, LOUD_STORM), TOLD_AT, "storm", True),
        ((STORM, LOUD_STORM), None, "storm", False),
        ((SNOW,), None, "snow", False),
    ],
)
def test_storm_and_snow_make_jobs_and_only_a_grave_storm_rings(
    signs: tuple[str, ...], since: datetime | None, kind: str, rings: bool
) -> None:
    (one,) = reports(day_of(*signs, since=since))
    assert (one.kind, one.rings, one.said_by) == (kind, rings, "the US National Weather Service")
    assert one.made_at == (since or DECIDED_AT)
    stood = replace(day_of(*signs, since=since), signs=frozenset(), stood=frozenset(signs))
    assert reports(stood) == [one]


def test_a_warning_is_told_as_its_sender_has_worded_it() -> None:
    warning = OfficialWarning(
        id="1",
        kind="storm",
        event="High Wind Warning",
        headline="High Wind Warning until 8 pm",
        sender="NWS Gray ME",
        onset=TOLD_AT,
        ends=TOLD_AT,
    )
    found = day_of("warned:storm", "warned:storm:emergency", since=TOLD_AT)
    (one,) = reports(replace(found, weather=replace(found.weather, warnings=(warning,))))
    assert (one.kind, one.said_by, one.rings) == ("storm", "NWS Gray ME", True)
    (cancelled,) = reports(found)  # its job stays for the day, in nobody's name
    assert (cancelled.kind, cancelled.said_by) == ("storm", "")


def test_a_plan_without_weather_is_without_its_reports() -> None:
    told = Report(kind="storm", spell=Spell(first=DAY, last=DAY))
    found = day_of(STORM)
    known = Records(reports=(told, *reports(found)), weather=(found,))
    assert known.without_weather == Records(reports=(told,))
