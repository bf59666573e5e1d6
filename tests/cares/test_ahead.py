"""What the heads-up of an evening tells of the next day: what a forecast asks for, and no more."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from scheduler.cares.ahead import Ahead, ahead
from scheduler.cares.catalogue import Catalogue
from scheduler.cares.decided import DecidedDay
from scheduler.cares.forecast_reports import STORM, forecast_reports
from scheduler.cares.plan import plan
from scheduler.cares.records import Records, Report, Spell
from scheduler.climate.forecast import OfficialWarning
from scheduler.climate.weather import Reading
from scheduler.profile.values import Profile
from tests.weather_decided import DECIDED_AT, decided

DAY = date(2026, 5, 3)


def told(
    profile: Profile, catalogue: Catalogue, found: DecidedDay, reports: Sequence[Report] = ()
) -> list[Ahead]:
    records = Records(weather=(found,), reports=(*reports, *forecast_reports([found])))
    planned = plan(profile, records, DAY, DAY, catalogue).days[0]
    return list(ahead(planned, catalogue, found))


def with_signs(*signs: str, low_c: float = -2.6) -> DecidedDay:
    return replace(decided(DAY, low_c), signs=frozenset(signs))


def test_frost_is_told_with_whole_degrees_and_its_jobs(
    small: Profile, catalogue: Catalogue
) -> None:
    (one,) = told(small, catalogue, with_signs("frost:low:0"))
    assert one == Ahead("frost", -3.0, ("Ice: free the drinkers",))


def test_a_mild_night_is_not_told(small: Profile, catalogue: Catalogue) -> None:
    assert told(small, catalogue, with_signs(low_c=8.0)) == []
    stood = replace(with_signs(low_c=4.0), stood=frozenset({"frost:low:0"}))
    assert told(small, catalogue, stood) == []


def test_what_the_year_alone_asks_for_is_not_a_forecast(
    small: Profile, catalogue: Catalogue
) -> None:
    found = with_signs("frost:low:0")
    usual = Reading(value=-2.6, sd=4.0)
    found = replace(found, weather=replace(found.weather, low_c=usual, high_c=usual))
    assert told(small, catalogue, found) == []


def test_a_storm_is_told_by_whom_it_is_forecast_and_not_where_a_keeper_reported_it(
    small: Profile, catalogue: Catalogue
) -> None:
    breeze = with_signs(low_c=8.0)
    gust = Reading(value=8.0, source="forecast", at=DECIDED_AT)
    breeze = replace(breeze, weather=replace(breeze.weather, gust_m_s=gust))
    reported = Report(kind="storm", spell=Spell(first=DAY, last=DAY), made_at=DECIDED_AT)
    assert told(small, catalogue, breeze, [reported]) == []
    storm = replace(breeze, signs=frozenset({STORM}))
    (one,) = told(small, catalogue, storm)
    assert (one.kind, one.air_c) == ("storm", None)
    assert one.jobs[0].startswith("Storm: ")


def test_a_storm_warning_is_told(small: Profile, catalogue: Catalogue) -> None:
    warning = OfficialWarning(
        id="1",
        kind="storm",
        event="Wind Advisory",
        headline="",
        sender="NWS",
        onset=DECIDED_AT,
        ends=DECIDED_AT,
    )
    found = with_signs("warned:storm", low_c=8.0)
    found = replace(found, weather=replace(found.weather, warnings=(warning,)))
    assert [one.kind for one in told(small, catalogue, found)] == ["storm"]
