"""MET Norway's forecasts: what is asked, and hours as its documentation means them."""

import json
from datetime import UTC, datetime, timedelta
from typing import Any

import pytest

from scheduler.climate.forecast import Forecast, Hour
from scheduler.sources.forecast_port import Asking, Unreadable, rough
from scheduler.sources.met_norway import MetNorway, read, requests
from tests.sources.forecast_rigs import AGENT, ASKING, NOW, PLACE
from tests.sources.met_norway_server import document

WHERE = [-71.2, 44.3, 300]
FIRST = datetime(2026, 11, 28, 13, tzinfo=UTC)
MADE = NOW - timedelta(minutes=40)


def sample() -> dict[str, Any]:
    return document(WHERE, MADE)


def hours_of(whole: dict[str, Any]) -> list[Hour]:
    forecast = read(json.dumps(whole).encode(), PLACE, NOW)
    assert isinstance(forecast, Forecast), forecast
    return list(forecast.hours)


def details(whole: dict[str, Any], row: int, block: str = "instant") -> dict[str, Any]:
    found: dict[str, Any] = whole["properties"]["timeseries"][row]["data"][block]["details"]
    return found


def test_the_request_is_exactly_this() -> None:
    (request,) = requests(ASKING)
    assert request.url == (
        "https://api.met.no/weatherapi/locationforecast/2.0/complete"
        "?lat=44.30&lon=-71.20&altitude=300"
    )
    assert request.headers == {"User-Agent": AGENT, "Accept-Encoding": "gzip"}
    assert MetNorway().requests(ASKING) == (request,)


def test_a_copy_asks_for_news_letter_by_letter() -> None:
    modified = "Sat, 28 Nov 2026 13:04:26 GMT"
    (request,) = requests(Asking(place=PLACE, agent=AGENT, last_modified=modified))
    assert request.headers["If-Modified-Since"] == modified


@pytest.mark.parametrize(
    ("place", "query"),
    [
        (rough(60.1, 9.58, None), "lat=60.10&lon=9.58"),
        (rough(-0.001, 179.996, 4.9), "lat=0.00&lon=180.00&altitude=0"),
        (rough(51.49, -0.04, -3.0, 0.1), "lat=51.5&lon=0.0&altitude=0"),
        (rough(1e-7, -1e-7, 496.0), "lat=0.00&lon=0.00&altitude=500"),
    ],
)
def test_a_place_is_sent_as_roughly_as_the_keeper_agreed(place: Any, query: str) -> None:
    (request,) = requests(Asking(place=place, agent=AGENT))
    assert request.url.partition("?")[2] == query


def test_the_hourly_part_has_sums_of_one_hour_from_its_time_on() -> None:
    first = hours_of(sample())[0]
    assert first.at == FIRST
    assert (first.hours, first.rain_mm) == (1.0, 0.4)
    assert first.humidity == pytest.approx(0.886)
    assert first.cloud == pytest.approx(0.98)
    assert (first.wind_m_s, first.gust_m_s) == (2.5, 6.6)
    # What it says of six hours is not true of one.
    assert (first.lowest_c, first.highest_c) == (None, None)


def test_the_later_part_has_bounds_and_sums_of_six_hours() -> None:
    later = hours_of(sample())[55]
    assert (later.hours, later.rain_mm) == (6.0, 2.4)
    assert later.air_c is not None
    assert later.lowest_c == pytest.approx(later.air_c - 1.5)
    assert later.highest_c == pytest.approx(later.air_c + 1.5)


def test_the_last_instant_has_no_period() -> None:
    last = hours_of(sample())[-1]
    assert last.air_c is not None
    assert (last.rain_mm, last.snow_cm, last.lowest_c) == (None, None, None)


def test_six_hours_that_reach_into_the_next_entry_are_cut_there() -> None:
    whole = sample()
    at = FIRST + timedelta(hours=58)
    whole["properties"]["timeseries"][56]["time"] = f"{at:%Y-%m-%dT%H:%M:%SZ}"
    cut = hours_of(whole)[55]
    assert cut.hours == 3.0
    assert cut.rain_mm == pytest.approx(1.2)


