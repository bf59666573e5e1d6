"""Weather as it is decided of a day."""

from dataclasses import replace
from datetime import UTC, date, datetime

from scheduler.cares.decided import DecidedDay
from scheduler.climate.weather import Reading, Weather

DECIDED_AT = datetime(2026, 12, 20, 7, 30, tzinfo=UTC)


def decided(day: date, low_c: float = -3.0, at: datetime = DECIDED_AT) -> DecidedDay:
    """A day with so cold a night, on which signs of frost hold."""
    reading = Reading(value=low_c, sd=1.3, source="forecast", at=DECIDED_AT)
    high_c, humidity = replace(reading, value=4.0), replace(reading, value=0.8)
    of_day = Weather(day=day, low_c=reading, high_c=high_c, humidity_at_high=humidity)
    return DecidedDay(weather=of_day, decided_at=at, signs=frozenset({"ice", "frost"}))
