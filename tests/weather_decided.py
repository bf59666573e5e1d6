"""Weather as it is decided of a day, and what a journal has of it."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime

from scheduler.cares.decided import DecidedDay
from scheduler.climate.forecast import Measured
from scheduler.climate.weather import Reading, Weather
from scheduler.journal import weather
from scheduler.journal.store import Journal

DECIDED_AT = datetime(2026, 12, 20, 7, 30, tzinfo=UTC)


def decided(day: date, low_c: float = -3.0, at: datetime = DECIDED_AT) -> DecidedDay:
    """A day with so cold a night, on which signs of frost hold."""
    reading = Reading(value=low_c, sd=1.3, source="forecast", at=DECIDED_AT)
    high_c, humidity = replace(reading, value=4.0), replace(reading, value=0.8)
    of_day = Weather(day=day, low_c=reading, high_c=high_c, humidity_at_high=humidity)
    return DecidedDay(weather=of_day, decided_at=at, signs=frozenset({"ice", "frost"}))


def keep_decided(journal: Journal, site_id: str, days: Iterable[DecidedDay]) -> None:
    """Keeps them in a transaction of its own."""
    with journal.writing() as writing:
        weather.decide(writing.connection, site_id, days)


def decided_days(
    journal: Journal, site_id: str, first: date = date.min, last: date = date.max
) -> tuple[DecidedDay, ...]:
    """What the journal has of those days."""
    with journal.reading() as connection:
        return weather.decided(connection, site_id, first, last)


def measured_since(
    journal: Journal, site_id: str, at: datetime
) -> tuple[tuple[str, Measured], ...]:
    """What the journal has of every thermometer since then."""
    with journal.reading() as connection:
        return weather.measured_since(connection, site_id, at)
