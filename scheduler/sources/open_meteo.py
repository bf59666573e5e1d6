"""Open-Meteo's forecast: the best model for the place, seven days, for whoever earns nothing by it.

Written from its published documentation. Its own days are never asked for: with timezone=UTC they
are UTC days, which in America or Australia are another night. Sums and gusts stand at the end of
their hour; here they stand at its beginning.
"""

import json
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any, ClassVar
from urllib.parse import urlencode

from scheduler.channels.http import Request
from scheduler.climate.forecast import Forecast, ForecastSource, Hour
from scheduler.sources import forecast_json as found
from scheduler.sources.forecast_json import NoForecast
from scheduler.sources.forecast_port import Answer, Asking, Fresh, Place, Unreadable
from scheduler.sources.one_get import DAY_S, Client, got

SERVER = "https://api.open-meteo.com"
_PATH = "/v1/forecast"
# At most ten variables count as one question (its terms).
_UNITS = {
    "temperature_2m": "°C",
    "relative_humidity_2m": "%",
    "precipitation": "mm",
    "snowfall": "cm",
    "wind_speed_10m": "m/s",
    "wind_gusts_10m": "m/s",
    "cloud_cover": "%",
}
_DAYS = 7
_HOUR = timedelta(hours=1)
# It promises neither Expires nor ETag: every three hours (common practice).
_AGAIN = timedelta(hours=3)
_WAITS_S = (("minutely", 60.0), ("hourly", 3600.0), ("daily", DAY_S))  # clients' tests


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenMeteo:
    """The source; `server` is another one in tests alone."""

    client: Client = field(default_factory=Client)
    server: str = SERVER
    name: ClassVar[ForecastSource] = "open-meteo"

    def requests(self, asking: Asking) -> tuple[Request, ...]:
        """The one request."""
        return requests(asking, self.server)

    def fetch(self, asking: Asking, now: datetime) -> Answer:
        """One try; the bytes are not read yet."""
        (request,) = self.requests(asking)
        with self.client.round() as line:
            answer = got(request, self.client, line, now, waits=waits)
        if isinstance(answer, Fresh) and answer.expires is None:
            return replace(answer, expires=now + _AGAIN)
        return answer

    def read(self, body: bytes, place: Place, got_at: datetime) -> Forecast | Unreadable:
        """The forecast that the bytes are."""
        return read(body, place, got_at)


def requests(asking: Asking, server: str = SERVER) -> tuple[Request, ...]:
    """What is asked, exactly; without an elevation its own map's counts."""
    place = asking.place
    query = {"latitude": place.latitude, "longitude": place.longitude}
    if place.elevation_m is not None:
        query["elevation"] = str(place.elevation_m)
    query |= {
        "hourly": ",".join(_UNITS),
        "wind_speed_unit": "ms",
        "timeformat": "unixtime",
        "timezone": "UTC",
        "forecast_days": str(_DAYS),
    }
    url = f"{server}{_PATH}?{urlencode(query, safe=',')}"
    return (Request(method="GET", url=url, headers=asking.headers),)


def waits(body: bytes) -> float | None:
    """How long a 429 wants to be left alone, by the limit that its reason names."""
    try:
        told = json.loads(body)
    except (ValueError, RecursionError):
        return None
    reason = str(told.get("reason", "")).lower() if isinstance(told, dict) else ""
    return next((wait_s for limit, wait_s in _WAITS_S if reason.startswith(limit)), None)


def read(body: bytes, place: Place, got_at: datetime) -> Forecast | Unreadable:
    """The forecast for the place, or why the bytes are none."""
    return found.reading(lambda: found.sound(_forecast(found.parsed(body), got_at), place, got_at))


def _forecast(whole: Mapping[str, Any], got_at: datetime) -> Forecast:
    latitude = found.number(whole.get("latitude"))
    longitude = found.number(whole.get("longitude"))
    if latitude is None or longitude is None:
        raise NoForecast("shape")
    hours = _hours(found.table(whole.get("hourly")), found.table(whole.get("hourly_units")))
    if not hours:
        raise NoForecast("empty")
    first = hours[0].at
    if first > got_at + _HOUR:  # it begins with the midnight before it was made
        raise NoForecast("future")
    return Forecast(
        source="open-meteo",
        # It does not tell when it was made: when it came, but on the day with which it begins.
        made_at=min(got_at, first + timedelta(days=1)),
        latitude_deg=latitude,
        longitude_deg=longitude,
        elevation_m=found.number(whole.get("elevation")),
        hours=hours,
    )


def _hours(columns: Mapping[str, Any], units: Mapping[str, Any]) -> tuple[Hour, ...]:
    if units.get("time") != "unixtime" or "temperature_2m" not in columns:
        raise NoForecast("unit" if "time" in units else "shape")
    if any(units.get(name) != unit for name, unit in _UNITS.items() if name in columns):
        raise NoForecast("unit")
    times = [_unix(each) for each in found.rows(columns.get("time"))]
    if any(first >= second for first, second in pairwise(times)):
        raise NoForecast("times")

    def column(name: str) -> Sequence[float | None]:
        values = found.rows(columns[name]) if name in columns else [None] * len(times)
        if len(values) != len(times):
            raise NoForecast("shape")
        return [found.number(each) for each in values]

    air, humidity, cloud, wind = map(
        column, ("temperature_2m", "relative_humidity_2m", "cloud_cover", "wind_speed_10m")
    )
    # What ends an hour later belongs to the hour that begins here.
    rain, snow, gust = (
        _moved(column(name), times) for name in ("precipitation", "snowfall", "wind_gusts_10m")
    )
    return tuple(
        Hour(
            at=at,
            air_c=found.celsius(air[row]),
            humidity=found.share(humidity[row]),
            cloud=found.share(cloud[row]),
            wind_m_s=found.wind(wind[row]),
            gust_m_s=found.gust(gust[row], wind[row]),
            rain_mm=found.water(rain[row]),
            snow_cm=found.snow(snow[row]),
        )
        for row, at in enumerate(times)
    )


def _moved(values: Sequence[float | None], times: Sequence[datetime]) -> Sequence[float | None]:
    """Each value at the beginning of the hour at whose end it stands."""
    ends_at = dict(zip(times, values, strict=True))
    return [ends_at.get(at + _HOUR) for at in times]


def _unix(value: object) -> datetime:
    seconds = found.number(value)
    if seconds is None:
        raise NoForecast("shape")
    try:
        return datetime.fromtimestamp(seconds, UTC)
    except (ValueError, OverflowError, OSError):
        raise NoForecast("times") from None
