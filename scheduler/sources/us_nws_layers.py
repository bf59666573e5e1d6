"""The layers of a US National Weather Service grid: runs of equal values, expanded to hours."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, timedelta
from itertools import pairwise
from typing import Any

from scheduler.sources import forecast_json as found
from scheduler.sources.forecast_json import Convert, NoForecast

HOUR = timedelta(hours=1)
_DURATION = re.compile(
    r"P(?:(?P<weeks>\d{1,2})W)?(?:(?P<days>\d{1,3})D)?"
    r"(?:T(?:(?P<hours>\d{1,4})H)?(?:(?P<minutes>\d{1,4})M)?(?:(?P<seconds>\d{1,5})S)?)?"
)
_LONGEST = timedelta(days=16)  # no run is longer than a forecast; more would fill the memory


def _same(value: float) -> float:
    return value


# "wmoUnit:" came in 2021; before that it was "unit:" (from memory).
_UNITS: Mapping[str, Mapping[str, Convert]] = {
    "air": {"degC": _same, "degF": lambda value: (value - 32) / 1.8, "K": lambda k: k - 273.15},
    "percent": {"percent": _same},
    "wind": {"m_s-1": _same, "km_h-1": lambda value: value / 3.6},
    "water": {"mm": _same, "cm": lambda value: 10 * value, "m": lambda value: 1000 * value},
    "snow": {"mm": lambda value: value / 10, "cm": _same, "m": lambda value: 100 * value},
    "height": {"m": _same, "ft": lambda value: 0.3048 * value},
}


@dataclass(frozen=True, slots=True)
class Run:
    """A value, in our unit, from `start` for so long; None where the service has none."""

    start: datetime
    lasts: timedelta
    value: float | None

    @property
    def hours(self) -> list[datetime]:
        """Each instant that begins an hour of it."""
        count = max(1, -(-self.lasts // HOUR))
        return [self.start + number * HOUR for number in range(count)]


def runs(properties: Mapping[str, Any], layer: str, dimension: str) -> list[Run]:
    """The runs of a layer, rising and apart; none where it has no values.

    Raises:
        NoForecast: their unit is not told or not known, or they overlap.
    """
    block = found.table(properties.get(layer) or {})
    rows = [found.table(each) for each in found.rows(block.get("values") or [])]
    if not rows:
        return []
    convert = unit(block.get("uom"), dimension)
    expanded = [_run(row, convert) for row in rows]
    for first, second in pairwise(expanded):
        if first.start + first.lasts > second.start:
            raise NoForecast("times")
    return expanded


def unit(told: object, dimension: str) -> Convert:
    """What makes our unit of the one that is told; it is never guessed."""
    name = str(told).removeprefix("wmoUnit:").removeprefix("unit:")
    convert = _UNITS[dimension].get(name)
    if convert is None:
        raise NoForecast("unit")
    return convert


def by_hour(expanded: list[Run]) -> dict[datetime, float | None]:
    """What holds in each hour."""
    return {at: run.value for run in expanded for at in run.hours}


def shared_by_hour(expanded: list[Run]) -> dict[datetime, float | None]:
    """What falls in each hour, when it falls evenly over its run."""
    return {
        at: None if run.value is None else run.value / len(run.hours)
        for run in expanded
        for at in run.hours
    }


def _run(row: Mapping[str, Any], convert: Convert) -> Run:
    start, _, duration = str(row.get("validTime", "")).partition("/")
    value = found.number(row.get("value"))
    return Run(
        start=found.instant(start),
        lasts=_lasts(duration),
        value=None if value is None else convert(value),
    )


def _lasts(text: str) -> timedelta:
    found_parts = _DURATION.fullmatch(text)
    if found_parts is None:
        raise NoForecast("shape")
    lasts = timedelta(
        **{name: int(number) for name, number in found_parts.groupdict(default="0").items()}
    )
    if not timedelta(0) < lasts <= _LONGEST:
        raise NoForecast("shape")
    return lasts
