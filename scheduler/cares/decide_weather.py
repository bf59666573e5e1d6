"""Decides twice a day what of the weather the plan goes by, and in between only what is worse."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.dark_under_cloud import minutes_earlier
from scheduler.cares.decided import DecidedDay
from scheduler.cares.forecast_reports import is_emergency
from scheduler.cares.triggers import WeatherSign
from scheduler.cares.weather_signs import signs_of
from scheduler.climate.curve import Averages
from scheduler.climate.weather import Weather
from scheduler.light.sun import Sky

_DAY = timedelta(days=1)


def weather_signs(cares: Catalogue) -> tuple[WeatherSign, ...]:
    """Every sign that a care waits for, each once."""
    return tuple(dict.fromkeys(c.due for c in cares if isinstance(c.due, WeatherSign)))


def decide(  # noqa: PLR0913 - a day's weather, and what it is judged by
    weather: Weather,
    signs: Iterable[WeatherSign],
    averages: Averages,
    sky: Sky,
    *,
    before: DecidedDay | None,
    today: date,
    now: datetime,
) -> DecidedDay:
    """What the plan goes by on the weather's day; `before` is what was decided of it last.

    What held as the day began stays on it, though it is not needed any more; so does an emergency,
    which nobody is told of before the day that it follows.
    """
    had = before.signs if before else frozenset()
    signs = tuple(signs)
    holds = signs_of(signs, averages, weather, had)
    stood: frozenset[str] = frozenset()
    if before and weather.day <= today:
        stood = (before.stood | had) - holds
    is_urgent = weather.day <= today + _DAY and is_emergency(weather, holds)
    since = before.emergency_since if before else None
    cloud, rain = weather.cloud_at_dusk, weather.rain_at_dusk_mm
    return DecidedDay(
        weather=weather,
        decided_at=now,
        signs=holds,
        stood=stood,
        shift_minutes=minutes_earlier(
            sky, weather.day, cloud.value if cloud else 0.0, rain.value if rain else 0.0
        ),
        emergency_since=since or (now if is_urgent else None),
    )


def added(before: DecidedDay | None, found: DecidedDay) -> DecidedDay | None:
    """What may be decided between two decisions: more signs or warnings, and nothing taken back.

    None where nothing is added.
    """
    if before is None:
        return found
    known = {one.id for one in before.weather.warnings}
    more = found.signs - before.signs - before.stood
    new = [one for one in found.weather.warnings if one.id not in known]
    if not more and not new:
        return None
    warnings = (*before.weather.warnings, *new)
    return replace(
        before,
        weather=replace(found.weather, warnings=warnings),
        decided_at=found.decided_at,
        signs=before.signs | more,
        emergency_since=before.emergency_since or found.emergency_since,
    )
