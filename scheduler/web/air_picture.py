"""The air of a year as a picture: the months across, nights and days as bands, frost below.

SVG with classes alone, because the pages allow no style of their own in the markup.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date
from html import escape

from scheduler.climate.month_air import DayAir
from scheduler.profile.quantity import write_quantity
from scheduler.profile.units import Units
from scheduler.wording.spoken import short_month
from scheduler.wording.web.year import AirPicture

WIDTH, HEIGHT = 380, 236
_TOP, _FOOT = 10.0, 150.0
_FROST_TOP, _FROST_FOOT = 168.0, 208.0
_LEFT = 40.0
_EVERY_DAYS = 7  # a point a week: the curves are smooth
_LINES_C = 10.0
_LEAST_SPAN_C = 10.0
_BESIDE = 4.0
_HALF, _WHOLE = 0.5, 1.0


@dataclass(frozen=True, slots=True)
class _Grid:
    days: Sequence[tuple[date, DayAir]]
    lowest_c: float
    highest_c: float

    def x(self, number: int) -> float:
        return _LEFT + number * (WIDTH - _LEFT) / (len(self.days) - 1)

    def y(self, air_c: float) -> float:
        return _FOOT - (air_c - self.lowest_c) / (self.highest_c - self.lowest_c) * (_FOOT - _TOP)

    def along(self, y: Callable[[DayAir], float]) -> list[str]:
        numbers = [*range(0, len(self.days) - 1, _EVERY_DAYS), len(self.days) - 1]
        return [f"{self.x(one):.0f},{y(self.days[one][1]):.1f}" for one in numbers]


def air_picture(days: Sequence[tuple[date, DayAir]], units: Units) -> str:
    """The picture of those dates, as SVG."""
    lowest = min(one.cold_c for _, one in days)
    highest = max(lowest + _LEAST_SPAN_C, *(one.hot_c for _, one in days))
    grid = _Grid(days, lowest, highest)
    box = f"0 0 {WIDTH} {HEIGHT}"
    parts = [
        f'<svg class="year air" viewBox="{box}" role="img" aria-labelledby="air-title air-about">',
        f'<title id="air-title">{escape(AirPicture.title())}</title>',
        f'<desc id="air-about">{escape(AirPicture.about())}</desc>',
        _band(grid, "spread", lambda one: one.cold_c, lambda one: one.hot_c),
        _band(grid, "usual", lambda one: one.low_c, lambda one: one.high_c),
        *_degrees(grid, units),
        *_frost(grid),
        *_months(grid),
        "</svg>",
    ]
    return "".join(parts)


def _band(
    grid: _Grid, name: str, low: Callable[[DayAir], float], high: Callable[[DayAir], float]
) -> str:
    there = grid.along(lambda one: grid.y(high(one)))
    back = grid.along(lambda one: grid.y(low(one)))[::-1]
    return f'<path class="{name}" d="M{"L".join([*there, *back])}Z"/>'


def _degrees(grid: _Grid, units: Units) -> Iterator[str]:
    first = int(grid.lowest_c // _LINES_C) + 1
    for number in range(first, int(grid.highest_c // _LINES_C) + 1):
        y, told = grid.y(number * _LINES_C), write_quantity(number * _LINES_C, "temperature", units)
        kind = "hour" if number else "freezing"
        yield f'<path class="{kind}" d="M{_LEFT},{y:.1f}H{WIDTH}"/>'
        yield f'<text x="0" y="{y + _BESIDE:.1f}">{escape(told)}</text>'


def _frost(grid: _Grid) -> Iterator[str]:
    """The chance of frost by date, from none at the foot to every night at the top."""

    def y(chance: float) -> float:
        return _FROST_FOOT - chance * (_FROST_FOOT - _FROST_TOP)

    line = "L".join(grid.along(lambda one: y(one.frost)))
    yield f'<path class="frost" d="M{_LEFT},{_FROST_FOOT}L{line}L{WIDTH},{_FROST_FOOT}Z"/>'
    for share in (_HALF, _WHOLE):
        told = AirPicture.share(percent=round(100 * share))
        yield f'<path class="hour" d="M{_LEFT},{y(share):.1f}H{WIDTH}"/>'
        yield f'<text x="0" y="{y(share) + _BESIDE:.1f}">{escape(told)}</text>'


def _months(grid: _Grid) -> Iterator[str]:
    for number, (day, _) in enumerate(grid.days):
        if day.day == 1:
            x = grid.x(number)
            yield f'<path class="month" d="M{x:.1f},{_TOP}V{_FROST_FOOT}"/>'
            told = escape(short_month(day))
            yield f'<text class="small" x="{x:.1f}" y="{HEIGHT - 2 * _BESIDE}">{told}</text>'
