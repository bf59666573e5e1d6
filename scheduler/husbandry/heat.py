"""What birds give off: heat, moisture and carbon dioxide; and how heat stresses them.

The equations are those of CIGR 2002 for laying hens on litter (from memory, checked against
independent measurements in tests/reference/test_hen_heat.py).
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

import psychrolib

from scheduler.husbandry.groups import Group

_FLOOR_HEN = 6.80  # W per kg^0.75, hens on litter
_EGG_W = 25.0  # per kg of egg a day
EGG_KG_A_DAY = 0.05
_LATENT_WH_PER_KG = 680.0
_CO2_M3_H_PER_W = 0.185 / 1000
# Against measurements the sensible part fails above 30 °C: it stays positive where hens gain heat.
SENSIBLE_UP_TO_C = 30.0
_BODY_C = 40.0
PRESSURE_PA = 101_325.0

psychrolib.SetUnitSystem(psychrolib.SI)


@dataclass(frozen=True, slots=True, kw_only=True)
class Output:
    """What birds give off at one air temperature; `extrapolated` above 30 °C."""

    total_w: float
    sensible_w: float
    moisture_kg_h: float
    co2_m3_h: float
    extrapolated: bool


def output(birds: Iterable[Group], air_c: float) -> Output:
    """Heat, moisture and CO₂ of the birds.

    Above 30 °C the equations are left: total heat is held, and what warms the air falls in a
    straight line to nothing at 40 °C, about the birds' own temperature; panting does the rest.
    """
    at_20 = sum(heat_at_20_w(group.mass_kg, laying=group.laying) * group.count for group in birds)
    reckoned_c = min(air_c, SENSIBLE_UP_TO_C)
    beyond = max(air_c - SENSIBLE_UP_TO_C, 0.0) / (_BODY_C - SENSIBLE_UP_TO_C)
    per_mille = 1000 + 20 * (20 - reckoned_c)
    # The term in t^6 stands outside the bracket: so this factor vanishes at 40 °C, as it must.
    warming = (0.67 * per_mille - 9.8e-8 * max(reckoned_c, 0.0) ** 6) / 1000
    total = at_20 * (per_mille / 1000)
    sensible = at_20 * warming * max(1.0 - beyond, 0.0)
    return Output(
        total_w=total,
        sensible_w=sensible,
        moisture_kg_h=(total - sensible) / _LATENT_WH_PER_KG,
        co2_m3_h=total * _CO2_M3_H_PER_W,
        extrapolated=air_c > SENSIBLE_UP_TO_C,
    )


def heat_at_20_w(mass_kg: float, *, laying: bool) -> float:
    """Total heat of one bird on litter at 20 °C, in watts."""
    return _FLOOR_HEN * math.pow(mass_kg, 0.75) + (_EGG_W * EGG_KG_A_DAY if laying else 0.0)


StressClass = Literal["none", "alert", "danger", "emergency"]
# Hy-Line, Understanding Heat Stress in Layers: comfort below 70, alert from there. Ontario Ministry
# of Agriculture (OMAFRA), heat stress app: 81 is an emergency for layers. Danger from 76: charts of
# Iowa State, from memory.
_STRESS: tuple[tuple[float, StressClass], ...] = (
    (81.0, "emergency"),
    (76.0, "danger"),
    (70.0, "alert"),
)


def heat_index_f(air_c: float, humidity: float) -> float:
    """Temperature-humidity index on the °F scale (NRC 1971, formula from memory).

    `humidity` is a share from 0 to 1. Never compare with an index on the °C scale.
    """
    air_f = 1.8 * air_c + 32
    return air_f - (0.55 - 0.55 * humidity) * (air_f - 58)


def stress_class(index_f: float) -> StressClass:
    """The zone of the index: none below 70, alert, danger from 76, emergency from 81."""
    return next((name for least, name in _STRESS if index_f >= least), "none")


def wet_bulb_c(air_c: float, humidity: float) -> float:
    """Wet-bulb temperature from psychrolib (ASHRAE Fundamentals)."""
    return float(psychrolib.GetTWetBulbFromRelHum(air_c, humidity, PRESSURE_PA))


def humidity_ratio(air_c: float, humidity: float) -> float:
    """Kilograms of water a kilogram of dry air."""
    return float(psychrolib.GetHumRatioFromRelHum(air_c, min(max(humidity, 0.0), 1.0), PRESSURE_PA))


def relative_humidity(air_c: float, ratio: float) -> float:
    """Share from 0 to 1; 1 when the air holds all it can and the rest runs down the walls."""
    most = humidity_ratio(air_c, 1.0)
    if ratio >= most:
        return 1.0
    return float(psychrolib.GetRelHumFromHumRatio(air_c, ratio, PRESSURE_PA))


def moist_air_m3_per_kg(air_c: float, ratio: float) -> float:
    """Volume of moist air a kilogram of dry air."""
    return float(psychrolib.GetMoistAirVolume(air_c, ratio, PRESSURE_PA))
