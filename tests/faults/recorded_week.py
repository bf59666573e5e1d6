"""A recorded week, and a service that forecasts it anew every six hours, in MET Norway's form.

The week is made up, for a garden near London in May: mild, then a cold front with two nights of
frost, then heat to 36 °C, then a storm with gusts of 24 m/s under heavy cloud, then mild again.
"""

import csv
import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import parse_qs, urlsplit

from tests.sources.met_norway_server import UNITS
from tests.sources.weather_server import Asked, Said, WeatherServer

FIRST = date(2027, 5, 1)
HOUR = timedelta(hours=1)
_AHEAD_H, _HOURLY = 9 * 24, 55
_READY_AFTER = timedelta(minutes=50)  # an issue is worked out for so long
_OFF_A_DAY_C = 0.6  # by how much an issue errs for each day ahead, now above, now below
_FILE = Path(__file__).parents[1] / "data" / "weather-week.csv"


@dataclass(frozen=True, slots=True, kw_only=True)
class Came:
    """An hour as it came."""

    air_c: float
    humidity: float
    cloud: float
    wind_m_s: float
    gust_m_s: float
    rain_mm: float


@cache
def week() -> Mapping[datetime, Came]:
    """Every hour that is recorded."""
    with _FILE.open(encoding="utf-8", newline="") as lines:
        return {
            datetime.fromisoformat(row.pop("time")): Came(
                **{name: float(value) for name, value in row.items()}
            )
            for row in csv.DictReader(lines)
        }


def came(at: datetime) -> Came:
    """The hour, or the same one of the last day that is recorded."""
    recorded = week()
    last = max(recorded)
    while at > last:
        at -= 24 * HOUR
    return recorded[at]


def issued_at(now: datetime) -> datetime:
    """When the newest issue that can be had at `now` was made: at 0, 6, 12 and 18 UTC."""
    ready = now - _READY_AFTER
    return ready.replace(hour=ready.hour // 6 * 6, minute=0, second=0, microsecond=0)


class WeekServer(WeatherServer):
    """Serves the newest issue; 304 to who has it."""

    def answer(self, asked: Asked) -> Said:
        query = {name: values[0] for name, values in parse_qs(urlsplit(asked.path).query).items()}
        self.made_at = issued_at(self.now)
        place = [float(query["lon"]), float(query["lat"]), 20]
        return self.conditional(asked, issue(self.made_at, place))


def issue(made_at: datetime, place: list[float]) -> dict[str, Any]:
    """What the issue made at that instant says: the nearer, the truer."""
    sign = 1 if made_at.hour in {0, 12} else -1
    times = [made_at + n * HOUR for n in range(_HOURLY)]
    times += [made_at + n * HOUR for n in range(_HOURLY, _AHEAD_H, 6)]

    def air_c(at: datetime) -> float:
        return round(came(at).air_c + sign * _OFF_A_DAY_C * ((at - made_at) / (24 * HOUR)), 1)

    def entry(at: datetime, hours: int) -> dict[str, Any]:
        one, span = came(at), [at + n * HOUR for n in range(hours)]
        details = {
            "air_temperature": air_c(at),
            "relative_humidity": round(100 * one.humidity, 1),
            "cloud_area_fraction": round(100 * one.cloud, 1),
            "wind_speed": one.wind_m_s,
            "wind_speed_of_gust": max(came(each).gust_m_s for each in span),
        }
        falls: dict[str, float] = {
            "precipitation_amount": round(math.fsum(came(each).rain_mm for each in span), 1)
        }
        if hours > 1:
            falls["air_temperature_min"] = min(map(air_c, span))
            falls["air_temperature_max"] = max(map(air_c, span))
        period = "next_1_hours" if hours == 1 else "next_6_hours"
        return {
            "time": f"{at:%Y-%m-%dT%H:%M:%SZ}",
            "data": {"instant": {"details": details}, period: {"details": falls}},
        }

    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": place},
        "properties": {
            "meta": {"updated_at": f"{made_at:%Y-%m-%dT%H:%M:%SZ}", "units": dict(UNITS)},
            "timeseries": [
                entry(at, 1 if number < _HOURLY else 6) for number, at in enumerate(times)
            ],
        },
    }


def midnight(day: date) -> datetime:
    """The day's first instant in UTC."""
    return datetime(day.year, day.month, day.day, tzinfo=UTC)
