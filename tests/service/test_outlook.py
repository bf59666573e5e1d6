"""Each value of a day's weather is told with where it is from, and how old it is once it is old."""

from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.decided import DecidedDay
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records, Report, Spell
from scheduler.climate.forecast import OfficialWarning
from scheduler.climate.weather import Reading
from scheduler.profile.quantity import NO_BREAK
from scheduler.profile.values import Profile
from scheduler.service.weather import outlook
from scheduler.service.weather.last_forecast import last_forecast, lost_since, why_no_forecast
from scheduler.service.weather.warned import quoted, warnings_of
from tests.conftest import SMALL, declared
from tests.weather_decided import decided

DAY = timedelta(days=1)
TODAY = date(2026, 12, 20)
MADE = datetime(2026, 12, 20, 14, tzinfo=UTC)
NOW = datetime(2026, 12, 20, 16, tzinfo=UTC)
YES = SMALL + '[forecast]\nsources = ["met-norway"]\ncontact = "sam@example.org"\n'
IN_FAHRENHEIT = SMALL.replace('region = "UK"', 'region = "US"')


def known(day: date, *, at: datetime = MADE, low_c: float = -3.0, **others: Any) -> DecidedDay:
    """A day that MET Norway has told of."""
    of = decided(day, low_c)
    by: dict[str, Any] = {"at": at, "by": "met-norway"}
    weather = replace(
        of.weather,
        low_c=replace(of.weather.low_c, **by),
        high_c=replace(of.weather.high_c, **by),
        **others,
    )
    return replace(of, weather=weather)


def gusts(speed_m_s: float, at: datetime = MADE) -> Reading:
    return Reading(value=speed_m_s, source="forecast", at=at, by="open-meteo")


def seen(records: Records, text: str = SMALL, now: datetime = NOW) -> outlook.Outlook:
    return outlook.outlook(declared(text), records, TODAY + DAY, now)


def lines(records: Records, text: str = SMALL, now: datetime = NOW) -> list[str]:
    profile = declared(text)
    said = outlook.night_and_day(profile, outlook.coming(profile, records, now))
    return [line.replace(NO_BREAK, " ") for line in said]


def told(of: Callable[[Profile, outlook.Outlook], str], seen: outlook.Outlook) -> str:
    return of(declared(SMALL), seen).replace(NO_BREAK, " ")


def test_a_forecast_is_told_with_its_time_and_service_and_the_year_as_about() -> None:
    of_forecast = Records(weather=(known(TODAY + DAY),))
    assert lines(of_forecast) == [
        "-3 °C tonight (forecast of 14:00, MET Norway)",
        "4 °C tomorrow (forecast of 14:00, MET Norway)",
    ]
    assert lines(NO_RECORDS) == [
        "about -1 °C tonight (usual for the date)",
        "about 5 °C tomorrow (usual for the date)",
    ]
    assert lines(of_forecast, IN_FAHRENHEIT)[0] == "27 °F tonight (forecast of 2:00 pm, MET Norway)"


@pytest.mark.parametrize(
    ("hours", "source"),
    [
        (12, "forecast of 04:00, MET Norway"),
        (13, "forecast of 03:00, MET Norway, 13 hours old"),
        (20, "forecast of Sat 20:00, MET Norway, 20 hours old"),
    ],
)
def test_an_age_of_more_than_twelve_hours_is_said_beside_the_value(hours: int, source: str) -> None:
    made = NOW - timedelta(hours=hours)
    assert lines(Records(weather=(known(TODAY + DAY, at=made),)))[0] == f"-3 °C tonight ({source})"


def test_before_six_tonight_is_the_night_under_way() -> None:
    early = datetime(2026, 12, 21, 5, 59, tzinfo=UTC)
    records = Records(weather=(known(TODAY + DAY), known(TODAY + 2 * DAY, low_c=5.0)))
    by_six = [lines(records, now=early), lines(records, now=early + timedelta(minutes=1))]
    assert [one[0].split(" (")[0] for one in by_six] == ["-3 °C tonight", "5 °C tonight"]
    assert [one[1].split(" (")[0] for one in by_six] == ["4 °C today", "4 °C tomorrow"]


def test_what_people_reported_counts_where_it_is_worse() -> None:
    spell = Spell(first=TODAY, last=TODAY + DAY)
    frost = Report(kind="frost", spell=spell, air_c=-9.0, made_at=MADE)
    weather = (known(TODAY + DAY),)
    assert lines(Records(weather=weather, reports=(frost,)))[0] == (
        "-9 °C tonight (reported at 14:00)"
    )
    milder, by_forecast = replace(frost, air_c=-1.0), replace(frost, forecast=True)
    for one in (milder, by_forecast, replace(frost, air_c=None)):
        of = seen(Records(weather=weather, reports=(one,)))
        assert of.low_c == weather[0].weather.low_c


