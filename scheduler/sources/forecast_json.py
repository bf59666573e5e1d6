"""What the forecasts of all services have in common: JSON, numbers with units, and sound hours."""

import json
import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import Any, NoReturn

from scheduler.climate.forecast import Forecast, Hour
from scheduler.sources.forecast_port import Place, Unreadable, UnreadableKind

COLDEST_C = -80.0
WARMEST_C = 60.0
_FARTHEST_DEG = 0.5
_FUTURE = timedelta(hours=1)
_WINDIEST_M_S = 150.0
_WETTEST_MM = 2000.0  # of a period; the record for a day is 1825 mm (from memory)
_SNOWIEST_CM = 500.0
_HUMIDITY_PERCENT = 110.0  # services round and overshoot
# Fresh snow: 7 cm are 10 mm of water (Open-Meteo's documentation).
SNOW_CM_PER_MM = 0.7
# Snow at or below the first, rain from the second; half of each between (from memory).
_SNOW_UP_TO_C = 0.5
_RAIN_FROM_C = 1.5

Convert = Callable[[float], float]


class NoForecast(Exception):  # noqa: N818 # it never leaves the room: `reading` makes it a value
    """What was found cannot be used."""

    def __init__(self, kind: UnreadableKind) -> None:
        super().__init__(kind)
        self.kind: UnreadableKind = kind


def reading(read: Callable[[], Forecast]) -> Forecast | Unreadable:
    """What `read` returns, or why it could not."""
    try:
        return read()
    except NoForecast as fault:
        return Unreadable(fault.kind)


def parsed(body: bytes) -> Mapping[str, Any]:
    """The JSON object; NaN and Infinity are none."""
    try:
        whole = json.loads(body, parse_constant=_no_constant)
    except (ValueError, RecursionError):
        raise NoForecast("not json") from None
    return table(whole)


def _no_constant(text: str) -> NoReturn:
    raise ValueError(text)


def table(value: object) -> Mapping[str, Any]:
    """The value as a JSON object."""
    if not isinstance(value, dict):
        raise NoForecast("shape")
    return value


def rows(value: object) -> Sequence[Any]:
    """The value as a JSON array."""
    if not isinstance(value, list):
        raise NoForecast("shape")
    return value


def number(value: object) -> float | None:
    """The number; None for null."""
    if value is None:
        return None
    if isinstance(value, bool) or not isinstance(value, int | float):
        raise NoForecast("shape")
    try:
        found = float(value)
    except OverflowError:
        raise NoForecast("shape") from None
    if not math.isfinite(found):
        raise NoForecast("shape")
    return found


def instant(value: object) -> datetime:
    """An ISO 8601 date-time with its zone, in UTC."""
    if not isinstance(value, str):
        raise NoForecast("shape")
    try:
        at = datetime.fromisoformat(value)
        if at.tzinfo is None:
            raise NoForecast("shape")
        return at.astimezone(UTC)
    except (ValueError, OverflowError):
        raise NoForecast("shape") from None


def celsius(value: float | None) -> float | None:
    """A temperature that occurs on Earth; any other spoils the whole forecast."""
    if value is not None and not COLDEST_C <= value <= WARMEST_C:
        raise NoForecast("temperature")
    return value


def share(percent: float | None) -> float | None:
    """A share from 0 to 1 of a percentage; None for one that cannot be."""
    if percent is None or not 0 <= percent <= _HUMIDITY_PERCENT:
        return None
    return min(percent / 100, 1.0)


def wind(metres_a_second: float | None) -> float | None:
    """A wind that occurs."""
    return _within(metres_a_second, _WINDIEST_M_S)


def water(millimetres: float | None) -> float | None:
    """What can fall in a period."""
    return _within(millimetres, _WETTEST_MM)


def snow(centimetres: float | None) -> float | None:
    """What can lie after a period."""
    return _within(centimetres, _SNOWIEST_CM)


def _within(value: float | None, most: float) -> float | None:
    return value if value is not None and 0 <= value <= most else None


def gust(gust_m_s: float | None, wind_m_s: float | None) -> float | None:
    """A gust that occurs, and no less than the wind; None where none is told.

    Services tell gusts below the wind; the wind alone says nothing of gusts.
    """
    told, blows = wind(gust_m_s), wind(wind_m_s)
    return told if told is None or blows is None else max(told, blows)


def snow_of(rain_mm: float | None, air_c: float | None) -> float | None:
    """How deep the snow is of that much water at that temperature."""
    if rain_mm is None or air_c is None:
        return None
    frozen = 1.0 if air_c <= _SNOW_UP_TO_C else 0.0 if air_c >= _RAIN_FROM_C else 0.5
    return SNOW_CM_PER_MM * rain_mm * frozen


def sound(forecast: Forecast, place: Place, got_at: datetime) -> Forecast:
    """The forecast, if it is one for that place that could be had at that instant.

    Its times rise, it has a temperature, it lies within half a degree of the place, and it was not
    made more than an hour later than it came.
    """
    if not any(hour.air_c is not None for hour in forecast.hours):
        raise NoForecast("empty")
    if any(first.at >= second.at for first, second in pairwise(forecast.hours)):
        raise NoForecast("times")
    if not _near(forecast, place):
        raise NoForecast("place")
    if forecast.made_at > got_at + _FUTURE:
        raise NoForecast("future")
    return forecast


def _near(forecast: Forecast, place: Place) -> bool:
    north = abs(forecast.latitude_deg - place.latitude_deg)
    around = abs((forecast.longitude_deg - place.longitude_deg + 180) % 360 - 180)
    # Degrees of longitude shrink towards the poles; a service's grid does not.
    east = around * math.cos(math.radians(place.latitude_deg))
    return max(north, east) <= _FARTHEST_DEG


def hours_within(hour: Hour, following: datetime | None) -> Hour:
    """The hour with its span cut at the next one; sums are shared out evenly."""
    if following is None or following - hour.at >= timedelta(hours=hour.hours):
        return hour
    spans = (following - hour.at) / timedelta(hours=1)
    part = spans / hour.hours

    def cut(value: float | None) -> float | None:
        return None if value is None else value * part

    return replace(hour, hours=spans, rain_mm=cut(hour.rain_mm), snow_cm=cut(hour.snow_cm))
