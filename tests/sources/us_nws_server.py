"""The US National Weather Service's API on loopback: points, gridpoints, alerts/active.

Written from its published OpenAPI description and the documentation of weather-gov/api: errors as
problem+json, 403 without a User-Agent, ISO 8601 intervals, `uom` by layer, alerts as GeoJSON
(CAP 1.2).
"""

import json
from datetime import datetime, timedelta
from email.utils import format_datetime
from typing import Any
from urllib.parse import parse_qs, urlsplit

from tests.sources.met_norway_server import air
from tests.sources.weather_server import Asked, Said, WeatherServer, decimals, packed


def problem(status: int, title: str) -> Said:
    """An error as it says it."""
    body = {"title": title, "status": status, "detail": title, "type": "about:blank"}
    return Said(
        status=status,
        headers={"Content-Type": "application/problem+json"},
        body=json.dumps(body).encode(),
    )


class UsNwsServer(WeatherServer):
    """404 outside the United States (here: east of 60° W), and for a grid that has `moved`."""

    def __init__(self, *rest: Any) -> None:
        super().__init__(*rest)
        self.grid = ("GYX", 52, 77)
        self.alerts: list[dict[str, Any]] = []

    def answer(self, asked: Asked) -> Said:
        url = urlsplit(asked.path)
        if not asked.headers.get("User-Agent"):
            return problem(403, "Forbidden")
        match url.path.strip("/").split("/"):
            case ["points", point]:
                return self._point(point)
            case ["gridpoints", office, square] if (office, *map(int, square.split(","))) == (
                self.grid
            ):
                return self.conditional(asked, grid((44.3, -71.2), self.made_at))
            case ["alerts", "active"]:
                assert "point" in parse_qs(url.query)
                return packed(asked, collection(self.alerts), self.caching())
        return problem(404, "Not Found")

    def _point(self, point: str) -> Said:
        north, east = point.split(",")
        if max(decimals(north), decimals(east)) > 4:
            return problem(400, "Bad Request")
        if point.endswith("0") and "." in east:
            return Said(status=301, headers={"Location": f"/points/{north},{float(east):g}"})
        if float(east) > -60:
            return problem(404, "Data Unavailable For Requested Point")
        office, x, y = self.grid
        address = f"https://api.weather.gov/gridpoints/{office}/{x},{y}"
        body = {"properties": {"forecastGridData": address, "timeZone": "America/New_York"}}
        return Said(headers=self.caching(), body=json.dumps(body).encode())

    def caching(self) -> dict[str, str]:
        return {
            "Date": format_datetime(self.now, usegmt=True),
            "Cache-Control": "public, max-age=1800, s-maxage=3600",
        }


def run(at: datetime, hours: int, value: float | None) -> dict[str, Any]:
    """A value for so many hours."""
    days, rest = divmod(hours, 24)
    lasts = "P" + (f"{days}D" if days else "") + (f"T{rest}H" if rest else "")
    return {"validTime": f"{at.isoformat()}/{lasts}", "value": value}


def grid(where: tuple[float, float], made_at: datetime, celsius: float = 4.0) -> dict[str, Any]:
    """Seven days of hours, from six hours before it was made."""
    north, east = where
    first = made_at.replace(minute=0, second=0, microsecond=0) - timedelta(hours=6)
    times = [first + timedelta(hours=number) for number in range(168)]
    whole = 168

    def layer(uom: str, *values: dict[str, Any]) -> dict[str, Any]:
        return {"uom": f"wmoUnit:{uom}", "values": list(values)}

    corners = [(-0.02, -0.02), (0.02, -0.02), (0.02, 0.02), (-0.02, 0.02), (-0.02, -0.02)]
    return {
        "geometry": {
            "type": "Polygon",
            "coordinates": [[[east + x, north + y] for x, y in corners]],
        },
        "properties": {
            "updateTime": made_at.isoformat(),
            "validTimes": f"{first.isoformat()}/P7D",
            "elevation": {"unitCode": "wmoUnit:m", "value": 253.0},
            "temperature": layer("degC", *(run(at, 1, air(at, celsius)) for at in times)),
            "minTemperature": layer("degC", run(times[8], 12, celsius - 6.0)),
            "maxTemperature": layer("degC", run(times[20], 12, celsius + 7.0)),
            "relativeHumidity": layer("percent", run(first, whole, 80)),
            "skyCover": layer("percent", run(first, 6, 100), run(times[6], whole - 6, 20)),
            "windSpeed": layer("km_h-1", run(first, whole, 18.0)),
            "windGust": layer("km_h-1", run(first, 36, 36.0), run(times[36], 132, None)),
            "quantitativePrecipitation": layer("mm", run(first, 6, 3.0), run(times[6], 162, 0)),
            "snowfallAmount": layer("mm", run(first, 6, 30.0), run(times[6], 162, 0)),
        },
    }


def collection(alerts: list[dict[str, Any]]) -> dict[str, Any]:
    """Alerts as GeoJSON."""
    return {
        "type": "FeatureCollection",
        "features": [{"type": "Feature", "properties": each} for each in alerts],
    }


def alert(now: datetime, event: str, **changes: Any) -> dict[str, Any]:
    """One in force from now for six hours."""
    return {
        "id": f"urn:oid:2.49.0.1.840.0.{event}",
        "status": "Actual",
        "messageType": "Alert",
        "event": event,
        "severity": "Severe",
        "certainty": "Likely",
        "sent": (now - timedelta(hours=1)).isoformat(),
        "effective": (now - timedelta(hours=1)).isoformat(),
        "onset": now.isoformat(),
        "expires": (now + timedelta(hours=4)).isoformat(),
        "ends": (now + timedelta(hours=6)).isoformat(),
        "senderName": "NWS Gray ME",
        "headline": f"{event} issued November 30 at 4:12AM EST by NWS Gray ME",
        "instruction": "Take care.",
        "references": [],
        "parameters": {},
        **changes,
    }
