"""A forecast source without a wire: it answers what it is told to, and keeps the promises."""

import json
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import ClassVar

from scheduler.channels.http import Request
from scheduler.climate.forecast import Forecast, ForecastSource, Hour
from scheduler.sources.forecast_json import (
    NoForecast,
    celsius,
    instant,
    number,
    parsed,
    reading,
    rows,
    sound,
)
from scheduler.sources.forecast_port import Answer, Asking, Fresh, Place, Unreadable


@dataclass
class FakeForecast:
    """Gives the next of its `answers`, else a week of one temperature made an hour ago."""

    answers: list[Answer] = field(default_factory=list)
    celsius: float = 4.0
    asked: list[Asking] = field(default_factory=list)
    name: ClassVar[ForecastSource] = "met-norway"

    def requests(self, asking: Asking) -> tuple[Request, ...]:
        """As a real one would have them."""
        place = asking.place
        url = f"https://weather.example.net/?at={place.latitude},{place.longitude}"
        return (Request(method="GET", url=url, headers=asking.headers),)

    def fetch(self, asking: Asking, now: datetime) -> Answer:
        """The next answer."""
        self.asked.append(asking)
        if self.answers:
            return self.answers.pop(0)
        made_at = (now - timedelta(hours=1)).isoformat()
        place = asking.place
        told = {
            "made_at": made_at,
            "celsius": self.celsius,
            "place": [place.latitude_deg, place.longitude_deg],
        }
        return Fresh(body=json.dumps(told).encode(), expires=now + timedelta(minutes=30))

    def read(self, body: bytes, place: Place, got_at: datetime) -> Forecast | Unreadable:
        """A week of hours from the one in which it was made."""

        def read() -> Forecast:
            told = parsed(body)
            made_at = instant(told.get("made_at"))
            first = made_at.replace(minute=0, second=0, microsecond=0)
            where = rows(told.get("place"))
            if len(where) != 2:
                raise NoForecast("shape")
            latitude, longitude = map(number, where)
            air_c = celsius(number(told.get("celsius")))
            hours = [
                Hour(at=first + timedelta(hours=after), air_c=air_c, humidity=0.8)
                for after in range(168)
            ]
            forecast = Forecast(
                source=self.name,
                made_at=made_at,
                latitude_deg=latitude or 0.0,
                longitude_deg=longitude or 0.0,
                hours=hours,
            )
            return sound(forecast, place, got_at)

        return reading(read)
