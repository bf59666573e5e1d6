"""MET Norway's Locationforecast 2.0 on loopback.

Written from its published documentation: ForecastJSON (one more instant than periods, hourly and
then six-hourly steps), the Locationforecast data model, HTTP status codes, terms of service.
"""

import math
from datetime import datetime, timedelta
from typing import Any
from urllib.parse import parse_qs, urlsplit

from tests.sources.weather_server import Asked, Said, WeatherServer, decimals

UNITS = {
    "air_pressure_at_sea_level": "hPa",
    "air_temperature": "celsius",
    "air_temperature_max": "celsius",
    "air_temperature_min": "celsius",
    "cloud_area_fraction": "%",
    "precipitation_amount": "mm",
    "relative_humidity": "%",
    "wind_from_direction": "degrees",
    "wind_speed": "m/s",
    "wind_speed_of_gust": "m/s",
}
HOURLY = 55


class MetNorwayServer(WeatherServer):
    """403 without a name or with five decimals, 422 outside its area (here: the Antarctic)."""

    def answer(self, asked: Asked) -> Said:
        url = urlsplit(asked.path)
        query = {name: values[0] for name, values in parse_qs(url.query).items()}
        agent = asked.headers.get("User-Agent", "")
        if url.path != "/weatherapi/locationforecast/2.0/complete":
            return Said(status=404)
        if "@" not in agent and "http" not in agent:
            return Said(status=403, body=b"<html>Forbidden</html>")
        if max(decimals(query["lat"]), decimals(query["lon"])) > 4:
            return Said(status=403, body=b"<html>Too many decimals</html>")
        if "." in query.get("altitude", "") or set(query) - {"lat", "lon", "altitude"}:
            return Said(status=400, body=b"<html>Bad request</html>")
        if float(query["lat"]) < -60:
            return Said(status=422)
        altitude = int(query.get("altitude", "200"))
        place = [float(query["lon"]), float(query["lat"]), altitude]
        return self.conditional(asked, document(place, self.made_at))


def document(place: list[float], made_at: datetime, celsius: float = 4.0) -> dict[str, Any]:
    """Nine days from the hour in which it was made: 55 hours, then six-hourly, then an end."""
    first = made_at.replace(minute=0, second=0, microsecond=0)
    hourly = [first + timedelta(hours=number) for number in range(HOURLY)]
    second = first + timedelta(hours=HOURLY)
    later = [second + timedelta(hours=6 * number) for number in range(27)]
    entries = [entry(at, celsius, one=True, six=True) for at in hourly]
    entries += [entry(at, celsius, one=False, six=True) for at in later]
    entries.append(entry(later[-1] + timedelta(hours=6), celsius, one=False, six=False))
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": place},
        "properties": {
            "meta": {"updated_at": f"{made_at:%Y-%m-%dT%H:%M:%SZ}", "units": dict(UNITS)},
            "timeseries": entries,
        },
    }


def air(at: datetime, celsius: float) -> float:
    """A day's wave, coldest at 05:00 UTC."""
    return round(celsius - 5 * math.cos((at.hour - 5) / 12 * math.pi), 1)


def entry(at: datetime, celsius: float, *, one: bool, six: bool) -> dict[str, Any]:
    """What is at a time, and the periods that begin with it."""
    data: dict[str, Any] = {
        "instant": {
            "details": {
                "air_pressure_at_sea_level": 1012.0,
                "air_temperature": air(at, celsius),
                "relative_humidity": 88.6,
                "cloud_area_fraction": 98.0,
                "wind_speed": 2.5,
                "wind_speed_of_gust": 6.6,
            }
        }
    }
    if one:
        data["next_1_hours"] = {"summary": {}, "details": {"precipitation_amount": 0.4}}
    if six:
        data["next_6_hours"] = {
            "summary": {},
            "details": {
                "air_temperature_min": air(at, celsius) - 1.5,
                "air_temperature_max": air(at, celsius) + 1.5,
                "precipitation_amount": 2.4,
            },
        }
    return {"time": f"{at:%Y-%m-%dT%H:%M:%SZ}", "data": data}
