"""The weather of a week as a picture: a bar a day, from the night's low to the day's high.

SVG with classes alone, because the pages allow no style of their own in the markup.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from scheduler.profile.values import Profile
from scheduler.service.weather.outlook import Outlook, degrees
from scheduler.wording.spoken import short_weekday
from scheduler.wording.web.week import WeekPicture

WIDTH, HEIGHT = 380, 170
_TOP, _FOOT = 26.0, 128.0
_LEFT = 34.0
_BAR = 18.0
_LEAST_SPAN_C = 8.0  # a week in which nothing changes is not to look wild
_BESIDE = 4.0
_LETTERS = 12.0


@dataclass(frozen=True, slots=True)
class _Scale:
    lowest_c: float
    highest_c: float
    column: float

    def y(self, air_c: float) -> float:
        return _FOOT - (air_c - self.lowest_c) / (self.highest_c - self.lowest_c) * (_FOOT - _TOP)

    def x(self, number: int) -> float:
        return _LEFT + (number + 0.5) * self.column


def week_picture(profile: Profile, days: Sequence[Outlook]) -> str:
    """The picture of those days, as SVG; a thin line shows how far off each end may be."""
    scale = _scale(days)
    box = f"0 0 {WIDTH} {HEIGHT}"
    parts = [
        f'<svg class="outlook" viewBox="{box}" role="img" aria-labelledby="week-title week-about">',
        f'<title id="week-title">{escape(WeekPicture.title())}</title>',
        f'<desc id="week-about">{escape(WeekPicture.about())}</desc>',
        *_freezing(profile, scale),
        *(part for number, one in enumerate(days) for part in _day(profile, scale, number, one)),
        "</svg>",
    ]
    return "".join(parts)


def _scale(days: Sequence[Outlook]) -> _Scale:
    lowest = min(one.low_c.value - one.low_c.sd for one in days)
    highest = max(one.high_c.value + one.high_c.sd for one in days)
    more = max(_LEAST_SPAN_C - (highest - lowest), 0.0) / 2
    return _Scale(lowest - more, highest + more, (WIDTH - _LEFT) / len(days))


def _freezing(profile: Profile, scale: _Scale) -> Iterator[str]:
    """A line at the freezing point, where the week comes near it."""
    if scale.lowest_c <= 0 <= scale.highest_c:
        y = scale.y(0)
        yield f'<path class="freezing" d="M0,{y:.1f}H{WIDTH}"/>'
        yield f'<text class="soft" x="0" y="{y - 3:.1f}">{escape(degrees(profile, 0))}</text>'


def _day(profile: Profile, scale: _Scale, number: int, one: Outlook) -> Iterator[str]:
    x, low, high = scale.x(number), one.low_c, one.high_c
    kind = "usual" if low.source == high.source == "climate" else "known"
    top, foot = scale.y(max(high.value, low.value)), scale.y(low.value)
    least, most = scale.y(low.value - low.sd), scale.y(high.value + high.sd)
    yield f'<path class="spread" d="M{x:.1f},{most:.1f}V{least:.1f}"/>'
    yield (
        f'<rect class="{kind}" x="{x - _BAR / 2:.1f}" y="{top:.1f}" '
        f'width="{_BAR}" height="{max(foot - top, 1.0):.1f}"/>'
    )
    for said, y in (
        (degrees(profile, high.value), most - _BESIDE),
        (degrees(profile, low.value), least + _LETTERS),
    ):
        yield f'<text x="{x:.1f}" y="{y:.1f}">{escape(said)}</text>'
    day = escape(short_weekday(one.day))
    yield f'<text class="strong" x="{x:.1f}" y="{HEIGHT - _BESIDE}">{day}</text>'
