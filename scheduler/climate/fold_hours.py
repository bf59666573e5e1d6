"""From a forecast's hours to a civil date: its night before, its day, and what one instant is like.

A service's own "day" is never asked: it may be another night's. The night of D runs from local noon
of D−1 to noon of D, its day from midnight to midnight local.
"""

import math
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta, tzinfo

from scheduler.climate.forecast import Hour
from scheduler.climate.humidity import saturation_hpa

LONGEST_GAP = timedelta(hours=3)
HeatIndex = Callable[[float, float], float]
_DAY = timedelta(days=1)
_Value = Callable[[Hour], float | None]


@dataclass(frozen=True, slots=True)
class HeatScale:
    """A heat index of temperature in °C and humidity as a share, and what counts as hot on it."""

    index_f: HeatIndex
    hot_f: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DayFolded:
    """What the hours tell of a civil date; None where they leave more than three hours out.

    `index_f` is the highest heat index of its day, `hot_from` when that first reaches the limit.
    Rain and snow are the sums of its day, the gust is the highest of it.
    """

    day: date
    low_c: float | None
    high_c: float | None
    humidity_at_high: float | None
    gust_m_s: float | None
    rain_mm: float | None
    snow_cm: float | None
    index_f: float | None
    hot_from: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Overhead:
    """What an instant is like: the share of the sky under cloud, and rain in mm in an hour."""

    cloud: float | None
    rain_mm: float | None


@dataclass(frozen=True, slots=True)
class Window:
    """From one instant up to another, which no longer belongs to it."""

    start: datetime
    end: datetime

    def __contains__(self, at: datetime) -> bool:
        """Whether the instant belongs to it."""
        return self.start <= at < self.end


def night_of(day: date, zone: tzinfo) -> Window:
    """From local noon of the day before to its own noon."""
    return Window(_local(day - _DAY, time(12), zone), _local(day, time(12), zone))


def day_of(day: date, zone: tzinfo) -> Window:
    """From midnight to midnight local: 23, 24 or 25 hours."""
    return Window(_local(day, time(0), zone), _local(day + _DAY, time(0), zone))


def _local(day: date, at: time, zone: tzinfo) -> datetime:
    return datetime.combine(day, at, zone).astimezone(UTC)


def folded(
    hours: Iterable[Hour],
    day: date,
    zone: tzinfo,
    heat: HeatScale,
    *,
    since: datetime | None = None,
) -> DayFolded:
    """The date as the hours tell it, in whatever order they come.

    With `since`, only what follows it is asked for: what is past has been measured, or is lost.
    """
    known = sorted(hours, key=_at)
    night, span = _from(night_of(day, zone), since), _from(day_of(day, zone), since)
    warmest = _highest(known, span)
    indices = _indices(known, span, heat.index_f)
    return DayFolded(
        day=day,
        low_c=_low(known, night),
        high_c=None if warmest is None else warmest[0],
        humidity_at_high=None if warmest is None else humidity_at(warmest[1], warmest[0]),
        gust_m_s=_most(known, span, _gust),
        rain_mm=_sum(known, span, _rain),
        snow_cm=_sum(known, span, _snow),
        index_f=max((index for _, index in indices), default=None),
        hot_from=next((at for at, index in indices if index >= heat.hot_f), None),
    )


def with_past(older: Iterable[Hour], newer: Sequence[Hour], since: datetime) -> Sequence[Hour]:
    """The newer forecast's hours, and before its first those of an older one that begin at `since`.

    A service tells nothing of hours that are past, though they belong to a night and a day.
    """
    first = min((hour.at for hour in newer), default=None)
    if first is None:
        return newer
    return [*(hour for hour in older if since <= hour.at < first), *newer]


def overhead(hours: Iterable[Hour], at: datetime) -> Overhead:
    """Cloud and rain at the instant; None where no hour that holds it tells of it."""
    holding = [hour for hour in hours if hour.at <= at < _end(hour)]
    clouds = [hour for hour in holding if hour.cloud is not None]
    rains = [hour for hour in holding if hour.rain_mm is not None]
    cloud = max(clouds, key=_at, default=None)
    rain = max(rains, key=_at, default=None)
    return Overhead(
        cloud=None if cloud is None else cloud.cloud,
        rain_mm=None if rain is None or rain.rain_mm is None else rain.rain_mm / rain.hours,
    )


