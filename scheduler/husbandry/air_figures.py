"""The figures of the birds' heat and moisture, of the air they want, and of hot days."""

from collections.abc import Iterator

from scheduler.husbandry.age import all_on_heat
from scheduler.husbandry.air import (
    SUMMER_RISE_K,
    TARGET_HUMIDITY,
    shell,
    wanted_for_co2_m3_h,
    wanted_for_heat_m3_h,
)
from scheduler.husbandry.drying import wanted_air_m3_h
from scheduler.husbandry.figure import ASHRAE, CIGR, LOHMANN, THI, Figure
from scheduler.husbandry.groups import Group, head_count
from scheduler.husbandry.heat import (
    SENSIBLE_UP_TO_C,
    heat_index_f,
    output,
    stress_class,
    wet_bulb_c,
)
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.coop import Coop
from scheduler.profile.flock import Flock
from scheduler.profile.phrase import Text, filled, phrase
from scheduler.profile.quantity import read_written, reckoned
from scheduler.wording.husbandry.air import AirFigures, HeatIndex
from scheduler.wording.husbandry.figures import FigureInputs
from scheduler.wording.profile.region_words import Counted
from scheduler.wording.words import every

_WARM_DAY_C = 27.0  # the first heat step, common practice, no source
_ABOVE_THE_SHADE = reckoned(SUMMER_RISE_K, "°C rise", 0)
_TOO_HOT = reckoned(SENSIBLE_UP_TO_C, "°C", 0)
_INDEX = every(HeatIndex)


def heat_and_air(
    coop: Coop, flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day
) -> Iterator[Figure]:
    count = head_count(birds)
    night, noon = output(birds, at.night.air_c), output(birds, at.noon.air_c)
    counted = Counted.bird(count=count)
    night_c, noon_c = reckoned(at.night.air_c, "°C", 1), reckoned(at.noon.air_c, "°C", 1)
    inputs = (counted, filled(FigureInputs.by_night, temperature=night_c))
    yield Figure(
        key="heat", label=AirFigures.heat(), value=night.total_w, unit="W", source=CIGR,
        inputs=inputs,
    )  # fmt: skip
    yield Figure(
        key="warmth", label=AirFigures.warmth(),
        value=None if night.extrapolated else night.sensible_w, unit="W", source=CIGR,
        inputs=inputs,
        note=filled(AirFigures.not_above, temperature=_TOO_HOT) if night.extrapolated else "",
    )  # fmt: skip
    yield Figure(
        key="moisture", label=AirFigures.moisture(), value=night.moisture_kg_h * 24,
        unit="kg", per="/day", source=CIGR, inputs=inputs,
    )  # fmt: skip
    yield _against_moisture(coop, flocks, birds, at, inputs)
    yield Figure(
        key="air-co2", label=AirFigures.against_co2(), value=wanted_for_co2_m3_h(night),
        unit="m³/h", source=LOHMANN, inputs=(*inputs, AirFigures.co2_at_most()),
    )  # fmt: skip
    yield Figure(
        key="air-heat", label=filled(AirFigures.by_day, rise=_ABOVE_THE_SHADE),
        value=None if noon.extrapolated else wanted_for_heat_m3_h(noon), unit="m³/h", source=CIGR,
        inputs=(counted, filled(FigureInputs.by_day, temperature=noon_c)),
        note=(
            filled(AirFigures.open_every_vent, temperature=_TOO_HOT) if noon.extrapolated else ""
        ),
    )  # fmt: skip


def _against_moisture(
    coop: Coop, flocks: tuple[Flock, ...], birds: tuple[Group, ...], at: Day,
    inputs: tuple[Text, ...],
) -> Figure:  # fmt: skip
    on_heat = all_on_heat(flocks, at.day)
    wanted = None if on_heat else wanted_air_m3_h(birds, shell(coop), coop.vent, at.night)
    note = AirFigures.on_heat() if on_heat else AirFigures.too_damp()
    return Figure(
        key="air-moisture", label=AirFigures.against_moisture(), value=wanted, unit="m³/h",
        source=CIGR, inputs=(*inputs, AirFigures.outside(humidity=f"{at.night.humidity:.0%}"),
        AirFigures.inside(humidity=f"{TARGET_HUMIDITY:.0%}")),
        note="" if wanted is not None else note,
        none_does=wanted is None and not on_heat,
    )  # fmt: skip


def heat_stress(at: Day) -> Iterator[Figure]:
    # To a tenth, as it is shown: 75.97 is no "76, alert".
    inputs = (phrase(reckoned(at.noon.air_c, "°C", 1)), f"{at.noon.humidity:.0%}")
    index = round(heat_index_f(at.noon.air_c, at.noon.humidity), 1)
    zone = stress_class(index)
    yield Figure(
        key="heat-index", label=_INDEX[zone](),
        value=index, unit="", digits=1, source=THI,
        inputs=inputs,
        note=filled(AirFigures.in_the_sun, rise=read_written("10 °C rise")),
    )  # fmt: skip
    if at.noon.air_c >= _WARM_DAY_C:
        yield Figure(
            key="wet-bulb", label=AirFigures.wet_pad(),
            value=wet_bulb_c(at.noon.air_c, at.noon.humidity), unit="°C", source=ASHRAE,
            inputs=inputs,
            note=AirFigures.wet_ground(),
        )  # fmt: skip
