"""The US National Weather Service's grids: the look-up kept for weeks, runs expanded to hours."""

import json
from collections.abc import Iterator
from datetime import datetime, timedelta
from typing import Any

import pytest

from scheduler.climate.forecast import Forecast, Hour
from scheduler.sources.forecast_port import Asking, Fresh, Refused, Unreadable, rough
from scheduler.sources.us_nws import Grid, UsNws, read, read_point, requests
from tests.sinks.authority import Authority
from tests.sources.forecast_rigs import AGENT, ASKING, NOW, PLACE, client
from tests.sources.us_nws_server import UsNwsServer, grid, problem, run
from tests.sources.weather_server import Said

MADE = NOW - timedelta(hours=1)
FIRST = MADE.replace(minute=0) - timedelta(hours=6)


@pytest.fixture
def server(authority: Authority) -> Iterator[UsNwsServer]:
    with UsNwsServer(authority.server(), NOW) as made:
        yield made


@pytest.fixture
def source(server: UsNwsServer, authority: Authority) -> UsNws:
    return UsNws(client=client(authority), server=server.url)


def paths(server: UsNwsServer) -> list[str]:
    return [asked.path for asked in server.asked.all()]


def sample(**layers: Any) -> dict[str, Any]:
    whole = grid((44.3, -71.2), MADE)
    whole["properties"] |= layers
    return whole


def layer(uom: str, *runs: Any) -> dict[str, Any]:
    return {"uom": uom, "values": list(runs)}


def answered(whole: dict[str, Any]) -> Forecast | Unreadable:
    return read(json.dumps(whole).encode(), PLACE, NOW)


def hours_of(whole: dict[str, Any]) -> dict[datetime, Hour]:
    forecast = answered(whole)
    assert isinstance(forecast, Forecast), forecast
    return {hour.at: hour for hour in forecast.hours}


def test_the_requests_are_exactly_these() -> None:
    asking = Asking(place=PLACE, agent=AGENT, last_modified="Sat, 28 Nov 2026 09:12:00 GMT")
    point, square = requests(asking, grid=Grid("GYX", 52, 77))
    assert point.url == "https://api.weather.gov/points/44.3,-71.2"
    assert point.headers == {"User-Agent": AGENT, "Accept-Encoding": "gzip"}
    assert square.url == "https://api.weather.gov/gridpoints/GYX/52,77"
    assert square.headers["If-Modified-Since"] == "Sat, 28 Nov 2026 09:12:00 GMT"
    assert requests(asking) == (point,)


@pytest.mark.parametrize(
    ("place", "point"),
    [(rough(40.0, -100.0), "40,-100"), (rough(61.2, -149.9, None, 0.1), "61.2,-149.9")],
)
def test_a_point_has_no_zeros_at_its_end(place: Any, point: str) -> None:
    (request,) = requests(Asking(place=place, agent=AGENT))
    assert request.url.endswith(f"/points/{point}")


def test_the_place_is_looked_up_once_for_weeks(server: UsNwsServer, source: UsNws) -> None:
    for days in (0, 1, 27):
        assert isinstance(source.fetch(ASKING, NOW + timedelta(days=days)), Fresh)
    assert paths(server) == ["/points/44.3,-71.2", *3 * ["/gridpoints/GYX/52,77"]]
    assert len(source.requests(ASKING, NOW)) == 2
    source.fetch(ASKING, NOW + timedelta(days=29))
    assert paths(server)[-2:] == ["/points/44.3,-71.2", "/gridpoints/GYX/52,77"]


def test_another_place_is_looked_up_anew(server: UsNwsServer, source: UsNws) -> None:
    source.fetch(ASKING, NOW)
    source.fetch(Asking(place=rough(44.35, -71.2), agent=AGENT), NOW)
    assert paths(server)[2] == "/points/44.35,-71.2"


def test_a_grid_that_has_moved_is_looked_up_anew_without_the_old_condition(
    server: UsNwsServer, source: UsNws
) -> None:
    first = source.fetch(ASKING, NOW)
    assert isinstance(first, Fresh)
    server.grid = ("CAR", 1, 2)
    moved = Asking(place=PLACE, agent=AGENT, last_modified=first.last_modified)
    assert isinstance(source.fetch(moved, NOW), Fresh)
    assert paths(server)[2:] == [
        "/gridpoints/GYX/52,77",
        "/points/44.3,-71.2",
        "/gridpoints/CAR/1,2",
    ]


def test_elsewhere_it_has_no_forecast(server: UsNwsServer, source: UsNws) -> None:
    answer = source.fetch(Asking(place=rough(51.5, -0.1), agent=AGENT), NOW)
    assert isinstance(answer, Refused)
    assert answer.kind == "outside"
    assert paths(server) == ["/points/51.5,-0.1"]


def test_an_expired_grid_is_a_fault_of_theirs_and_no_new_look_up(
    server: UsNwsServer, source: UsNws
) -> None:
    source.fetch(ASKING, NOW)
    server.script.append(problem(503, "Forecast Grid Expired"))
    answer = source.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert answer.kind == "broken"
    assert len(paths(server)) == 3


def test_a_look_up_never_sends_us_to_another_host(server: UsNwsServer, source: UsNws) -> None:
    address = "https://elsewhere.example.net/gridpoints/GYX/52,77"
    body = json.dumps({"properties": {"forecastGridData": address}}).encode()
    server.script.append(Said(body=body))
    assert isinstance(source.fetch(ASKING, NOW), Fresh)
    assert paths(server)[-1] == "/gridpoints/GYX/52,77"


