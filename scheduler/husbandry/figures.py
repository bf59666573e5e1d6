"""The figures of one coop on one day, each with unit, inputs and source."""

from collections.abc import Iterator

from scheduler.husbandry.age import all_on_heat
from scheduler.husbandry.air_figures import heat_and_air, heat_stress
from scheduler.husbandry.bedding_figures import bedding
from scheduler.husbandry.egg_figures import eggs
from scheduler.husbandry.feed_figures import water_and_feed
from scheduler.husbandry.figure import COMMON_PRACTICE, Figure
from scheduler.husbandry.groups import groups, left_out
from scheduler.husbandry.light_figures import day_length, lamp, may_be_lit
from scheduler.husbandry.weather_and_light import Day
from scheduler.husbandry.young_figures import young_ones
from scheduler.profile.coop import Coop
from scheduler.profile.values import Profile
from scheduler.wording.husbandry.figures import FiguresLeftOut

# What a bag holds where it is sold: 20 kg, or 50 lb.
BAG_KG = {"metric": 20.0, "uk": 20.0, "us": 22.68}


def figures(profile: Profile, coop: Coop, at: Day) -> Iterator[Figure]:
    """The figures of the coop; what cannot be known says what to measure."""
    flocks = profile.flocks_on(coop.id, at.day)
    birds = groups(flocks, at.day, at.light(coop))
    if ducks := left_out(flocks):
        yield Figure(
            key="left-out", label=FiguresLeftOut.label(), value=float(ducks), unit="",
            source=COMMON_PRACTICE, note=FiguresLeftOut.note(),
        )  # fmt: skip
    if not birds:
        return
    yield from heat_and_air(coop, flocks, birds, at)
    yield from water_and_feed(coop, flocks, birds, at, BAG_KG[profile.units])
    yield from eggs(coop, flocks, birds, at)
    yield from young_ones(flocks, at)
    yield from bedding(coop, flocks, birds, at)
    if not all_on_heat(flocks, at.day):
        yield from heat_stress(at)
    yield from day_length(coop, at, any(may_be_lit(flock, at.day) for flock in flocks))
    yield from lamp(coop)
