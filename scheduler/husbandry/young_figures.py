"""The figures of the young: the warmth under the lamp and their floor."""

from collections.abc import Iterator
from math import floor

from scheduler.husbandry.age import OFF_HEAT_WEEKS, on_heat, weeks_old
from scheduler.husbandry.figure import CLAUER, COMMON_PRACTICE, CSU_2502, Figure
from scheduler.husbandry.growth import OFF_HEAT_NIGHT_C, brooder_c
from scheduler.husbandry.needs import GROWN_WEEKS, floor_of_the_young_m2
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.flock import Flock
from scheduler.profile.phrase import filled
from scheduler.profile.quantity import reckoned
from scheduler.wording.husbandry.young import YoungFigures
from scheduler.wording.profile.region_words import Counted


def young_ones(flocks: tuple[Flock, ...], at: Day) -> Iterator[Figure]:
    for flock in flocks:
        weeks = weeks_old(flock, at.day)
        warm = on_heat(flock, at.day)
        # Chicks that their keeper counts as the hens they will be are chicks all the same.
        young = flock.young or (flock.hens + flock.roosters if warm else 0)
        if not young or weeks is None or weeks < 0:
            continue
        inputs = (Counted.young(count=young), YoungFigures.week(week=int(weeks) + 1))
        if warm:
            low_c, high_c = brooder_c(weeks)
            rise = reckoned(floor(high_c - low_c), "°C rise", 0)
            night, week = reckoned(OFF_HEAT_NIGHT_C, "°C", 0), OFF_HEAT_WEEKS + 1
            yield Figure(
                key="brooder", label=YoungFigures.warmth(flock=flock.name),
                value=low_c, unit="°C", least=True, source=CSU_2502, inputs=inputs,
                note=(
                    filled(YoungFigures.off_heat_and_more, rise=rise, week=week, night=night)
                    if high_c > low_c else filled(YoungFigures.off_heat, week=week, night=night)
                ),
            )  # fmt: skip
        if not flock.young:
            continue
        yield Figure(
            key="young-floor", label=YoungFigures.floor(flock=flock.name),
            value=floor_of_the_young_m2(flock, at.day).least, unit="m²", least=True,
            source=CLAUER if weeks < GROWN_WEEKS else COMMON_PRACTICE, inputs=inputs,
        )  # fmt: skip