def test_absent_variables_are_normal() -> None:
    whole = sample()
    for row in range(len(whole["properties"]["timeseries"])):
        for name in ("wind_speed_of_gust", "relative_humidity", "cloud_area_fraction"):
            del details(whole, row)[name]
    del whole["properties"]["meta"]["units"]["wind_speed_of_gust"]
    hour = hours_of(whole)[0]
    assert (hour.gust_m_s, hour.humidity, hour.cloud) == (None, None, None)
    assert hour.air_c is not None


def test_a_null_temperature_is_no_temperature() -> None:
    whole = sample()
    details(whole, 3)["air_temperature"] = None
    assert hours_of(whole)[3].air_c is None


def test_a_gust_below_the_wind_is_the_wind() -> None:
    whole = sample()
    details(whole, 0)["wind_speed_of_gust"] = 1.0
    assert hours_of(whole)[0].gust_m_s == 2.5


@pytest.mark.parametrize(
    ("air_c", "snow_cm"), [(-3.0, 7.0), (0.5, 7.0), (1.0, 3.5), (1.5, 0.0), (8.0, 0.0)]
)
def test_ten_millimetres_of_water_are_seven_centimetres_of_snow_in_frost(
    air_c: float, snow_cm: float
) -> None:
    whole = sample()
    details(whole, 0)["air_temperature"] = air_c
    details(whole, 0, "next_1_hours")["precipitation_amount"] = 10.0
    assert hours_of(whole)[0].snow_cm == pytest.approx(snow_cm)


def broken(path: tuple[Any, ...], value: Any) -> bytes:
    whole = sample()
    parent: Any = whole["properties"]
    for key in path[:-1]:
        parent = parent[key]
    parent[path[-1]] = value
    return json.dumps(whole).encode()


AIR = ("timeseries", 0, "data", "instant", "details", "air_temperature")


@pytest.mark.parametrize(
    ("path", "value", "kind"),
    [
        (("meta", "units", "air_temperature"), "fahrenheit", "unit"),
        (("meta", "units", "wind_speed"), "km/h", "unit"),
        (("meta", "units", "wind_speed"), ["m/s"], "unit"),
        (("meta", "units"), {}, "unit"),
        (AIR, 61.0, "temperature"),
        (AIR, -80.5, "temperature"),
        (AIR, "4.0", "shape"),
        (AIR, True, "shape"),
        (("timeseries", 1, "time"), "2026-11-28T13:00:00Z", "times"),
        (("timeseries", 1, "time"), "2026-11-28T14:00:00", "shape"),
        (("timeseries",), [], "empty"),
        (("meta", "updated_at"), "2026-11-28T15:20:00Z", "future"),
    ],
)
def test_what_cannot_be_trusted_is_refused_whole(
    path: tuple[Any, ...], value: Any, kind: str
) -> None:
    unreadable = read(broken(path, value), PLACE, NOW)
    assert isinstance(unreadable, Unreadable)
    assert unreadable.kind == kind
    assert unreadable.reason


def test_made_within_the_hour_ahead_is_a_clock_a_little_wrong() -> None:
    assert isinstance(
        read(broken(("meta", "updated_at"), "2026-11-28T15:10:00Z"), PLACE, NOW), Forecast
    )


def test_impossible_rain_and_humidity_are_not_known() -> None:
    whole = sample()
    details(whole, 0)["relative_humidity"] = 250.0
    details(whole, 0, "next_1_hours")["precipitation_amount"] = -1.0
    hour = hours_of(whole)[0]
    assert (hour.humidity, hour.rain_mm, hour.snow_cm) == (None, None, None)


def test_a_place_across_the_date_line_is_near() -> None:
    whole = document([-179.9, 60.0, 10], MADE)
    assert isinstance(read(json.dumps(whole).encode(), rough(60.0, 179.9), NOW), Forecast)
