"""Decides twice a day what of the weather the plan goes by, and in between only what is worse."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.dark_under_cloud import minutes_earlier
from scheduler.cares.decided import DecidedDay
from scheduler.cares.forecast_reports import told_signs
from scheduler.cares.triggers import WeatherSign
from scheduler.cares.weather_signs import EMERGENCY, signs_of
from scheduler.climate.curve import Averages
from scheduler.climate.weather import Reading, Weather
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

    What held as the day began stays on it, though it is not needed any more; so does an emergency
    that was told. Nobody is told of an emergency before the day that it follows.
    """
    had, begun = _held(before), weather.day <= today
    holds = signs_of(signs, averages, weather, had) | told_signs(weather, had)
    told = dict(before.told_since) if before else {}
    if weather.day <= today + _DAY:
        told = {sign: now for sign in holds if sign.endswith(EMERGENCY)} | told
    cloud, rain = weather.cloud_at_dusk, weather.rain_at_dusk_mm
    return DecidedDay(
        weather=weather,
        decided_at=now,
        signs=holds,
        stood=(before.stood | had) - holds if before and begun else frozenset(),
        shift_minutes=minutes_earlier(
            sky, weather.day, cloud.value if cloud else 0.0, rain.value if rain else 0.0
        ),
        told_since=tuple(sorted(told.items())),
    )


def added(before: DecidedDay | None, found: DecidedDay) -> DecidedDay | None:
    """What may be decided between two decisions: more signs, and nothing taken back.

    Warnings are those in force, whatever was decided of their jobs. None where nothing is new.
    """
    if before is None:
        return found
    more = found.signs - before.signs
    warnings = found.weather.warnings
    if not more and warnings == before.weather.warnings:
        return None
    return replace(
        before,
        weather=replace(_worse(before.weather, found.weather), warnings=warnings),
        decided_at=found.decided_at,
        signs=before.signs | more,
        stood=before.stood - more,
        told_since=found.told_since,
    )


def _held(before: DecidedDay | None) -> frozenset[str]:
    """What held at the last decision; an emergency days ahead that nobody was told of does not."""
    if before is None:
        return frozenset()
    return frozenset(
        sign for sign in before.signs if not sign.endswith(EMERGENCY) or before.since(sign)
    )


def _worse(before: Weather, found: Weather) -> Weather:
    """What was decided, but for what is found to be worse: colder, hotter, windier, more snow."""
    index = _more(before.index_f, found.index_f)
    return replace(
        before,
        low_c=min(before.low_c, found.low_c, key=_value),
        high_c=max(before.high_c, found.high_c, key=_value),
        index_f=index,
        hot_from=found.hot_from if index is found.index_f else before.hot_from,
        gust_m_s=_more(before.gust_m_s, found.gust_m_s),
        snow_cm=_more(before.snow_cm, found.snow_cm),
    )


def _more(before: Reading | None, found: Reading | None) -> Reading | None:
    return max((one for one in (before, found) if one), key=_value, default=None)


def _value(reading: Reading) -> float:
    return reading.value
