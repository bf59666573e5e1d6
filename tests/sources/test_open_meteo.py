"""Open-Meteo's forecasts: what is asked, sums moved to the hour that they are of, its limits."""

import json
from datetime import timedelta
from typing import Any

import pytest

from scheduler.climate.forecast import Forecast, Hour
from scheduler.sources.forecast_port import Asking, Refused, Unreadable, rough
from scheduler.sources.open_meteo import read, requests, waits
from tests.sinks.authority import Authority
from tests.sources.forecast_rigs import AGENT, ASKING, NOW, PLACE, open_meteo_rig
from tests.sources.open_meteo_server import REASON, document, error


def sample(**columns: Any) -> dict[str, Any]:
    whole = document((44.3, -71.2), NOW)
    for name, values in columns.items():
        whole["hourly"][name][: len(values)] = values
    return whole


def hours_of(whole: dict[str, Any]) -> list[Hour]:
    forecast = read(json.dumps(whole).encode(), PLACE, NOW)
    assert isinstance(forecast, Forecast), forecast
    return list(forecast.hours)


def test_the_request_is_exactly_this() -> None:
    (request,) = requests(ASKING)
    assert request.url == (
        "https://api.open-meteo.com/v1/forecast?latitude=44.30&longitude=-71.20&elevation=300"
        "&hourly=temperature_2m,relative_humidity_2m,precipitation,snowfall,wind_speed_10m,"
        "wind_gusts_10m,cloud_cover&wind_speed_unit=ms&timeformat=unixtime&timezone=UTC"
        "&forecast_days=7"
    )
    assert request.headers == {"User-Agent": AGENT, "Accept-Encoding": "gzip"}


def test_its_own_days_are_never_asked_for() -> None:
    (request,) = requests(Asking(place=rough(44.3, -71.2), agent=AGENT))
    assert "daily" not in request.url
    assert "sunrise" not in request.url
    assert "elevation" not in request.url


def test_sums_and_gusts_of_the_hour_before_are_said_of_the_hour_they_fell_in() -> None:
    whole = sample(
        precipitation=[9.0, 1.0, 2.0], snowfall=[9.0, 0.7, 0.0], wind_gusts_10m=[30.0, 11.0, 12.0]
    )
    first, second, *_, last = hours_of(whole)
    assert (first.rain_mm, first.snow_cm, first.gust_m_s) == (1.0, 0.7, 11.0)
    assert (second.rain_mm, second.snow_cm, second.gust_m_s) == (2.0, 0.0, 12.0)
    assert (last.rain_mm, last.snow_cm, last.gust_m_s) == (None, None, None)


def test_instants_stay_where_they_are() -> None:
    whole = sample(temperature_2m=[-3.1, -2.0], relative_humidity_2m=[86, 87], cloud_cover=[10, 20])
    first = hours_of(whole)[0]
    assert first.at == NOW.replace(hour=0, minute=0)
    assert (first.air_c, first.humidity, first.cloud) == (-3.1, 0.86, 0.1)


def test_nulls_are_not_known_and_spoil_nothing() -> None:
    whole = sample(temperature_2m=[None, 1.0], precipitation=[0.0, None], cloud_cover=[None])
    first, second, *_ = hours_of(whole)
    assert (first.air_c, first.rain_mm, first.cloud) == (None, None, None)
    assert second.air_c == 1.0


def test_a_gust_below_the_wind_is_the_wind() -> None:
    whole = sample(wind_gusts_10m=[0.0, 2.0], wind_speed_10m=[5.0])
    assert hours_of(whole)[0].gust_m_s == 5.0


def test_after_a_missing_hour_a_sum_belongs_to_no_hour() -> None:
    whole = sample(precipitation=[0.0, 1.0, 2.0])
    for column in whole["hourly"].values():
        del column[1]
    assert hours_of(whole)[0].rain_mm is None


def test_without_a_time_it_was_made_when_it_came_but_on_its_first_day() -> None:
    body = json.dumps(sample()).encode()
    told = read(body, PLACE, NOW)
    stale = read(body, PLACE, NOW + timedelta(days=3))
    assert isinstance(told, Forecast)
    assert told.made_at == NOW
    assert isinstance(stale, Forecast)
    assert stale.made_at == NOW.replace(hour=0, minute=0) + timedelta(days=1)


@pytest.mark.parametrize(
    ("path", "value", "kind"),
    [
        (("hourly_units", "temperature_2m"), "°F", "unit"),
        (("hourly_units", "wind_gusts_10m"), "km/h", "unit"),
        (("hourly_units", "precipitation"), "inch", "unit"),
        (("hourly_units", "time"), "iso8601", "unit"),
        (("hourly", "temperature_2m"), [1.0], "shape"),
        (("hourly", "time"), [], "shape"),
        (("hourly", "temperature_2m", 5), 70.0, "temperature"),
        (("hourly", "time", 1), 1, "times"),
        (("hourly", "time", 0), 10**17, "times"),
        (("latitude",), None, "shape"),
        (("latitude",), 43.5, "place"),
    ],
)
def test_what_cannot_be_trusted_is_refused_whole(
    path: tuple[Any, ...], value: Any, kind: str
) -> None:
    whole: Any = sample()
    parent = whole
    for key in path[:-1]:
        parent = parent[key]
    parent[path[-1]] = value
    assert read(json.dumps(whole).encode(), PLACE, NOW) == Unreadable(kind)  # type: ignore[arg-type] # one of its kinds


def test_no_hours_at_all_are_empty() -> None:
    whole = sample()
    whole["hourly"] = {name: [] for name in whole["hourly"]}
    assert read(json.dumps(whole).encode(), PLACE, NOW) == Unreadable("empty")


def test_all_null_is_empty() -> None:
    assert read(json.dumps(sample(temperature_2m=[None] * 168)).encode(), PLACE, NOW) == Unreadable(
        "empty"
    )


@pytest.mark.parametrize(
    ("reason", "wait_s"),
    [
        (REASON, 60.0),
        ("Hourly API request limit exceeded. Please try again in the next hour.", 3600.0),
        ("Daily API request limit exceeded. Please try again tomorrow.", 86_400.0),
        ("Too many concurrent requests", None),
    ],
)
def test_its_reason_says_which_limit_was_passed(
    authority: Authority, reason: str, wait_s: float | None
) -> None:
    with open_meteo_rig(authority) as rig:
        rig.server.always = error(429, reason)
        answer = rig.port.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert (answer.kind, answer.retry_after_s) == ("throttled", wait_s)


@pytest.mark.parametrize("body", [b"", b"[]", b'{"reason": 3}', b"[" * 99_999])
def test_a_429_without_a_reason_says_nothing(body: bytes) -> None:
    assert waits(body) is None


def test_a_variable_it_does_not_know_is_a_question_not_understood(authority: Authority) -> None:
    with open_meteo_rig(authority) as rig:
        rig.server.always = error(400, "Cannot initialize WeatherVariable from invalid String")
        answer = rig.port.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert (answer.kind, answer.retry_after_s) == ("not understood", 86_400.0)


def test_it_is_asked_every_three_hours(authority: Authority) -> None:
    with open_meteo_rig(authority) as rig:
        answer = rig.port.fetch(ASKING, NOW)
    assert not isinstance(answer, Refused)
    assert answer.expires == NOW + timedelta(hours=3)
