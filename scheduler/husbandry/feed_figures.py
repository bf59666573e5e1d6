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
from scheduler.husbandry.egg_figures import shares_laying
from scheduler.husbandry.figure import NRC, OSU_804, Figure, Source
from scheduler.husbandry.groups import Group, eggs_a_week, groups, head_count
from scheduler.husbandry.growth import feed_for, feed_kind
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.phrase import Phrase, phrase
from scheduler.profile.quantity import Quantity, reckoned

DELIVERY_DAYS = 7
FEED_KEEPS_DAYS = 56  # once opened, cool and dry, common practice, no source
_TOO_LARGE = "opened feed keeps about 8 weeks: buy a smaller bag"
_EATS_MORE = 1.05  # growth that shows in how long a bag lasts
_WORKED_OUT = Source("worked out from the figures above", "D")


def water_and_feed(
    coop: Coop, flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day, bag_kg: float
) -> Iterator[Figure]:
    count = head_count(birds)
    water_l = water_l_a_day(birds, at.noon.air_c)
    inputs = (f"{count} birds", phrase(reckoned(at.noon.air_c, "°C", 1), " by day"))
    yield Figure(
        key="water", label="water a day", value=water_l, unit="L",
        source=water_source(at.noon.air_c), inputs=inputs,
    )  # fmt: skip
    holds_l = capacity_l(coop)
    often = "at open drinkers twice a day" if has_open_water(coop) else "daily all the same"
    yield Figure(
        key="drinker-days", label="full drinkers last",
        value=None if holds_l is None else drinker_days(holds_l, water_l), unit="days",
        source=_WORKED_OUT, inputs=inputs,
        note=f"look {often}" if holds_l else "unknown: read what the drinkers hold",
    )  # fmt: skip
    mean_c = (at.night.air_c + at.noon.air_c) / 2
    feed_g = feed_g_a_day(birds, mean_c)
    yield from _feeder_days(coop, feed_g)
    yield Figure(
        key="feed", label="feed a day", value=feed_g / 1000, unit="kg", source=NRC,
        inputs=(
            f"{count} birds", phrase(reckoned(mean_c, "°C", 1)),
            *_eggs_in_feed(flocks, birds, at, at.light(coop)),
        ),
        note=feed_kind(flocks, at.day),
    )  # fmt: skip
    yield _bag(coop, flocks, at, mean_c, bag_kg)
    yield Figure(
        key="manure", label="manure a day", value=manure_g_a_day(feed_g) / 1000, unit="kg",
        source=OSU_804, inputs=(_of_feed(feed_g, " feed"),),
    )  # fmt: skip


def _of_feed(feed_g: float, words: str) -> Phrase:
    """An input that is a figure of its own, and is told as that one is."""
    return phrase(reckoned(feed_g / 1000, "kg"), words)


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
        key="bag", label=phrase("a ", bag, " bag lasts"), value=lasts, unit="days",
        source=_WORKED_OUT,
        inputs=(
            (_of_feed(feed_g, " a day now"), _of_feed(last_g, " by then")) if grows
            else (_of_feed(feed_g, " a day"),)
        ),
        note=_bag_note(flocks, at.day, lasts),
    )  # fmt: skip


def _bag_note(flocks: tuple[Flock, ...], day: date, lasts: float) -> str:
    """When to order the next bag, or of the feed that they grow into before this one is empty."""
    given = feed_for(flocks, day)
    for n in range(1, ceil(lasts)):
        later = day + timedelta(days=n)
        if (feed := feed_for(flocks, later)) != given:
            by = _said(reorder_on(day, n, DELIVERY_DAYS))
            return (
                f"{feed} feed from {_said(later)} on: order it by {by} "
                f"({DELIVERY_DAYS} days' delivery), and buy a smaller bag of this one"
            )
    if lasts > FEED_KEEPS_DAYS:
        return _TOO_LARGE
    by = _said(reorder_on(day, lasts, DELIVERY_DAYS))
    return f"opened today, order the next by {by} ({DELIVERY_DAYS} days' delivery)"


def _said(day: date) -> str:
    return f"{day.day} {day:%B}"


def _eggs_in_feed(
    flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day, light: timedelta
) -> Iterator[str]:
    """The eggs that the feed is reckoned for, assumed where an age is not known."""
    if not any(group.laying for group in birds):
        return
    eggs = round(eggs_a_week(birds))
    assumed = None in shares_laying(flocks, at, light)
    yield f"{eggs} egg{'' if eggs == 1 else 's'} a week{' assumed' if assumed else ''}"


def _feeder_days(coop: Coop, feed_g: float) -> Iterator[Figure]:
    if not coop.feeder:
        return
    known = [feeder.capacity_kg for feeder in coop.feeder]
    holds_kg = sum(kg * feeder.count for kg, feeder in zip(known, coop.feeder, strict=True) if kg)
    missing = None in known
    yield Figure(
        key="feeder-days", label="full feeders last",
        value=None if missing else holds_kg * 1000 / feed_g, unit="days", source=_WORKED_OUT,
        inputs=() if missing else (
            phrase(reckoned(holds_kg, "kg", 1)), _of_feed(feed_g, " a day"),
        ),
        note="unknown: read what the feeders hold" if missing else "look daily all the same",
    )  # fmt: skip