def humidity_at(hour: Hour, air_c: float) -> float | None:
    """The hour's humidity once its air has that temperature: the vapour in it stays the same."""
    if hour.humidity is None or hour.air_c is None:
        return None
    return min(1.0, hour.humidity * saturation_hpa(hour.air_c) / saturation_hpa(air_c))


def _from(window: Window, since: datetime | None) -> Window:
    if since is None:
        return window
    return Window(min(max(window.start, since), window.end), window.end)


def _low(hours: Sequence[Hour], night: Window) -> float | None:
    if not _covered(hours, night, _air):
        return None
    instants = [hour.air_c for hour in hours if hour.air_c is not None and hour.at in night]
    bounds = [
        hour.lowest_c for hour in hours if hour.lowest_c is not None and _middle(hour) in night
    ]
    return min((*instants, *bounds), default=None)


def _highest(hours: Sequence[Hour], span: Window) -> tuple[float, Hour] | None:
    """The highest of the day, and the hour that tells it."""
    if not _covered(hours, span, _air):
        return None
    return max(_warmths(hours, span), key=lambda told: told[0], default=None)


def _warmths(hours: Sequence[Hour], span: Window) -> list[tuple[float, Hour]]:
    """Each temperature of the day with its hour, an instant by its time, a bound by its middle.

    So each belongs to one day only, however long its hours are.
    """
    instants = [(hour.air_c, hour) for hour in hours if hour.air_c is not None and hour.at in span]
    bounds = [
        (hour.highest_c, hour)
        for hour in hours
        if hour.highest_c is not None and _middle(hour) in span
    ]
    return instants + bounds


def _indices(
    hours: Sequence[Hour], span: Window, heat_index_f: HeatIndex
) -> list[tuple[datetime, float]]:
    """The heat index of each temperature with the humidity of its hour, rising in time."""
    if not _covered(hours, span, _moist_air):
        return []
    told = (
        (max(hour.at, span.start), heat_index_f(air_c, humidity))
        for air_c, hour in _warmths(hours, span)
        if (humidity := humidity_at(hour, air_c)) is not None
    )
    return sorted(told)


def _most(hours: Sequence[Hour], span: Window, value: _Value) -> float | None:
    if not _covered(hours, span, value):
        return None
    told = (value(hour) for hour in hours if _middle(hour) in span)
    return max((each for each in told if each is not None), default=None)


def _sum(hours: Sequence[Hour], span: Window, value: _Value) -> float | None:
    """What falls in the day; of an hour that reaches beyond it, its share."""
    if not _covered(hours, span, value):
        return None
    shares = [
        falls * (inside / timedelta(hours=hour.hours))
        for hour in hours
        if (falls := value(hour)) is not None
        if (inside := min(_end(hour), span.end) - max(hour.at, span.start)) > timedelta(0)
    ]
    return math.fsum(shares) if shares else None


def _covered(hours: Sequence[Hour], window: Window, value: _Value) -> bool:
    """Whether the rising hours that tell the value leave no more than three hours out."""
    reached = window.start
    for hour in hours:
        if value(hour) is None or _end(hour) <= window.start:
            continue
        if hour.at >= window.end:
            break
        if hour.at - reached > LONGEST_GAP:
            return False
        reached = max(reached, _end(hour))
    return window.end - reached <= LONGEST_GAP


def _at(hour: Hour) -> datetime:
    return hour.at


def _end(hour: Hour) -> datetime:
    return hour.at + timedelta(hours=hour.hours)


def _middle(hour: Hour) -> datetime:
    return hour.at + timedelta(hours=hour.hours) / 2


def _air(hour: Hour) -> float | None:
    return hour.air_c


def _moist_air(hour: Hour) -> float | None:
    return None if hour.air_c is None else hour.humidity


def _gust(hour: Hour) -> float | None:
    return hour.gust_m_s


def _rain(hour: Hour) -> float | None:
    return hour.rain_mm


def _snow(hour: Hour) -> float | None:
    return hour.snow_cm
