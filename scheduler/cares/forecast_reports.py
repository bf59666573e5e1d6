"""What a forecast reports by itself, as somebody might: heat that kills, storm and snow."""

from collections.abc import Iterable, Iterator
from datetime import datetime
from typing import get_args

from scheduler.cares.decided import GALE, WIND, DecidedDay
from scheduler.cares.records import Report, Spell, WeatherKind
from scheduler.cares.weather_signs import EMERGENCY
from scheduler.climate.forecast import OfficialWarning, WarningKind
from scheduler.climate.weather import Reading, Weather
from scheduler.wording.sources.question import ForecastServices
from scheduler.wording.words import by_code

STORM, LOUD_STORM, SNOW = "storm", f"storm:{EMERGENCY}", "snow"  # as signs of a decided day
# Gusts in m/s over open ground by Beaufort's words: at 14 whole trees are in motion, 17 breaks
# twigs off trees, 21 does slight structural damage, 25 uproots trees; what to do then is common
# practice, no source.
_WARNING = "Warning"  # as the US service names its gravest ones
_WIND_M_S, _STORM_M_S, _LOUD_STORM_M_S, _GALE_M_S = 14.0, 17.0, 21.0, 25.0
# Fresh snow that loads netting, and wet snow, which sticks to it; common practice, no source.
_SNOW_CM, _SNOW_MOST_C = 3.0, 1.5
_WET_SNOW_CM, _WET_C = 2.0, (-1.0, 1.0)
_STILL_SO, _SNOW_STILL_SO = 0.9, 2 / 3
WARNED_OF: tuple[WarningKind, ...] = get_args(WarningKind)


def told_signs(weather: Weather, had: frozenset[str] = frozenset()) -> frozenset[str]:
    """The keys of wind, storm, snow and warnings that are told of the day.

    One that was `had` holds until the wind or the snow is a tenth or a third below its limit, and
    a storm that people were called for while it is one.
    """
    gust_m_s = weather.gust_m_s.value if weather.gust_m_s else 0.0

    def blows(sign: str, limit_m_s: float) -> bool:
        return gust_m_s >= (_STILL_SO * limit_m_s if sign in had else limit_m_s)

    storm = blows(STORM, _STORM_M_S)
    found = {
        WIND: blows(WIND, _WIND_M_S) and not storm,
        STORM: storm,
        GALE: blows(GALE, _GALE_M_S),
        LOUD_STORM: gust_m_s >= _LOUD_STORM_M_S or (storm and LOUD_STORM in had),
        SNOW: _is_much_snow(weather, SNOW in had),
    }
    told = {sign for sign, holds in found.items() if holds}
    for warning in weather.warnings:
        told.add(warned(warning.kind))
        if _rings(warning):
            told.add(_loud(warned(warning.kind)))
    return frozenset(told)


def warned(kind: WeatherKind) -> str:
    """The key of official warnings of that kind."""
    return f"warned:{kind}"


def _loud(sign: str) -> str:
    return f"{sign}:{EMERGENCY}"


def forecast_reports(days: Iterable[DecidedDay]) -> Iterator[Report]:
    """Each as a report of its one day, by the service that tells it, since it was decided."""
    for one in days:
        weather, signs = one.weather, one.signs | one.stood
        for sign in sorted(filter(_is_hot_emergency, signs)):
            if since := one.since(sign):
                high_c = _said_c(weather.high_c)
                yield _of(one, "heat", _who(weather.high_c), since, air_c=high_c)
        if STORM in signs:
            yield _of(one, "storm", _who(weather.gust_m_s), one.since(LOUD_STORM))
        if SNOW in signs:
            yield _of(one, "snow", _who(weather.snow_cm), None)
        for kind in WARNED_OF:
            if warned(kind) in signs:
                senders = (each.sender for each in weather.warnings if each.kind == kind)
                since = one.since(_loud(warned(kind)))
                yield _of(one, kind, next(senders, ""), since)


def _is_hot_emergency(sign: str) -> bool:
    return sign.startswith("heat") and sign.endswith(EMERGENCY)


def _of(
    one: DecidedDay, kind: WeatherKind, who: str, since: datetime | None, air_c: float | None = None
) -> Report:
    """A report of that day; it rings where people are told of it, since when they are."""
    return Report(
        kind=kind,
        spell=Spell(first=one.day, last=one.day),
        air_c=air_c,
        made_at=since or one.decided_at,
        said_by=who,
        forecast=True,
        rings=since is not None,
    )


def _rings(warning: OfficialWarning) -> bool:
    """Whether it is a warning of storm or heat: an advisory, or frost, is for the day's jobs."""
    return warning.kind != "frost" and warning.event.endswith(_WARNING)


def _said_c(told: Reading) -> float:
    """In whole degrees as its service says, since it is told in that one's name."""
    return round(told.value if told.told is None else told.told)


def _who(told: Reading | None) -> str:
    return by_code(ForecastServices, told.by)() if told and told.by else ""


def _is_much_snow(weather: Weather, had: bool) -> bool:
    if weather.snow_cm is None or weather.low_c.value > _SNOW_MOST_C:
        return False
    mean_c = (weather.low_c.value + weather.high_c.value) / 2
    least_cm = _WET_SNOW_CM if _WET_C[0] <= mean_c <= _WET_C[1] else _SNOW_CM
    return weather.snow_cm.value >= (_SNOW_STILL_SO * least_cm if had else least_cm)
