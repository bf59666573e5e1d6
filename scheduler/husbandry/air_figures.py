"""The figures of the birds' heat and moisture, of the air they want, and of hot days."""

from collections.abc import Iterator

from scheduler.husbandry.air import (
    SUMMER_RISE_K,
    TARGET_HUMIDITY,
    wanted_for_co2_m3_h,
    wanted_for_heat_m3_h,
    wanted_for_moisture_m3_h,
)
from scheduler.husbandry.figure import ASHRAE, CIGR, LOHMANN, Figure, Source
from scheduler.husbandry.groups import Group
from scheduler.husbandry.heat import (
    SENSIBLE_UP_TO_C,
    heat_index_f,
    output,
    stress_class,
    wet_bulb_c,
)
from scheduler.husbandry.weather_and_light import Day
from scheduler.profile.phrase import phrase
from scheduler.profile.quantity import read_written, reckoned

_WARM_DAY_C = 27.0  # the first heat step, common practice, no source
_ABOVE_THE_SHADE = reckoned(SUMMER_RISE_K, "°C rise", 0)
_THI = Source(
    "Hy-Line, Understanding Heat Stress in Layers (70), OMAFRA heat stress app (81); formula and "
    "danger from 76 from memory",
    "P",
)


def heat_and_air(birds: tuple[Group, ...], count: int, at: Day) -> Iterator[Figure]:
    night, noon = output(birds, at.night.air_c), output(birds, at.noon.air_c)
    inputs = (f"{count} birds", phrase(reckoned(at.night.air_c, "°C", 1), " at night"))
    yield Figure(
        key="heat", label="heat of the birds", value=night.total_w, unit="W", source=CIGR,
        inputs=inputs,
    )  # fmt: skip
    beyond = phrase("not worked out above ", reckoned(SENSIBLE_UP_TO_C, "°C", 0))
    yield Figure(
        key="warmth", label="of that, warming the air",
        value=None if night.extrapolated else night.sensible_w, unit="W", source=CIGR,
        inputs=inputs, note=beyond if night.extrapolated else "",
    )  # fmt: skip
    yield Figure(
        key="moisture", label="moisture of the birds", value=night.moisture_kg_h * 24,
        unit="kg", per="/day", source=CIGR, inputs=inputs,
    )  # fmt: skip
    noon_c = reckoned(at.noon.air_c, "°C", 1)
    inside_c = at.night.air_c + SUMMER_RISE_K
    wanted = wanted_for_moisture_m3_h(night, inside_c, at.night)
    yield Figure(
        key="air-moisture", label="air needed against moisture", value=wanted, unit="m³/h",
        source=CIGR, inputs=(*inputs, f"{at.night.humidity:.0%} outside",
        f"{TARGET_HUMIDITY:.0%} inside, a fifth to spare"),
        note="" if wanted is not None else "this air is too damp to dry the house",
    )  # fmt: skip
    yield Figure(
        key="air-co2", label="air needed against carbon dioxide", value=wanted_for_co2_m3_h(night),
        unit="m³/h", source=LOHMANN, inputs=(*inputs, "3000 ppm"),
    )  # fmt: skip
    yield Figure(
        key="air-heat", label=phrase("air needed by day, ", _ABOVE_THE_SHADE, " above the shade"),
        value=None if noon.extrapolated else wanted_for_heat_m3_h(noon), unit="m³/h", source=CIGR,
        inputs=(f"{count} birds", phrase(noon_c, " by day")),
        note=phrase(beyond, ": open every vent and move the air") if noon.extrapolated else "",
    )  # fmt: skip


def heat_stress(at: Day) -> Iterator[Figure]:
    # To a tenth, as it is shown: 75.97 is no "76, alert".
    inputs = (phrase(reckoned(at.noon.air_c, "°C", 1)), f"{at.noon.humidity:.0%}")
    index = round(heat_index_f(at.noon.air_c, at.noon.humidity), 1)
    zone = stress_class(index)
    yield Figure(
        key="heat-index", label=f"heat index by day: {'no strain' if zone == 'none' else zone}",
        value=index, unit="", digits=1, source=_THI,
        inputs=inputs,
        note=phrase(
            "shade figure: a shut coop in the sun can be ", read_written("10 °C rise"), " hotter"
        ),
    )  # fmt: skip
    if at.noon.air_c >= _WARM_DAY_C:
        yield Figure(
            key="wet-bulb", label="air off a wet pad, at the coolest",
            value=wet_bulb_c(at.noon.air_c, at.noon.humidity), unit="°C", source=ASHRAE,
            inputs=inputs,
            note="wet their ground only with moving air or below 70% humidity",
        )  # fmt: skip