@pytest.mark.parametrize("body", [b"<html>", b'{"properties": {}}', b'{"properties": 3}'])
def test_a_look_up_that_names_no_grid_is_strange(
    server: UsNwsServer, source: UsNws, body: bytes
) -> None:
    assert isinstance(read_point(body), Unreadable)
    server.script.append(Said(body=body))
    answer = source.fetch(ASKING, NOW)
    assert isinstance(answer, Refused)
    assert answer.kind == "strange"
    assert len(paths(server)) == 1


@pytest.mark.parametrize(
    ("duration", "count"), [("PT1H", 1), ("PT3H", 3), ("P1D", 24), ("P1DT2H", 26), ("PT90M", 2)]
)
def test_a_run_of_equal_values_is_each_of_its_hours(duration: str, count: int) -> None:
    value = {"validTime": f"{FIRST.isoformat()}/{duration}", "value": -3.3}
    hours = hours_of(
        sample(
            temperature=layer("wmoUnit:degC", value),
            minTemperature=layer("wmoUnit:degC"),
            maxTemperature={},
        )
    )
    assert [hour.air_c for hour in hours.values()] == count * [-3.3]
    assert list(hours) == [FIRST + timedelta(hours=number) for number in range(count)]


def test_wind_cloud_and_humidity_come_in_our_units() -> None:
    first = hours_of(sample())[FIRST]
    assert first.wind_m_s == pytest.approx(5.0)
    assert first.gust_m_s == pytest.approx(10.0)
    assert (first.humidity, first.cloud) == (0.8, 1.0)


def test_what_falls_in_a_run_is_shared_out_over_its_hours() -> None:
    hours = list(hours_of(sample()).values())
    assert [hour.rain_mm for hour in hours[:7]] == [*6 * [0.5], 0.0]
    assert [hour.snow_cm for hour in hours[:7]] == [*6 * [0.5], 0.0]  # 30 mm deep


def test_a_nights_low_stands_at_its_coldest_hour_alone() -> None:
    hours = hours_of(sample())
    lows = {at: hour.lowest_c for at, hour in hours.items() if hour.lowest_c is not None}
    night = [FIRST + timedelta(hours=number) for number in range(8, 20)]
    assert lows == {min(night, key=lambda at: hours[at].air_c or 0.0): -2.0}
    highs = {at: hour.highest_c for at, hour in hours.items() if hour.highest_c is not None}
    assert list(highs.values()) == [11.0]


def test_null_is_not_known() -> None:
    hours = list(hours_of(sample()).values())
    assert hours[35].gust_m_s is not None
    assert hours[36].gust_m_s is None
    assert (
        hours_of(
            sample(
                temperature=layer(
                    "wmoUnit:degC", run(FIRST, 1, None), run(FIRST + timedelta(hours=1), 1, 2.0)
                )
            )
        )[FIRST].air_c
        is None
    )


def test_fahrenheit_is_converted_when_the_unit_says_so() -> None:
    whole = sample(
        temperature=layer("wmoUnit:degF", run(FIRST, 3, 26.06)),
        minTemperature={},
        maxTemperature={},
    )
    assert [hour.air_c for hour in hours_of(whole).values()] == 3 * [pytest.approx(-3.3)]


@pytest.mark.parametrize(
    ("layers", "kind"),
    [
        ({"temperature": layer("wmoUnit:degX", run(FIRST, 1, 3.0))}, "unit"),
        ({"temperature": {"values": [run(FIRST, 1, 3.0)]}}, "unit"),
        ({"windGust": layer("wmoUnit:kt", run(FIRST, 1, 3.0))}, "unit"),
        ({"temperature": layer("wmoUnit:degC")}, "empty"),
        ({"temperature": layer("wmoUnit:degC", run(FIRST, 1, 99.0))}, "temperature"),
        ({"minTemperature": layer("wmoUnit:degC", run(FIRST, 1, -99.0))}, "temperature"),
        ({"temperature": layer("wmoUnit:degC", run(FIRST, 3, 1.0), run(FIRST, 1, 1.0))}, "times"),
        ({"temperature": layer("wmoUnit:degC", {"validTime": "today", "value": 1})}, "shape"),
        (
            {
                "temperature": layer(
                    "wmoUnit:degC", {"validTime": f"{FIRST.isoformat()}/P999D", "value": 1}
                )
            },
            "shape",
        ),
        ({"updateTime": "2026-11-28T15:20:00+00:00"}, "future"),
        ({"updateTime": None}, "shape"),
        ({"elevation": {"unitCode": "wmoUnit:mile", "value": 1}}, "unit"),
    ],
)
def test_what_cannot_be_trusted_is_refused_whole(layers: dict[str, Any], kind: str) -> None:
    assert answered(sample(**layers)) == Unreadable(kind)  # type: ignore[arg-type] # one of its kinds


def test_old_data_with_status_200_are_as_old_as_they_say() -> None:
    forecast = read(json.dumps(grid((44.3, -71.2), NOW - timedelta(days=3))).encode(), PLACE, NOW)
    assert isinstance(forecast, Forecast)
    assert forecast.made_at == NOW - timedelta(days=3)
