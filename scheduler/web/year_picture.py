"""The year as a picture: the clock across, the dates downwards, so that it fits a phone.

SVG with classes alone, because the pages allow no style of their own in the markup.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from html import escape
from itertools import groupby
from math import ceil
from typing import TypeVar

from scheduler.cares.coop_day import CoopDay
from scheduler.cares.day_plan import Plan, Task
from scheduler.cares.free_range import FreeRange
from scheduler.cares.months import concerning, vent_spans
from scheduler.light.sun import At, Crossing
from scheduler.profile.coop import Coop
from scheduler.profile.words import clock
from scheduler.wording.cares.vents import VentsChange
from scheduler.wording.spoken import month_and_year, short_month
from scheduler.wording.web.year import YearPicture

WIDTH = 380
_TOP = 34.0
_BOTTOM = 8.0
_DAY_HEIGHT = 1.6
_LEFT = 36.0
_CLOCK_WIDTH = 192.0
_STRIP_WIDTH = 10.0
_GAP = 6.0
_LINE_HEIGHT = 14.0
_LONGEST_NOTE = 17  # letters that fit beside the strip
_REACH = 26  # of a grip: 24 pixels on a phone
_WHOLE_DAY_H = 24
_HOURS_SHOWN = (6, 12, 18)
_HOUR = timedelta(hours=1)

T = TypeVar("T")
Span = tuple[float, float]
Point = tuple[float, float]  # x, y


@dataclass(frozen=True, slots=True)
class _Grid:
    """Where a date and a time of its day lie; hours past midnight count on from 24."""

    planned: Plan
    days: tuple[CoopDay, ...]
    last_hour: int

    @property
    def height(self) -> float:
        return self.foot + _BOTTOM

    @property
    def foot(self) -> float:
        return _TOP + len(self.days) * _DAY_HEIGHT

    def x(self, hour: float) -> float:
        inside = min(max(hour, 0.0), float(self.last_hour))
        return _LEFT + inside * _CLOCK_WIDTH / self.last_hour

    def y(self, day: date) -> float:
        return _TOP + (day - self.days[0].day).days * _DAY_HEIGHT

    def hour(self, at: datetime, day: date) -> float:
        return _hour(at.astimezone(self.planned.profile.on(day).site.zone), day)

    def crossing(self, at: Crossing, day: date) -> float | None:
        return self.hour(at.instant, day) if isinstance(at, At) else None


def year_picture(planned: Plan, coop: Coop, today: date, chosen: date | None = None) -> str:
    """The picture of one coop's year, as SVG, with a line at the date that is `chosen`."""
    days = tuple(one for day in planned.days for one in day.coops if one.coop_id == coop.id)
    grid = _Grid(planned, days, _last_hour(planned, days))
    first, last = month_and_year(days[0].day), month_and_year(days[-1].day)
    title = YearPicture.title(house=coop.name, first=first, last=last)
    box = f"0 0 {WIDTH} {grid.height:.0f}"
    parts = [
        f'<svg class="year" viewBox="{box}" role="img" aria-labelledby="year-title year-about"',
        f' data-top="{_TOP}" data-day="{_DAY_HEIGHT}">',
        f'<title id="year-title">{escape(title)}</title>',
        f'<desc id="year-about">{escape(YearPicture.about())}</desc>',
        *_sky(grid),
        *_ranging(grid),
        *_scale(grid),
        *_lines(grid),
        *_vents(grid, coop),
        *_notes(grid, coop),
        *_today(grid, today),
        *_chosen(grid, chosen),
        "</svg>",
    ]
    return "".join(parts)


def _hour(local: datetime, day: date) -> float:
    """The hour by the clock on the wall, counted from the midnight that begins `day`."""
    in_day = timedelta(hours=local.hour, minutes=local.minute, seconds=local.second)
    return (local.date() - day).days * _WHOLE_DAY_H + in_day / _HOUR


def _last_hour(planned: Plan, days: Iterable[CoopDay]) -> int:
    """24, or more where evenings end after midnight."""
    here = planned.profile.on
    ends = (_hour(one.lock_up.latest.astimezone(here(one.day).site.zone), one.day) for one in days)
    return max(_WHOLE_DAY_H, ceil(max(ends)))


def _sky(grid: _Grid) -> Iterator[str]:
    width, height = _CLOCK_WIDTH, grid.foot - _TOP
    yield f'<rect class="night" x="{_LEFT}" y="{_TOP}" width="{width}" height="{height:.1f}"/>'

    def daylight(one: CoopDay) -> Span | None:
        """From midnight to midnight while the sun stays up; nothing while it stays down."""
        if not one.daylight:
            return None
        rises, sets = (grid.crossing(at, one.day) for at in (one.sunrise, one.sunset))
        return 0.0 if rises is None else rises, float(grid.last_hour) if sets is None else sets

    yield _band(grid, "day", daylight)


def _ranging(grid: _Grid) -> Iterator[str]:
    def outside(one: CoopDay) -> Span | None:
        if not isinstance(one.free_range, FreeRange):
            return None
        start, end = one.free_range.start, one.free_range.end
        return grid.hour(start, one.day), grid.hour(end, one.day)

    yield _band(grid, "range", outside)


def _lines(grid: _Grid) -> Iterator[str]:
    lines: Sequence[tuple[str, Callable[[CoopDay], float | None]]] = (
        ("letout", lambda one: grid.hour(one.let_out.instant, one.day)),
        ("sunset", lambda one: grid.crossing(one.sunset, one.day)),
        ("latest", lambda one: grid.hour(one.lock_up.latest, one.day)),
        ("lockup", lambda one: grid.hour(one.lock_up.instant, one.day)),
    )
    for name, hours in lines:
        runs = (_along(grid, [(one, hour) for one, hour in run]) for run in _runs(grid, hours))
        drawn = "".join("M" + _path(points) for points in runs)
        if drawn:
            yield f'<path class="{name}" d="{drawn}"/>'


