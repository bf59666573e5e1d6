"""This evening's sky: a strip of its light, with what is due when on it.

SVG without a style of its own, as the pages allow none in the markup. It has no view box: what
stands on it is placed by shares of its width and keeps its size, on a phone and on a computer.
"""

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta, tzinfo
from itertools import pairwise
from typing import Literal

from markupsafe import Markup

from scheduler.cares.dark_under_cloud import MOST_MINUTES
from scheduler.cares.free_range import FreeRange
from scheduler.light.sun import At, Crossing, Never, Sky
from scheduler.profile.units import Region
from scheduler.profile.words import local_clock
from scheduler.web.evening_card import Card
from scheduler.web.request_and_answer import Visit
from scheduler.wording.cares.day_of_house import DayLabels
from scheduler.wording.web.sky import EveningSky
from scheduler.wording.words import kept

HEIGHT = 120
HORIZON = 92  # where the sun stands at 0°
_HIGHEST = 22  # where it stands at its highest on the strip
_NOW_FOOT = 100
_PIN_ROWS = (16, 42, 68)
_PIN_WIDE = 0.085  # of the strip on the narrowest screen
_MOST_HOUSES = 3  # whose times are told; the cards tell them all
_LEAST_SPAN_DEG = 12.0
_AT_THE_EDGE = 0.06  # here half of a word would be cut off

_BEFORE_SUNSET = timedelta(hours=2)
_BEFORE_THE_FIRST = timedelta(minutes=30)
_AFTER_THE_LAST = timedelta(minutes=30)
_SAMPLES = 37  # every five minutes or so of a usual evening
_PATH_POINTS = 13

_GREYEST = 0.8  # of the way to grey under a sky that is all cloud
_LEAST_CLOUD = 0.5  # of the sky, where it is known to be dark early and nothing else
_CLOUDY = 0.625  # five eighths: from here on an observer calls it cloudy (WMO's oktas, from memory)

Colour = tuple[int, int, int]
What = Literal["call-in", "lock-up", "latest", "now"]

