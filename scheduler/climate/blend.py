"""The weather of a day from what is measured, forecast and usual, each as far as it can be trusted.

A forecast is blended with the year's average, not put in its place, so that it fades as it ages:
w = sd² / (sd² + σ²), value = average + w · (forecast − average), sd = sd · √(1 − w), where sd is by
how much days stray from the average and σ by how much they stray from such a forecast.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo
from math import sqrt
from typing import NamedTuple

from scheduler.climate.curve import Averages
from scheduler.climate.fold_hours import (
    DayFolded,
    HeatScale,
    Overhead,
    Window,
    day_of,
    folded,
    night_of,
    overhead,
)
from scheduler.climate.forecast import Forecast, ForecastSource, Hour, Measured, OfficialWarning
from scheduler.climate.humidity import humidity_at_high
from scheduler.climate.weather import Reading, Weather

# By whole days from when it was made: by how much lows and highs stray from it; from memory.
_STRAYS_C = (1.7, 2.0, 2.3, 2.7, 3.1, 3.6, 4.2)
_USEFUL_FOR = timedelta(days=3)  # of gusts, rain and cloud, from memory
_SNOW_USEFUL_FOR = timedelta(days=4)  # from memory
DROPPED_AFTER = timedelta(hours=36)
_THERMOMETER_SD_C = 0.5  # from memory
_GUST_OF_WIND = 1.7  # where a source tells no gusts; from memory
_SUN_C = 8.0  # sun on a thermometer's case adds 5 to 10 °C; from memory
_HALF_DAY, _DAY = timedelta(hours=12), timedelta(days=1)
_HALF_HOUR = timedelta(minutes=30)
_NO_LOW_FOR, _NO_HIGH_FOR = timedelta(hours=6), timedelta(hours=9)  # common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class CivilDay:
    """A civil date at the site, when it gets dark on it, and how its heat is reckoned."""

    day: date
    zone: tzinfo
    dusk: datetime
    heat: HeatScale


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """What is known beside the year: forecasts, the best first; readings in the open; warnings."""

    forecasts: Sequence[Forecast] = ()
    measured: Sequence[Measured] = ()
    warnings: Sequence[OfficialWarning] = ()


def usual(averages: Averages, day: date) -> Weather:
    """The weather of an average year on that date."""
    share = averages.share_of_year(day)
    return Weather(
        day=day,
        low_c=Reading(value=averages.low.at(share), sd=averages.low_sd_at(share)),
        high_c=Reading(value=averages.high.at(share), sd=averages.high_sd_at(share)),
        humidity_at_high=Reading(value=humidity_at_high(averages, day)),
    )


def weather(
    averages: Averages, known: Known, of: CivilDay, now: datetime, before: Weather | None = None
) -> Weather:
    """The weather of that date as it is known at `now`.

    Of each value the best source counts that tells it: what was measured for what is past, then
    the forecasts in their order, then the year. A forecast made more than 36 hours ago is none.
    `before` is what was known of that date last: of hours that are past a new forecast tells
    nothing, so where it cannot tell a value any more, the last one that was told of it stands.
    """
    usual_one = usual(averages, of.day)
    night, span = night_of(of.day, of.zone), day_of(of.day, of.zone)
    measured = _believed(
        [one for one in known.measured if one.at <= now and (one.at in night or one.at in span)],
        known.forecasts,
        usual_one.high_c.value,
    )
    told = [
        _Told(
            one.source,
            one.made_at,
            _folded(_with_measured(one.hours, measured), of, night, span),
            overhead(one.hours, of.dusk),
        )
        for one in known.forecasts
        if now - one.made_at <= DROPPED_AFTER
    ]
    found = _found(usual_one, told, of, _Windows(night, span))
    if before and told:
        found = _with_past(found, before, is_night=night.start <= now, is_day=span.start <= now)
    return replace(
        found,
        low_c=_at_most(found.low_c, [one for one in measured if one.at in night]),
        high_c=_at_least(found.high_c, [one for one in measured if one.at in span]),
        warnings=tuple(
            one for one in known.warnings if one.onset < span.end and one.ends > span.start
        ),
    )


def _folded(hours: Sequence[Hour], of: CivilDay, night: Window, span: Window) -> DayFolded:
    """The date as the hours tell it, though the first of its afternoon or of its night are past.

    No night is coldest in its first hours, no day hottest before its ninth.
    """
    first = min((hour.at for hour in hours), default=night.start)
    of_night = min(first, night.start + _NO_LOW_FOR)
    of_day = min(first, span.start + _NO_HIGH_FOR)
    found = folded(hours, of.day, of.zone, of.heat, since=of_day)
    if of_night == of_day:
        return found
    return replace(found, low_c=folded(hours, of.day, of.zone, of.heat, since=of_night).low_c)


class _Windows(NamedTuple):
    """The night and the day of a date."""

    night: Window
    span: Window


def _found(usual_one: Weather, told: "Sequence[_Told]", of: CivilDay, windows: _Windows) -> Weather:
    """What the forecasts tell, beside the year."""
    night, span = windows

    def plain(
        value: Callable[[_Told], float | None], at: datetime, useful: timedelta = _USEFUL_FOR
    ) -> Reading | None:
        return _first(told, value, at, useful)

    humidity = plain(lambda one: one.day.humidity_at_high, span.start)
    return Weather(
        day=of.day,
        low_c=_blended(usual_one.low_c, told, lambda one: one.day.low_c, night.end),
        high_c=_blended(usual_one.high_c, told, lambda one: one.day.high_c, span.end),
        humidity_at_high=humidity or usual_one.humidity_at_high,
        index_f=plain(lambda one: one.day.index_f, span.start),
        hot_from=next((one.day.hot_from for one in told if one.day.hot_from), None),
        gust_m_s=plain(lambda one: one.day.gust_m_s, span.start),
        rain_mm=plain(lambda one: one.day.rain_mm, span.start),
        snow_cm=plain(lambda one: one.day.snow_cm, span.start, _SNOW_USEFUL_FOR),
        cloud_at_dusk=plain(lambda one: one.dusk.cloud, of.dusk),
        rain_at_dusk_mm=plain(lambda one: one.dusk.rain_mm, of.dusk),
    )


def _with_past(found: Weather, before: Weather, *, is_night: bool, is_day: bool) -> Weather:
    """Where nothing tells a value of a night or a day that has begun, the one told before."""
    if is_night:
        found = replace(found, low_c=_told_last(found.low_c, before.low_c))
    if not is_day:
        return found
    return replace(
        found,
        high_c=_told_last(found.high_c, before.high_c),
        humidity_at_high=_told_last(found.humidity_at_high, before.humidity_at_high),
        index_f=found.index_f or before.index_f,
        hot_from=found.hot_from or (None if found.index_f else before.hot_from),
        gust_m_s=found.gust_m_s or before.gust_m_s,
        rain_mm=found.rain_mm or before.rain_mm,
        snow_cm=found.snow_cm or before.snow_cm,
    )


def _told_last(found: Reading, before: Reading) -> Reading:
    return before if found.source == "climate" else found


def _believed(
    measured: Iterable[Measured], forecasts: Sequence[Forecast], usual_high_c: float
) -> list[Measured]:
    """Those that the sun on the case does not explain better than the air."""
    hours = forecasts[0].hours if forecasts else ()
    airs = [(hour.at, hour.air_c) for hour in hours if hour.air_c is not None]

    def expected_c(at: datetime) -> float:
        around = (air_c for of, air_c in airs if abs(of - at) <= _HALF_DAY)
        return max(around, default=usual_high_c)

    # What is no warmer than is usual needs no look at the forecast.
    return [
        one
        for one in measured
        if one.air_c <= usual_high_c or one.air_c <= expected_c(one.at) + _SUN_C
    ]


@dataclass(frozen=True, slots=True)
class _Told:
    """What one forecast says of the day, and of its dusk."""

    by: ForecastSource
    made_at: datetime
    day: DayFolded
    dusk: Overhead


def _with_measured(hours: Sequence[Hour], measured: Sequence[Measured]) -> Sequence[Hour]:
    """The hours with a gust where only wind is told, and the air that was measured in its place."""
    if all(hour.gust_m_s is None for hour in hours):
        hours = [replace(hour, gust_m_s=_gust(hour.wind_m_s)) for hour in hours]
    if not measured:
        return hours
    known = {_nearest_hour(one.at) for one in measured}
    told = [
        replace(hour, air_c=None, humidity=None, lowest_c=None, highest_c=None)
        if _nearest_hour(hour.at) in known
        else hour
        for hour in hours
    ]
    return [*told, *(Hour(at=one.at, air_c=one.air_c, humidity=one.humidity) for one in measured)]


def _nearest_hour(at: datetime) -> datetime:
    return (at + _HALF_HOUR).replace(minute=0, second=0, microsecond=0)


def _gust(wind_m_s: float | None) -> float | None:
    return None if wind_m_s is None else _GUST_OF_WIND * wind_m_s


def _blended(
    usual_one: Reading,
    told: Iterable[_Told],
    value: Callable[[_Told], float | None],
    until: datetime,
) -> Reading:
    for one in told:
        forecast_c, ahead = value(one), (until - one.made_at) // _DAY
        if forecast_c is None or ahead >= len(_STRAYS_C):
            continue
        weight = usual_one.sd**2 / (usual_one.sd**2 + _STRAYS_C[max(ahead, 0)] ** 2)
        return Reading(
            value=usual_one.value + weight * (forecast_c - usual_one.value),
            sd=usual_one.sd * sqrt(1 - weight),
            source="forecast",
            at=one.made_at,
            by=one.by,
            told=forecast_c,
        )
    return usual_one


def _first(
    told: Iterable[_Told],
    value: Callable[[_Told], float | None],
    at: datetime,
    useful: timedelta,
) -> Reading | None:
    """The first value that is told, if what told it was not made too long before `at`."""
    for one in told:
        if (found := value(one)) is not None and at - one.made_at <= useful:
            return Reading(value=found, source="forecast", at=one.made_at, by=one.by)
    return None


def _at_most(low: Reading, measured: Sequence[Measured]) -> Reading:
    """The low; what has been measured in that night is a bound that no forecast can lift."""
    coldest = min(measured, key=lambda one: one.air_c, default=None)
    if coldest is None or coldest.air_c >= low.value:
        return low
    return Reading(value=coldest.air_c, sd=_THERMOMETER_SD_C, source="measured", at=coldest.at)


def _at_least(high: Reading, measured: Sequence[Measured]) -> Reading:
    """The high; what has been measured on that day is a bound that no forecast can lower."""
    warmest = max(measured, key=lambda one: one.air_c, default=None)
    if warmest is None or warmest.air_c <= high.value:
        return high
    return Reading(value=warmest.air_c, sd=_THERMOMETER_SD_C, source="measured", at=warmest.at)
