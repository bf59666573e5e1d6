"""The figures of the bedding."""

from collections.abc import Iterator

from scheduler.husbandry.age import all_on_heat, some_on_heat
from scheduler.husbandry.consumption import floor_load
from scheduler.husbandry.criterion import unknown
from scheduler.husbandry.figure import COMMON_PRACTICE, Figure
from scheduler.husbandry.groups import Group, head_count
from scheduler.husbandry.upkeep import STIR_MOST_A_WEEK, stirs_a_week, top_up_days
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.phrase import phrase
from scheduler.profile.quantity import reckoned
from scheduler.wording.husbandry.bedding import BeddingFigures
from scheduler.wording.husbandry.housing import ToMeasure
from scheduler.wording.profile.region_words import Counted


def bedding(
    coop: Coop, flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day
) -> Iterator[Figure]:
    mean_c = (at.night.air_c + at.noon.air_c) / 2
    load = floor_load(coop, birds, mean_c)
    floor = phrase(reckoned(coop.floor.area_m2, "m²", 1)) if coop.floor else None
    inputs = (Counted.bird(count=head_count(birds)), floor) if floor else ()
    missing = "" if load else unknown(ToMeasure.floor)
    yield Figure(
        key="bedding-moisture", label=BeddingFigures.moisture(),
        value=load.water_g_m2_day if load else None, unit="g/m²", per=" a day",
        source=COMMON_PRACTICE, inputs=inputs, note=missing,
    )  # fmt: skip
    if all_on_heat(flocks, at.day):  # a brooder is not stirred through
        return
    hens = some_on_heat(flocks, at.day)
    yield Figure(
        key="stirring", label=BeddingFigures.stir_hens() if hens else BeddingFigures.stir(),
        value=float(stirs_a_week(load)) if load else None, unit="× a week",
        source=COMMON_PRACTICE, inputs=inputs,
        note=missing or BeddingFigures.stir_how_often(most=STIR_MOST_A_WEEK),
    )  # fmt: skip
    yield Figure(
        key="top-up", label=BeddingFigures.top_up_hens() if hens else BeddingFigures.top_up(),
        value=float(top_up_days(load)) if load else None, unit="days", source=COMMON_PRACTICE,
        inputs=inputs, note=missing or BeddingFigures.top_up_how_often(),
    )  # fmt: skip