def _band(grid: _Grid, name: str, spans: Callable[[CoopDay], Span | None]) -> str:
    """One closed shape for each run of dates that have such a span."""
    shapes = []
    for run in _runs(grid, spans):
        left = _along(grid, [(one, span[0]) for one, span in run])
        right = _along(grid, [(one, span[1]) for one, span in run])
        shapes.append(f"M{_path([*left, *reversed(right)])}Z")
    return f'<path class="{name}" d="{"".join(shapes)}"/>' if shapes else ""


def _runs(grid: _Grid, of: Callable[[CoopDay], T | None]) -> Iterator[list[tuple[CoopDay, T]]]:
    """The dates without a gap between them that have such a thing."""
    found = ((one, of(one)) for one in grid.days)
    for there, run in groupby(found, key=lambda pair: pair[1] is not None):
        if there:
            yield [(one, thing) for one, thing in run if thing is not None]


def _along(grid: _Grid, run: Sequence[tuple[CoopDay, float]]) -> list[Point]:
    """A point a date, and one more at the end of the last, so that a single date shows."""
    points = [(grid.x(hour), grid.y(one.day)) for one, hour in run]
    x, y = points[-1]
    return [*points, (x, y + _DAY_HEIGHT)]


def _path(points: Iterable[Point]) -> str:
    return "L".join(f"{x:.1f},{y:.1f}" for x, y in points)


def _scale(grid: _Grid) -> Iterator[str]:
    region = grid.planned.profile.site.region
    for hour in _HOURS_SHOWN:
        x = grid.x(hour)
        yield f'<path class="hour" d="M{x:.1f},{_TOP}V{grid.foot:.1f}"/>'
        told = escape(clock(time(hour), region))
        yield f'<text class="middle" x="{x:.1f}" y="{_TOP - 6}">{told}</text>'
    for one in grid.days:
        if one.day.day == 1:
            y = grid.y(one.day)
            yield f'<path class="month" d="M0,{y:.1f}H{_LEFT + _CLOCK_WIDTH}"/>'
            told = escape(short_month(one.day))
            yield f'<text class="strong" x="0" y="{y + 14:.1f}">{told}</text>'


def _vents(grid: _Grid, coop: Coop) -> Iterator[str]:
    x = _LEFT + _CLOCK_WIDTH + _GAP
    for span in vent_spans(grid.planned, coop):
        y, height = grid.y(span.first), ((span.last - span.first).days + 1) * _DAY_HEIGHT
        told = escape(VentsChange.title(setting=span.words))
        yield (
            f'<rect class="vents {span.season}" x="{x}" y="{y:.1f}" '
            f'width="{_STRIP_WIDTH}" height="{height:.1f}"><title>{told}</title></rect>'
        )


def _notes(grid: _Grid, coop: Coop) -> Iterator[str]:
    """What changes, each at its date or as near to it as the notes around it leave room."""
    x = _LEFT + _CLOCK_WIDTH + _STRIP_WIDTH + 2 * _GAP
    tasks = list(_concerning(grid.planned, coop))
    for task, y in zip(tasks, _apart([grid.y(task.day) for task in tasks], grid.foot), strict=True):
        if task.subject == "site":
            yield f'<path class="change" d="M{_LEFT},{grid.y(task.day):.1f}H{x - _GAP}"/>'
        text = YearPicture.change(day=task.day.day, what=task.short)
        shown = text if len(text) <= _LONGEST_NOTE else text[: _LONGEST_NOTE - 1] + "…"
        yield f'<text x="{x}" y="{y + 9:.1f}">{escape(shown)}</text>'


def _apart(wanted: Sequence[float], foot: float) -> list[float]:
    """Heights a line apart, in their order: pushed down by what stands above, up by the foot."""
    line = min(_LINE_HEIGHT, (foot - _TOP) / max(len(wanted), 1))
    placed: list[float] = []
    for y in wanted:
        placed.append(max(y, placed[-1] + line) if placed else y)
    room = foot
    for index in range(len(placed) - 1, -1, -1):
        placed[index] = room = min(placed[index], room - line)
    return placed


def _concerning(planned: Plan, coop: Coop) -> Iterator[Task]:
    """The changes of this coop, its flocks and the site; several of a kind on a date are one."""
    for day in planned.days:
        said = set()
        for task in day.seasons:
            if concerning(planned, coop, task) and task.short not in said:
                said.add(task.short)
                yield task


def _today(grid: _Grid, today: date) -> Iterator[str]:
    if grid.days[0].day <= today <= grid.days[-1].day:
        y = grid.y(today) + _DAY_HEIGHT / 2
        yield f'<path class="today" d="M{_LEFT - 4},{y:.1f}H{_LEFT + _CLOCK_WIDTH}"/>'
        yield f'<circle class="today" cx="{_LEFT - 4}" cy="{y:.1f}" r="3"/>'


def _chosen(grid: _Grid, chosen: date | None) -> Iterator[str]:
    """A line at the middle of that date, with a grip as large as a thumb."""
    if chosen is None:
        return
    y, right = grid.y(chosen) + _DAY_HEIGHT / 2, _LEFT + _CLOCK_WIDTH
    yield f'<g class="chosen" transform="translate(0 {y:.1f})"><path d="M{_LEFT},0H{right}"/>'
    yield f'<circle class="reach" cx="{right}" r="{_REACH}"/><circle cx="{right}" r="8"/></g>'
