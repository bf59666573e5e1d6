"""The figures of what the birds drink and eat, and when the next bag is ordered."""

import itertools
from collections.abc import Iterator
from datetime import date, timedelta
from math import ceil

from scheduler.husbandry.consumption import (
    capacity_l,
    days_fed,
    drinker_days,
    feed_g_a_day,
    has_open_water,
    manure_g_a_day,
    reorder_on,
    water_l_a_day,
    water_source,
)
from scheduler.husbandry.criterion import unknown
from scheduler.husbandry.egg_figures import shares_laying
from scheduler.husbandry.figure import NRC, OSU_804, WORKED_OUT, Figure
from scheduler.husbandry.groups import Group, eggs_a_week, groups, head_count
from scheduler.husbandry.growth import feed_for, feed_kind
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.phrase import Phrase, filled, phrase
from scheduler.profile.quantity import Quantity, reckoned
from scheduler.wording.husbandry.feed import FeedFigures, NextFeed, WaterFigures
from scheduler.wording.husbandry.figures import FigureAmounts, FigureInputs
from scheduler.wording.husbandry.housing import ToMeasure
from scheduler.wording.profile.region_words import Counted
from scheduler.wording.spoken import day_and_month
from scheduler.wording.words import Words, every

DELIVERY_DAYS = 7
FEED_KEEPS_DAYS = 56  # once opened, cool and dry, common practice, no source
_EATS_MORE = 1.05  # growth that shows in how long a bag lasts
_NEXT = every(NextFeed)


def water_and_feed(
    coop: Coop, flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day, bag_kg: float
) -> Iterator[Figure]:
    count = head_count(birds)
    water_l = water_l_a_day(birds, at.noon.air_c)
    counted = Counted.bird(count=count)
    by_day = filled(FigureInputs.by_day, temperature=reckoned(at.noon.air_c, "°C", 1))
    inputs = (counted, by_day)
    yield Figure(
        key="water", label=WaterFigures.a_day(), value=water_l, unit="L",
        source=water_source(at.noon.air_c), inputs=inputs,
    )  # fmt: skip
    holds_l = capacity_l(coop)
    look = WaterFigures.look_twice if has_open_water(coop) else WaterFigures.look_daily
    yield Figure(
        key="drinker-days", label=WaterFigures.drinkers_last(),
        value=None if holds_l is None else drinker_days(holds_l, water_l), unit="days",
        source=WORKED_OUT, inputs=inputs,
        note=look() if holds_l else unknown(ToMeasure.drinkers),
    )  # fmt: skip
    mean_c = (at.night.air_c + at.noon.air_c) / 2
    feed_g = feed_g_a_day(birds, mean_c)
    yield from _feeder_days(coop, feed_g)
    yield Figure(
        key="feed", label=FeedFigures.a_day(), value=feed_g / 1000, unit="kg", source=NRC,
        inputs=(
            counted, phrase(reckoned(mean_c, "°C", 1)),
            *_eggs_in_feed(flocks, birds, at, at.light(coop)),
        ),
        note=feed_kind(flocks, at.day),
    )  # fmt: skip
    yield _bag(coop, flocks, at, mean_c, bag_kg)
    yield Figure(
        key="manure", label=FeedFigures.manure(), value=manure_g_a_day(feed_g) / 1000, unit="kg",
        source=OSU_804, inputs=(_of_feed(feed_g, FigureInputs.feed),),
    )  # fmt: skip


def _of_feed(feed_g: float, words: Words) -> Phrase:
    """An input that is a figure of its own, and is told as that one is."""
    return filled(words, amount=reckoned(feed_g / 1000, "kg"))


def _bag(coop: Coop, flocks: tuple[Flock, ...], at: Day, mean_c: float, bag_kg: float) -> Figure:
    light = at.light(coop)

    def fed_g(days: int) -> float:
        later = groups(flocks, at.day + timedelta(days=days), light)  # growing birds eat more
        return feed_g_a_day(later, mean_c)

    feed_g = fed_g(0)
    lasts = days_fed(bag_kg, map(fed_g, itertools.count()))
    last_g = fed_g(int(lasts))
    bag = Quantity((bag_kg,), "kg", written=f"{bag_kg:g}")
    grows = last_g > feed_g * _EATS_MORE
    return Figure(
        key="bag", label=filled(FeedFigures.bag_lasts, bag=bag), value=lasts, unit="days",
        source=WORKED_OUT,
        inputs=(
            (_of_feed(feed_g, FigureInputs.feed_now), _of_feed(last_g, FigureInputs.feed_by_then))
            if grows else (_of_feed(feed_g, FigureAmounts.a_day),)
        ),
        note=_bag_note(flocks, at.day, lasts),
    )  # fmt: skip


def _bag_note(flocks: tuple[Flock, ...], day: date, lasts: float) -> str:
    """When to order the next bag, or of the feed that they grow into before this one is empty."""
    given = feed_for(flocks, day)
    for n in range(1, ceil(lasts)):
        later = day + timedelta(days=n)
        if (feed := feed_for(flocks, later)) != given:
            by = day_and_month(reorder_on(day, n, DELIVERY_DAYS))
            return _NEXT[feed](day=day_and_month(later), by=by, delivery=DELIVERY_DAYS)
    if lasts > FEED_KEEPS_DAYS:
        return FeedFigures.too_large()
    by = day_and_month(reorder_on(day, lasts, DELIVERY_DAYS))
    return FeedFigures.order_by(day=by, delivery=DELIVERY_DAYS)


def _eggs_in_feed(
    flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day, light: timedelta
) -> Iterator[str]:
    """The eggs that the feed is reckoned for, assumed where an age is not known."""
    if not any(group.laying for group in birds):
        return
    assumed = None in shares_laying(flocks, at, light)
    told = FeedFigures.eggs_assumed if assumed else FeedFigures.eggs
    yield told(eggs=round(eggs_a_week(birds)))


def _feeder_days(coop: Coop, feed_g: float) -> Iterator[Figure]:
    if not coop.feeder:
        return
    known = [feeder.capacity_kg for feeder in coop.feeder]
    holds_kg = sum(kg * feeder.count for kg, feeder in zip(known, coop.feeder, strict=True) if kg)
    missing = None in known
    yield Figure(
        key="feeder-days", label=FeedFigures.feeders_last(),
        value=None if missing else holds_kg * 1000 / feed_g, unit="days", source=WORKED_OUT,
        inputs=() if missing else (
            phrase(reckoned(holds_kg, "kg", 1)), _of_feed(feed_g, FigureAmounts.a_day),
        ),
        note=FeedFigures.unknown() if missing else WaterFigures.look_daily(),
    )  # fmt: skip