def test_where_values_are_from_several_places_each_is_named() -> None:
    of = known(TODAY + DAY, gust_m_s=gusts(18.0))
    both = seen(Records(weather=(of,)))
    assert told(outlook.temperatures, both) == "-3 °C to 4 °C"
    assert told(outlook.sources, both) == (
        "night: forecast of 14:00, MET Norway; day: forecast of 14:00, MET Norway; "
        "gusts: forecast of 14:00, Open-Meteo"
    )
    measured = Reading(value=-6.0, sd=0.5, source="measured", at=MADE)
    of = replace(of, weather=replace(of.weather, low_c=measured, gust_m_s=None))
    assert told(outlook.sources, seen(Records(weather=(of,)))) == (
        "night: measured at 14:00; day: forecast of 14:00, MET Norway"
    )


@pytest.mark.parametrize(
    ("text", "said"),
    [
        (SMALL, "gusts 40 mph, snow 1.6 in"),
        (SMALL.replace('"UK"', '"EU"'), "gusts 65 km/h, snow 4 cm"),
    ],
)
def test_wind_and_snow_are_told_in_the_keepers_units(text: str, said: str) -> None:
    snow = Reading(value=4.2, source="forecast", at=MADE, by="open-meteo")
    of = seen(Records(weather=(known(TODAY + DAY, gust_m_s=gusts(18.0), snow_cm=snow),)), text)
    assert outlook.wind_and_snow(declared(text), of).replace(NO_BREAK, " ") == said
    flurry = replace(snow, value=0.4)
    assert seen(Records(weather=(known(TODAY + DAY, snow_cm=flurry),))).snow_cm is None


def test_the_jobs_of_the_weather_stand_beside_it_and_no_others(catalogue: Catalogue) -> None:
    profile, summer = declared(SMALL), date(2026, 7, 1)
    for first, ids in ((TODAY, {"ice-look"}), (summer, set[str]())):
        planned = plan(profile, NO_RECORDS, first, first + 6 * DAY, catalogue)
        days = outlook.outlooks(profile, NO_RECORDS, planned.days, catalogue, NOW)
        assert [one.day for one in days] == [first + n * DAY for n in range(7)]
        found = {task.care_id for one in days for task in one.jobs}
        assert bool(found) is bool(ids), found
    storm = Report(kind="storm", spell=Spell(first=summer, last=summer))
    planned = plan(profile, Records(reports=(storm,)), summer, summer + DAY, catalogue)
    now, then = outlook.outlooks(profile, NO_RECORDS, planned.days, catalogue, NOW)
    assert now.jobs
    assert not then.jobs


WARNING = OfficialWarning(
    id="1", kind="storm", event="High Wind Warning", headline="High Wind Warning until 9 PM",
    sender="NWS Nowhere", onset=MADE, ends=NOW + 2 * DAY,
)  # fmt: skip


def test_warnings_are_quoted_letter_by_letter_until_they_end() -> None:
    over = replace(WARNING, id="2", ends=NOW)
    of = [known(TODAY + n * DAY, warnings=(WARNING, over)) for n in range(2)]
    records = Records(weather=tuple(of))
    assert warnings_of(records, TODAY, NOW) == (WARNING,)
    assert warnings_of(records, TODAY, WARNING.ends) == ()
    assert seen(records).warnings == (WARNING,)
    assert quoted(WARNING) == ("Official warning from NWS Nowhere: “High Wind Warning until 9 PM”")


def test_the_json_has_each_value_with_its_source_and_null_for_what_nobody_tells() -> None:
    told = outlook.outlook_facts(seen(Records(weather=(known(TODAY + DAY),))))
    assert told["low"] == {
        "c": -3.0, "sd": 1.3, "source": "forecast", "by": "met-norway", "at": MADE,
    }  # fmt: skip
    assert told["gusts"] is None
    usual = outlook.outlook_facts(seen(NO_RECORDS))
    low = usual["low"]
    assert isinstance(low, dict)
    assert (low["source"], low["by"], low["at"]) == ("climate", None, None)


def test_why_the_averages_stand_in_is_said_only_where_it_is_true() -> None:
    of_now = Records(weather=(known(TODAY + DAY),))
    yes, no = declared(YES), declared(SMALL)
    assert why_no_forecast(yes, of_now, NOW) == ""
    assert why_no_forecast(yes, NO_RECORDS, NOW).startswith("There is no forecast at the moment")
    for records, now in ((NO_RECORDS, NOW), (of_now, NOW + 2 * DAY)):
        assert why_no_forecast(no, records, now).startswith("Duskfold has no forecast, so it goes")
        assert lost_since(no, records, now) is None
    lost = MADE + timedelta(hours=36, minutes=1)
    assert lost_since(yes, of_now, lost - timedelta(minutes=1)) is None
    assert last_forecast(of_now.weather) == lost_since(yes, of_now, lost) == MADE
    assert why_no_forecast(yes, of_now, lost) == (
        "No forecast since Sun 14:00: the year's averages stand in."
    )
