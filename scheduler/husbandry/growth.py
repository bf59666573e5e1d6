"""From hatch to lay: brooder heat, space, feed stages, the move outside, point of lay, later lay.

Temperatures are for chicks in a brooder, read at chick height. Go by the chicks first: huddled is
cold, at the far edges is hot. Under a hen they need no lamp. A heat lamp can start a fire: guard
and hang it as its label and an electrician say.
"""

from collections.abc import Iterable, Mapping
from datetime import date, timedelta
from typing import Literal

from scheduler.husbandry.age import LAYER_WEEKS, lays, under_a_hen, weeks_old
from scheduler.profile.flock import Flock
from scheduler.profile.units import FOOT_M, INCH_M
from scheduler.wording.husbandry.feed import FeedForAll, FeedNames
from scheduler.wording.words import Words, every

# Colorado State Ext. 2.502: °F by week of age, least and most.
BROODER_F: tuple[tuple[int, int], ...] = (
    (93, 95), (88, 90), (83, 85), (78, 80), (75, 75), (70, 70),
)  # fmt: skip
# P. Clauer, Space Should Increase as Birds Grow: from week, floor in sq ft a chick.
CHICK_FLOOR_SQ_FT: tuple[tuple[int, float], ...] = (
    (0, 0.25), (1, 0.5), (3, 0.75), (5, 1.0), (8, 1.5),
)  # fmt: skip
# The same table: from week, feeder in inches a chick; grown ones from eight weeks on.
CHICK_FEEDER_IN: tuple[tuple[int, float], ...] = ((0, 1.0), (1, 1.5), (3, 2.0), (8, 3.0))
OFF_HEAT_NIGHT_C = 10.0  # common practice, no source
GROWER_WEEKS = 6  # PNW 477
# From memory: hybrids 18 to 20, dual-purpose 20 to 24, heritage 22 to 28 weeks.
POINT_OF_LAY_WEEKS = {"bantam": 24, "light": 20, "medium": 21, "heavy": 25}
Feed = Literal["starter", "grower", "layer"]
FEED_WORDS: Mapping[str, Words] = every(FeedNames)
# Share of a laying hybrid's eggs: heritage kinds 0.6 to 0.75 of them. Common practice, no source.
_LAY_BY_KIND = {"bantam": 0.67, "light": 1.0, "medium": 1.0, "heavy": 0.67}
# Univ. of Florida, quoted in Farm Forum: share of the first year's eggs.
_LAY_BY_YEAR = (1.0, 0.8, 0.7, 0.6)
# Common practice, no source: unlit hens in short days, by season of life.
_WINTER_LAY = (0.85, 0.40, 0.25)
_PEAK_SHARE = 0.9
_SHORT_DAY_H, _LONG_DAY_H = 9.5, 14.0


def brooder_c(weeks: float) -> tuple[float, float]:
    """Least and most temperature at chick height in that week; 70 °F from six weeks."""
    low_f, high_f = BROODER_F[min(max(int(weeks), 0), len(BROODER_F) - 1)]
    return (low_f - 32) / 1.8, (high_f - 32) / 1.8


def chick_floor_m2(weeks: float) -> float:
    """Floor a chick at that age."""
    sq_ft = next(area for start, area in reversed(CHICK_FLOOR_SQ_FT) if max(weeks, 0) >= start)
    return sq_ft * float(FOOT_M**2)


def chick_feeder_m(weeks: float) -> float:
    """Feeding edge a chick at that age."""
    inches = next(edge for start, edge in reversed(CHICK_FEEDER_IN) if max(weeks, 0) >= start)
    return inches * float(INCH_M)


def expected_lay(flock: Flock, weeks: float, daylight: timedelta) -> float:
    """The share of days on which a hen lays an egg, by age and how long she has light.

    Ten points either way are ordinary.
    """
    start = POINT_OF_LAY_WEEKS[flock.kind]
    if weeks < start:
        return 0.0
    year = min(int((weeks - start) / 52), len(_LAY_BY_YEAR) - 1)
    rising = min((weeks - start + 1) / 6, 1.0)
    hours = daylight / timedelta(hours=1)
    winter = _WINTER_LAY[min(year, len(_WINTER_LAY) - 1)]
    open_share = min(max((hours - _SHORT_DAY_H) / (_LONG_DAY_H - _SHORT_DAY_H), 0.0), 1.0)
    season = winter + (1.0 - winter) * open_share
    return _PEAK_SHARE * _LAY_BY_KIND[flock.kind] * _LAY_BY_YEAR[year] * rising * season


def lay_share(flock: Flock, day: date, daylight: timedelta) -> float | None:
    """The expected lay of a hen of the flock on `day`; None where her age is not known.

    Beside young ones the hatch date is theirs; a hen that leads chicks lays none.
    """
    if flock.young:
        return 0.0 if flock.hens == 1 and under_a_hen(flock) else None
    weeks = weeks_old(flock, day)
    return None if weeks is None else expected_lay(flock, weeks, daylight)


def feed_for(flocks: Iterable[Flock], day: date) -> Feed:
    """The feed for a coop's most delicate bird; layer feed only when all are hens of an age for it.

    Ages after PNW 477: layer feed's calcium harms the kidneys of the young, and of roosters in time
    (the latter common practice, no source). Young of unknown age are not fed as layers.
    """
    flocks = tuple(flocks)
    ages = [weeks_old(flock, day) for flock in flocks if flock.hens or flock.young]
    youngest = min((weeks for weeks in ages if weeks is not None), default=float(LAYER_WEEKS))
    if youngest < GROWER_WEEKS:
        return "starter"
    unknown = any(flock.young and weeks_old(flock, day) is None for flock in flocks)
    if youngest < LAYER_WEEKS or unknown or any(flock.roosters for flock in flocks):
        return "grower"
    return "layer"


def feed_kind(flocks: Iterable[Flock], day: date) -> str:
    """The feed for all birds of a coop in words; shell apart only where there are layers.

    Medicated feed is never for hens whose eggs are eaten (common practice).
    """
    flocks = tuple(flocks)
    feed = feed_for(flocks, day)
    shell = any(lays(flock, day) for flock in flocks)
    if feed == "starter":
        return FeedForAll.starter_and_shell() if shell else FeedNames.starter()
    if feed == "grower":
        return FeedForAll.grower_and_shell() if shell else FeedForAll.grower()
    return FeedForAll.layer()
