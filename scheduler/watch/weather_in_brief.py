"""What of the weather the brief tells once: no forecast any more, and the first frost."""

from collections.abc import Iterator
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.climate.chance import DUE_FROM, FROST, below, first_frost
from scheduler.climate.curve import Averages, averages
from scheduler.climate.weather import Reading
from scheduler.journal import memos
from scheduler.profile.words import words
from scheduler.service.almanac import Almanac
from scheduler.service.weather.last_forecast import lost_since, none_since
from scheduler.wording.watch.morning import WeatherOnce

FORECAST_LOST, FIRST_FROST = "forecast-lost-told", "first-frost-told"
_DAY = timedelta(days=1)
_BEFORE_RARE = timedelta(days=14)  # common practice, no source
_SEASON = timedelta(days=243)  # from summer on: no later frost is the first
_AUTUMN = timedelta(days=122)  # August to November, in the south February to May


def lines(almanac: Almanac, connection: Connection, day: date, now: datetime) -> Iterator[str]:
    """What has not been told yet."""
    site_id = almanac.site_id
    lost = lost_since(almanac.profile, almanac.records, now)
    if lost and memos.recall(connection, site_id, FORECAST_LOST) != lost.isoformat():
        yield none_since(almanac.profile, lost, now)
    began = _first_frost(almanac, day)
    if began and memos.recall(connection, site_id, FIRST_FROST) != began.isoformat():
        trade = words(almanac.profile.site.region)
        if day - began < _AUTUMN:
            yield WeatherOnce.autumn(autumn=trade["autumn"], drinkers=trade["drinkers"])
        else:
            yield WeatherOnce.winter(drinkers=trade["drinkers"])


def told(almanac: Almanac, connection: Connection, day: date, now: datetime) -> None:
    """Remembers that a brief has told it."""
    found = {
        FORECAST_LOST: lost_since(almanac.profile, almanac.records, now),
        FIRST_FROST: _first_frost(almanac, day),
    }
    for name, what in found.items():
        if what and memos.recall(connection, almanac.site_id, name) != what.isoformat():
            memos.note(connection, almanac.site_id, name, what.isoformat())


def _first_frost(almanac: Almanac, day: date) -> date | None:
    """When the season began whose first frost a forecast expects in the night after that day.

    None before a fortnight ahead of what comes one year in ten, and as long after what is usual:
    later nobody knows whether it is the first.
    """
    decided = almanac.records.weather_on(day + _DAY)
    if decided is None or not _is_likely(decided.weather.low_c):
        return None
    yearly = averages(almanac.profile.on(day + _DAY))
    began = _began(yearly, day)
    usual = first_frost(yearly, began.year)
    if usual is None:  # rarely any
        return began if day - began < _SEASON else None
    early = usual.usual - usual.one_in_ten
    is_time = usual.one_in_ten - _BEFORE_RARE <= day <= usual.usual + early + _BEFORE_RARE
    return began if is_time else None


def _is_likely(low_c: Reading) -> bool:
    return low_c.source != "climate" and below(FROST.at_c, low_c.value, low_c.sd) >= DUE_FROM


def _began(yearly: Averages, day: date) -> date:
    """When the half of the year began in which the first frost may come."""
    month = 2 if yearly.southern else 8
    return date(day.year if day.month >= month else day.year - 1, month, 1)