# By the sun's elevation: the sky overhead, and that above the horizon. Drawn from memory.
_LIGHT: tuple[tuple[float, Colour, Colour], ...] = (
    (-18.0, (11, 16, 36), (20, 28, 58)),
    (-12.0, (18, 26, 58), (42, 51, 98)),
    (-6.0, (38, 52, 104), (142, 88, 128)),
    (-4.0, (54, 74, 134), (216, 118, 120)),
    (0.0, (92, 124, 184), (250, 172, 98)),
    (6.0, (106, 164, 216), (248, 222, 172)),
    (20.0, (96, 162, 222), (205, 228, 242)),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseTimes:
    """What is due when at the houses of these names; their birds may not be out to be called in."""

    names: tuple[str, ...]
    call_in: datetime | None
    lock_up: datetime
    latest: datetime

    @property
    def due(self) -> Iterator[tuple[What, datetime]]:
        """Each with its instant, in the order of the evening."""
        if self.call_in:
            yield "call-in", self.call_in
        yield "lock-up", self.lock_up
        yield "latest", self.latest


@dataclass(frozen=True, slots=True, kw_only=True)
class SkyEvening:
    """An evening as far as its picture shows it; `houses` is not empty, the earliest is first.

    `cloud` is a share of the sky, 0 where none is known of.
    """

    latitude_deg: float
    longitude_deg: float
    zone: tzinfo
    region: Region
    day: date
    sunset: Crossing
    houses: tuple[HouseTimes, ...]
    cloud: float = 0.0

    @property
    def start(self) -> datetime:
        """Two hours before sunset, or the lock-up where there is none; before all that is due."""
        setting = self.sunset.instant if isinstance(self.sunset, At) else self.houses[0].lock_up
        first = min(at for house in self.houses for _, at in house.due)
        return min(setting - _BEFORE_SUNSET, first - _BEFORE_THE_FIRST)

    @property
    def end(self) -> datetime:
        """Half an hour after the last of them has to be shut."""
        return max(house.latest for house in self.houses) + _AFTER_THE_LAST

    def share(self, at: datetime) -> float:
        """How far along the strip: 0 at its start, 1 at its end."""
        return (at - self.start) / (self.end - self.start)


@dataclass(frozen=True, slots=True)
class Fact:
    """One mark of the strip in words; `when` is a clock text."""

    what: What
    label: str
    when: str


@dataclass(frozen=True, slots=True)
class HouseFacts:
    """What is due at these houses; no names where all are due alike."""

    names: tuple[str, ...]
    facts: tuple[Fact, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Strip:
    """The picture, and the same in words.

    `sun` says when it sets, or that it does not, or does not rise; `cloudy` is "" where no cloud is
    known of, `now` None while it does not lie on the strip.
    """

    svg: Markup
    sun: str
    houses: tuple[HouseFacts, ...]
    now: Fact | None
    cloudy: str


@dataclass(frozen=True, slots=True)
class _Drawn:
    """What is the same all evening; `before` and `after` the sun and the mark of now."""

    evening: SkyEvening
    open_tag: str
    air: str
    land: str
    pins: str
    heights: tuple[float, ...]
    told: Strip

    def height(self, share: float) -> float:
        """Where the sun stands, between two points of its path."""
        along = share * (len(self.heights) - 1)
        left = min(int(along), len(self.heights) - 2)
        low, high = self.heights[left], self.heights[left + 1]
        return low + (along - left) * (high - low)


def sky_of(visit: Visit, cards: Sequence[Card]) -> Strip | None:
    """The strip of the evening that the cards are of, as it is now; None where there is no card.

    Where they are of several evenings, of the last of them.
    """
    evening = _evening_of(visit, cards)
    return strip(evening, visit.now) if evening else None


def strip(evening: SkyEvening, now: datetime) -> Strip:
    """The strip of that evening, with the mark of now while it lies on it."""
    drawn = _drawn(evening)
    share = evening.share(now)
    if not 0 <= share <= 1:
        svg = f"{drawn.open_tag}{drawn.air}{drawn.land}{drawn.pins}</svg>"
        return replace(drawn.told, svg=Markup(svg))  # noqa: S704 - numbers and our own words
    x, y = _percent(share), drawn.height(share)
    sun = f'<svg class="sun" x="{x}" y="{y:.0f}"><circle r="14"/><circle r="8"/></svg>'
    anchor = "start" if share < _AT_THE_EDGE else "end" if share > 1 - _AT_THE_EDGE else "middle"
    word = Markup("{}").format(EveningSky.now())
    mark = (
        f'<svg class="mark now" x="{x}"><path d="M0 6V{_NOW_FOOT}"/>'
        f'<text y="{HEIGHT - 6}" text-anchor="{anchor}">{word}</text></svg>'
    )
    svg = f"{drawn.open_tag}{drawn.air}{sun}{drawn.land}{mark}{drawn.pins}</svg>"
    clock = local_clock(now, evening.zone, evening.region, evening.day)
    return replace(
        drawn.told,
        svg=Markup(svg),  # noqa: S704 - numbers and our own words
        now=Fact("now", EveningSky.now(), clock),
    )


# -- which evening ----------------------------------------------------------------------------


def _evening_of(visit: Visit, cards: Sequence[Card]) -> SkyEvening | None:
    day = max((card.day for card in cards), default=None)
    if day is None:
        return None
    coops = {coop.coop_id: coop for coop in visit.standing.almanac.coops(day)}
    sunset: Crossing | None = None
    houses: dict[tuple[datetime, datetime], list[tuple[str, datetime | None]]] = {}
    for card in cards:
        planned = coops.get(card.coop_id)
        if card.day != day or planned is None:
            continue
        sunset, ranging = planned.sunset, planned.free_range
        call_in = ranging.call_in if isinstance(ranging, FreeRange) else None
        if call_in and call_in > card.lock_up_at:  # an evening that began by another profile
            call_in = None
        houses.setdefault((card.lock_up_at, card.latest_at), []).append((card.name, call_in))
    if sunset is None:
        return None
    site = visit.profile.on(day).site
    times = (
        HouseTimes(
            names=tuple(name for name, _ in named),
            call_in=min((at for _, at in named if at), default=None),
            lock_up=lock_up,
            latest=latest,
        )
        for (lock_up, latest), named in houses.items()
    )
    return SkyEvening(
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        zone=site.zone,
        region=site.region,
        day=day,
        sunset=sunset,
        houses=tuple(sorted(times, key=lambda one: (one.lock_up, one.names))[:_MOST_HOUSES]),
        cloud=_cloud(visit, day),
    )


def _cloud(visit: Visit, day: date) -> float:
    """The share of the sky that is to be cloudy at dusk, 0 where nothing tells of any."""
    nights = (night.evening for night in visit.standing.nights if night.evening.day == day)
    minutes = max((evening.dark_minutes_early for evening in nights), default=0)
    if decided := visit.standing.records.weather_on(day):
        if decided.weather.cloud_at_dusk:
            return min(max(decided.weather.cloud_at_dusk.value, 0.0), 1.0)
        minutes = max(minutes, decided.shift_minutes)
    if not minutes:
        return 0.0
    return _LEAST_CLOUD + (1 - _LEAST_CLOUD) * min(minutes / MOST_MINUTES, 1)


# -- the picture ------------------------------------------------------------------------------


@kept(most=16)
def _drawn(evening: SkyEvening) -> _Drawn:
    """All but now, which is worked out once an evening."""
    sky = Sky.over(evening.latitude_deg, evening.longitude_deg, evening.zone)
    span = evening.end - evening.start

    def elevations(count: int) -> list[tuple[float, float]]:
        shares = [n / (count - 1) for n in range(count)]
        return [(share, sky.elevation_deg(evening.start + share * span)) for share in shares]

    stops = list(_stops(elevations(_SAMPLES)))
    path = elevations(_PATH_POINTS)
    highest = max(_LEAST_SPAN_DEG, *(elevation for _, elevation in path))
    scale = (HORIZON - _HIGHEST) / highest
    heights = tuple(HORIZON - elevation * scale for _, elevation in path)
    points = " ".join(
        f"{share * 100:.0f},{y:.0f}" for (share, _), y in zip(path, heights, strict=True)
    )
    first, last = (int(at.timestamp()) for at in (evening.start, evening.end))
    air = (
        f"<defs>{_gradient('high', stops, evening.cloud)}{_gradient('low', stops, evening.cloud)}"
        '<linearGradient id="sky-fade" y2="1" x2="0"><stop stop-color="#000"/>'
        '<stop offset="1" stop-color="#fff"/></linearGradient><mask id="sky-mask">'
        f'<rect width="100%" height="{HORIZON}" fill="url(#sky-fade)"/>'
        f'<rect width="100%" y="{HORIZON}" height="{HEIGHT}" fill="#fff"/></mask></defs>'
        '<g class="air"><rect width="100%" height="100%" fill="url(#sky-high)"/>'
        '<rect width="100%" height="100%" fill="url(#sky-low)" mask="url(#sky-mask)"/></g>'
        f'<svg class="path" viewBox="0 0 100 {HEIGHT}" preserveAspectRatio="none">'
        f'<polyline points="{points}"/></svg>'
        f"{_clouds(evening.cloud)}"
    )
    heights_told = ",".join(f"{y:.0f}" for y in heights)
    return _Drawn(
        evening=evening,
        open_tag=(
            f'<svg class="strip" height="{HEIGHT}" aria-hidden="true" data-from="{first}" '
            f'data-to="{last}" data-heights="{heights_told}">'
        ),
        air=air,
        land=_LAND,
        pins="".join(_pins(evening)),
        heights=heights,
        told=_told(evening),
    )


def _stops(samples: Sequence[tuple[float, float]]) -> Iterator[tuple[float, float]]:
    """Where the light turns: at both ends, at each elevation of the colours, at the lowest."""
    yield samples[0]
    known = [elevation for elevation, _, _ in _LIGHT]
    falls = [then < before for (_, before), (_, then) in pairwise(samples)]
    for number, ((left, high), (right, low)) in enumerate(pairwise(samples)):
        between = [one for one in known if min(high, low) < one < max(high, low)]
        for elevation in sorted(between, reverse=low < high):
            share = left + (right - left) * (high - elevation) / (high - low)
            yield share, elevation
        if number + 1 < len(falls) and falls[number] != falls[number + 1]:
            yield right, low
    yield samples[-1]


def _gradient(part: Literal["high", "low"], stops: Iterable[tuple[float, float]], c: float) -> str:
    drawn = (
        f'<stop offset="{share:.3f}" stop-color="{colour(elevation, part, c)}"/>'
        for share, elevation in stops
    )
    return f'<linearGradient id="sky-{part}">{"".join(drawn)}</linearGradient>'


def colour(elevation_deg: float, part: Literal["high", "low"], cloud: float) -> str:
    """The sky overhead or above the horizon with the sun so high, under so much cloud."""
    lights = [(at, high if part == "high" else low) for at, high, low in _LIGHT]
    inside = min(max(elevation_deg, lights[0][0]), lights[-1][0])
    (below, dark), (above, bright) = next(pair for pair in pairwise(lights) if inside <= pair[1][0])
    share = (inside - below) / (above - below)
    clear = [a + share * (b - a) for a, b in zip(dark, bright, strict=True)]
    grey = sum(clear) / len(clear) * (1 - 0.15 * cloud)
    return "#" + "".join(f"{round(one + _GREYEST * cloud * (grey - one)):02x}" for one in clear)


def _clouds(cloud: float) -> str:
    """A few bands of cloud, where the evening is known to be cloudy."""
    if cloud < _CLOUDY:
        return ""
    return (
        '<g class="clouds"><svg x="8%"><path d="M0 34a7 7 0 0 1 9-9a13 13 0 0 1 24-3a9 9 0 0 1 13 '
        '12z"/></svg><svg x="44%"><path d="M0 62a6 6 0 0 1 8-8a11 11 0 0 1 20-2a8 8 0 0 1 11 '
        '10z"/></svg><svg x="33%"><path d="M0 24a5 5 0 0 1 6-6a9 9 0 0 1 17-2a6 6 0 0 1 9 8z"/>'
        "</svg></g>"
    )


# The hill, and on it a small house on legs, with its ramp and a hen.
_LAND = (
    f'<svg class="land" viewBox="0 0 100 {HEIGHT}" preserveAspectRatio="none"><path class="far" '
    'd="M0 88C18 78 30 90 48 91S82 80 100 86V120H0z"/><path d="M0 97C8 93 16 92 24 95S50 100 70 '
    '97 90 93 100 96V120H0z"/></svg>'
    '<svg class="coop" x="9%" y="67"><path d="M3 13L17 1L31 13V24H3zM5 24h2v6H5zM26 24h2v6h-2z'
    'M30 22l13 7v2L30 24.5z"/><path d="M55 24c3 0 4-2 6-2 0-2 1-3 3-3l2 2-2 1c0 4-1 5-4 5v3h-1v-3'
    'c-3 0-4-1-5-5z"/><rect x="14" y="12" width="6" height="6" rx="1"/></svg>'
)

_GLYPHS = {
    # A bell; a padlock; a clock.
    "call-in": "M-4 2.5h8c-1-1-1-2-1-3.5a3 3 0 0 0-6 0c0 1.5 0 2.5-1 3.5zM-1 5h2",
    "lock-up": "M-4-.5h8v5.5h-8zM-2.5-.5v-2a2.5 2.5 0 0 1 5 0v2",
    "latest": "M0-5a5 5 0 1 0 .1 0zM0-2.5v2.700l2 1.300",
}


def _pins(evening: SkyEvening) -> Iterator[str]:
    """What is due at the earliest house; of the others the lock-ups, as far as they differ."""
    first, *others = evening.houses
    for lock_up in sorted({house.lock_up for house in others} - {first.lock_up}):
        yield (
            f'<svg class="mark other" x="{_percent(evening.share(lock_up))}">'
            f'<path d="M0 {HORIZON - 18}V{HORIZON + 4}"/><circle cy="{HORIZON - 18}" r="4"/></svg>'
        )
    last = [-1.0] * len(_PIN_ROWS)  # where the pin farthest to the right of each row is
    for what, at in first.due:
        share = evening.share(at)
        row = next((n for n, x in enumerate(last) if share - x >= _PIN_WIDE), len(last) - 1)
        last[row] = share
        y = _PIN_ROWS[row]
        yield (
            f'<svg class="mark {what}" x="{_percent(share)}" y="{y}">'
            f'<path d="M0 0V{HORIZON + 4 - y}"/><circle r="11"/>'
            f'<path class="glyph" id="sky-{what}" d="{_GLYPHS[what]}"/></svg>'
        )


def _percent(share: float) -> str:
    return f"{share * 100:.2f}%"


# -- the words --------------------------------------------------------------------------------


def _told(evening: SkyEvening) -> Strip:
    labels = {
        "call-in": EveningSky.call_in(),
        "lock-up": DayLabels.lock_up(),
        "latest": DayLabels.shut_by(),
    }

    def clock(at: datetime) -> str:
        return local_clock(at, evening.zone, evening.region, evening.day)

    is_one = len(evening.houses) == 1
    return Strip(
        svg=Markup(),
        sun=_sun(evening.sunset, clock),
        houses=tuple(
            HouseFacts(
                () if is_one else house.names,
                tuple(Fact(what, labels[what], clock(at)) for what, at in house.due),
            )
            for house in evening.houses
        ),
        now=None,
        cloudy=EveningSky.cloudy() if evening.cloud >= _CLOUDY else "",
    )


def _sun(sunset: Crossing, clock: Callable[[datetime], str]) -> str:
    if isinstance(sunset, At):
        return EveningSky.sunset(at=clock(sunset.instant))
    return EveningSky.no_sunrise() if sunset == Never("below") else EveningSky.no_sunset()
