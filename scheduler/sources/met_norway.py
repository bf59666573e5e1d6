"""MET Norway's Locationforecast 2.0: the whole world, nine days, without an account.

Written from its published documentation (ForecastJSON, Locationforecast data model, status codes,
terms of service). `complete` is asked for, because `compact` has no gusts and no lows of six hours.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any, ClassVar
from urllib.parse import urlencode

from scheduler.channels.http import Request
from scheduler.climate.forecast import Forecast, ForecastSource, Hour
from scheduler.sources import forecast_json as found
from scheduler.sources.forecast_json import NoForecast
from scheduler.sources.forecast_port import Answer, Asking, Place, Unreadable
from scheduler.sources.one_get import Client, got

SERVER = "https://api.met.no"
_PATH = "/weatherapi/locationforecast/2.0/complete"
_UNITS = {
    "air_temperature": "celsius",
    "air_temperature_min": "celsius",
    "air_temperature_max": "celsius",
    "relative_humidity": "%",
    "cloud_area_fraction": "%",
    "wind_speed": "m/s",
    "wind_speed_of_gust": "m/s",
    "precipitation_amount": "mm",
}
_LONGEST_H = 6.0


@dataclass(frozen=True, slots=True, kw_only=True)
class MetNorway:
    """The source; `server` is another one in tests alone."""

    client: Client = field(default_factory=Client)
    server: str = SERVER
    name: ClassVar[ForecastSource] = "met-norway"

    def requests(self, asking: Asking) -> tuple[Request, ...]:
        """The one request."""
        return requests(asking, self.server)

    def fetch(self, asking: Asking, now: datetime) -> Answer:
        """One try; the bytes are not read yet."""
        (request,) = self.requests(asking)
        with self.client.round() as line:
            return got(request, self.client, line, now)

    def read(self, body: bytes, place: Place, got_at: datetime) -> Forecast | Unreadable:
        """The forecast that the bytes are."""
        return read(body, place, got_at)


def requests(asking: Asking, server: str = SERVER) -> tuple[Request, ...]:
    """What is asked, exactly; more than four decimals would be refused with 403."""
    place = asking.place
    query = {"lat": place.latitude, "lon": place.longitude}
    if place.elevation_m is not None:
        query["altitude"] = str(place.elevation_m)
    url = f"{server}{_PATH}?{urlencode(query)}"
    return (Request(method="GET", url=url, headers=asking.headers),)


def read(body: bytes, place: Place, got_at: datetime) -> Forecast | Unreadable:
    """The forecast for the place, or why the bytes are none."""
    return found.reading(lambda: found.sound(_forecast(found.parsed(body)), place, got_at))


def _forecast(whole: Mapping[str, Any]) -> Forecast:
    properties = found.table(whole.get("properties"))
    meta = found.table(properties.get("meta"))
    units = found.table(meta.get("units"))
    if any(units.get(name, unit) != unit for name, unit in _UNITS.items()):
        raise NoForecast("unit")
    if "air_temperature" not in units:
        raise NoForecast("unit")
    longitude, latitude, *elevation = _position(whole)
    entries = [found.table(each) for each in found.rows(properties.get("timeseries"))]
    return Forecast(
        source="met-norway",
        made_at=found.instant(meta.get("updated_at")),
        latitude_deg=latitude,
        longitude_deg=longitude,
        elevation_m=elevation[0] if elevation else None,
        hours=_hours(entries, units),
    )


def _position(whole: Mapping[str, Any]) -> tuple[float, ...]:
    coordinates = found.rows(found.table(whole.get("geometry")).get("coordinates"))
    numbers = tuple(map(found.number, coordinates))
    position = tuple(each for each in numbers if each is not None)
    if len(position) != len(numbers) or len(position) not in {2, 3}:
        raise NoForecast("shape")
    return position


def _hours(entries: list[Mapping[str, Any]], units: Mapping[str, Any]) -> tuple[Hour, ...]:
    times = [found.instant(entry.get("time")) for entry in entries]
    if any(first >= second for first, second in pairwise(times)):
        raise NoForecast("times")
    following = [*times[1:], None][: len(times)]
    return tuple(
        _hour(found.table(entry.get("data")), at, after, units)
        for entry, at, after in zip(entries, times, following, strict=True)
    )


def _hour(
    data: Mapping[str, Any], at: datetime, following: datetime | None, units: Mapping[str, Any]
) -> Hour:
    """The instant, and the period beginning with it that is as long as the step to the next."""
    step_h = 1.0 if following is None else (following - at) / timedelta(hours=1)
    now = _Details(data.get("instant"), units)
    one, six = _Details(data.get("next_1_hours"), units), _Details(data.get("next_6_hours"), units)
    air_c, wind = found.celsius(now("air_temperature")), found.wind(now("wind_speed"))
    hour = Hour(
        at=at,
        air_c=air_c,
        hours=min(max(step_h, 1.0), _LONGEST_H),
        humidity=found.share(now("relative_humidity")),
        cloud=found.share(now("cloud_area_fraction")),
        wind_m_s=wind,
        gust_m_s=found.gust(now("wind_speed_of_gust"), wind),
    )
    if one.there and (step_h <= 1.0 or not six.there):
        return found.hours_within(_falls(replace(hour, hours=1.0), one), following)
    if six.there:
        bounds = replace(
            hour,
            hours=_LONGEST_H,
            lowest_c=found.celsius(six("air_temperature_min")),
            highest_c=found.celsius(six("air_temperature_max")),
        )
        return found.hours_within(_falls(bounds, six), following)
    return hour


def _falls(hour: Hour, period: "_Details") -> Hour:
    """The hour with what falls; how much of it is snow is told by the temperature alone."""
    rain = found.water(period("precipitation_amount"))
    between = [each for each in (hour.lowest_c, hour.highest_c) if each is not None]
    air_c = sum(between) / len(between) if between else hour.air_c
    return replace(hour, rain_mm=rain, snow_cm=found.snow_of(rain, air_c))


class _Details:
    """The numbers of an instant or a period; absent ones are normal."""

    def __init__(self, block: object, units: Mapping[str, Any]) -> None:
        self.there = block is not None
        self._units = units
        self._numbers = {} if block is None else found.table(found.table(block).get("details", {}))

    def __call__(self, name: str) -> float | None:
        """The number of that name, if it is there and its unit is told."""
        return found.number(self._numbers.get(name)) if name in self._units else None
