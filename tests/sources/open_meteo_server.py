"""Open-Meteo's /v1/forecast on loopback.

Written from its published documentation: parameters, `hourly_units`, errors as HTTP 400 with
`{"error": true, "reason": …}`, sums at the end of their hour, unixtime in UTC from midnight on.
"""

import json
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import parse_qs, urlsplit

from tests.sources.met_norway_server import air
from tests.sources.weather_server import Asked, Said, WeatherServer, packed

UNITS = {
    "temperature_2m": "°C",
    "relative_humidity_2m": "%",
    "precipitation": "mm",
    "snowfall": "cm",
    "wind_speed_10m": "m/s",
    "wind_gusts_10m": "m/s",
    "cloud_cover": "%",
}
USUAL = {
    "relative_humidity_2m": 86,
    "precipitation": 0.2,
    "snowfall": 0.0,
    "wind_speed_10m": 3.0,
    "wind_gusts_10m": 6.2,
    "cloud_cover": 100,
}
REASON = "Minutely API request limit exceeded. Please try again in one minute."


def error(status: int, reason: str) -> Said:
    """An error as it says it."""
    return Said(status=status, body=json.dumps({"error": True, "reason": reason}).encode())


class OpenMeteoServer(WeatherServer):
    """400 to what it does not know; no condition, no promise of Expires."""

    def answer(self, asked: Asked) -> Said:
        url = urlsplit(asked.path)
        query = {name: values[0] for name, values in parse_qs(url.query).items()}
        if url.path != "/v1/forecast":
            return Said(status=404)
        wanted = query["hourly"].split(",")
        if unknown := set(wanted) - set(UNITS):
            reason = f"Cannot initialize WeatherVariable from invalid String value {unknown}"
            return error(400, reason)
        if not -90 <= float(query["latitude"]) <= 90:
            return error(400, "Latitude must be in range of -90 to 90°.")
        assert query["timezone"] == "UTC"
        assert query["timeformat"] == "unixtime"
        assert query["wind_speed_unit"] == "ms"
        where = (float(query["latitude"]), float(query["longitude"]))
        days = int(query["forecast_days"])
        height = float(query.get("elevation", 212))
        return packed(asked, document(where, self.now, wanted, days=days, height_m=height), {})


def document(  # noqa: PLR0913 - each is a thing that one can ask it
    where: tuple[float, float],
    now: datetime,
    wanted: list[str] | None = None,
    *,
    celsius: float = 4.0,
    days: int = 7,
    height_m: float = 212.0,
) -> dict[str, Any]:
    """So many days from UTC midnight on."""
    first = now.replace(hour=0, minute=0, second=0, microsecond=0)
    times = [first + timedelta(hours=number) for number in range(24 * days)]
    wanted = list(UNITS) if wanted is None else wanted
    columns: dict[str, list[Any]] = {
        name: [air(at, celsius) if name == "temperature_2m" else USUAL[name] for at in times]
        for name in wanted
    }
    return {
        "latitude": where[0],
        "longitude": where[1],
        "elevation": height_m,
        "generationtime_ms": 0.3,
        "utc_offset_seconds": 0,
        "timezone": "UTC",
        "hourly_units": {"time": "unixtime", **{name: UNITS[name] for name in wanted}},
        "hourly": {"time": [int(at.timestamp()) for at in times], **columns},
    }
