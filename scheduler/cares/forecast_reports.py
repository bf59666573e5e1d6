"""What a forecast reports by itself, as somebody might: heat that kills, storm and snow."""

from collections.abc import Iterable, Iterator
from datetime import datetime

from scheduler.cares.decided import GALE, WIND, DecidedDay
from scheduler.cares.records import Report, Spell, WeatherKind
from scheduler.cares.weather_signs import EMERGENCY
from scheduler.climate.forecast import OfficialWarning
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


def told_signs(weather: Weather) -> frozenset[str]:
    """The keys of wind, storm and snow, as far as they are told of the day."""
    gust_m_s = weather.gust_m_s.value if weather.gust_m_s else 0.0
    found = {
        WIND: _WIND_M_S <= gust_m_s < _STORM_M_S,
        STORM: gust_m_s >= _STORM_M_S,
        GALE: gust_m_s >= _GALE_M_S,
        LOUD_STORM: gust_m_s >= _LOUD_STORM_M_S,
        SNOW: weather.snow_cm is not None and _is_much_snow(weather, weather.snow_cm.value),
    }
    return frozenset(sign for sign, holds in found.items() if holds)


def is_emergency(weather: Weather, signs: Iterable[str]) -> bool:
    """Whether somebody is told at once: of heat that kills, or of a storm that does damage."""
    return any(sign.endswith(EMERGENCY) for sign in signs) or any(map(_rings, weather.warnings))


def forecast_reports(days: Iterable[DecidedDay]) -> Iterator[Report]:
    """Each as a report of its one day, by the service that tells it, since it was decided."""
    for one in days:
        weather, spell = one.weather, Spell(first=one.day, last=one.day)
        since = one.emergency_since or one.decided_at
        is_told = one.emergency_since is not None
        signs = one.signs | one.stood
        if is_told and any(_is_hot_emergency(sign) for sign in signs):
            high_c, by = _said_c(weather.high_c), _who(weather.high_c)
            yield Report(
                kind="heat", spell=spell, air_c=high_c, made_at=since, said_by=by, forecast=True
            )
        if STORM in signs:
            loud = is_told and LOUD_STORM in signs
            yield _of("storm", spell, since, weather.gust_m_s, rings=loud)
        if SNOW in signs:
            yield _of("snow", spell, since, weather.snow_cm, rings=False)
        for warning in weather.warnings:
            yield Report(
                kind=warning.kind,
                spell=spell,
                made_at=since,
                said_by=warning.sender,
                forecast=True,
                rings=is_told and _rings(warning),
            )


def _is_hot_emergency(sign: str) -> bool:
    return sign.startswith("heat") and sign.endswith(EMERGENCY)


def _of(
    kind: WeatherKind, spell: Spell, since: datetime, told: Reading | None, *, rings: bool
) -> Report:
    return Report(
        kind=kind, spell=spell, made_at=since, said_by=_who(told), forecast=True, rings=rings
    )


def _rings(warning: OfficialWarning) -> bool:
    """Whether it is a warning of storm or heat: an advisory, or frost, is for the day's jobs."""
    return warning.kind != "frost" and warning.event.endswith(_WARNING)


def _said_c(told: Reading) -> float:
    """In whole degrees as its service says, since it is told in that one's name."""
    return round(told.value if told.told is None else told.told)


def _who(told: Reading | None) -> str:
    return by_code(ForecastServices, told.by)() if told and told.by else ""


def _is_much_snow(weather: Weather, snow_cm: float) -> bool:
    mean_c = (weather.low_c.value + weather.high_c.value) / 2
    wet = _WET_C[0] <= mean_c <= _WET_C[1]
    return snow_cm >= (_WET_SNOW_CM if wet else _SNOW_CM) and weather.low_c.value <= _SNOW_MOST_C
