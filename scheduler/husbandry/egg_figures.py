"""The figure of what the hens lay."""

from collections.abc import Iterator
from datetime import timedelta

from scheduler.husbandry.age import lays
from scheduler.husbandry.figure import COMMON_PRACTICE, Figure
from scheduler.husbandry.groups import Group, eggs_a_week
from scheduler.husbandry.growth import lay_share
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.wording.husbandry.feed import EggFigures


def eggs(
    coop: Coop, flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day
) -> Iterator[Figure]:
    """What the hens lay that are fed for it; of an unknown age only the feed is reckoned."""
    light = at.light(coop)
    shares = shares_laying(flocks, at, light)
    if not any(share is None or share for share in shares):
        return
    missing = None in shares
    hours = EggFigures.by_lamp if light > at.daylight else EggFigures.by_daylight
    yield Figure(
        key="eggs", label=EggFigures.label(),
        value=None if missing else eggs_a_week(birds), unit="", source=COMMON_PRACTICE,
        inputs=(hours(hours=f"{light / timedelta(hours=1):.1f}"),),
        note=EggFigures.unknown() if missing else EggFigures.usual(),
    )  # fmt: skip


def shares_laying(flocks: tuple[Flock, ...], at: Day, light: timedelta) -> list[float | None]:
    return [lay_share(f, at.day, light) for f in flocks if f.hens and lays(f, at.day)]
