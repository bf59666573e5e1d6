"""Moist air (psychrolib underneath) against CoolProp, Stull's wet bulb and printed heat indices.

CoolProp's humid air is that of Herrmann, Kretzschmar & Gatley (ASHRAE RP-1485): a real gas, which
holds about half a per cent more water than the ideal one of the ASHRAE handbook.
"""

from math import atan, sqrt
from typing import Any

import pytest

from scheduler.climate.curve import Averages
from scheduler.climate.humidity import day_humidity, night_humidity, saturation_hpa
from scheduler.climate.wave import Wave
from scheduler.husbandry.air import Shell, Weather, balance_at
from scheduler.husbandry.groups import Group
from scheduler.husbandry.heat import (
    PRESSURE_PA,
    heat_index_f,
    humidity_ratio,
    moist_air_m3_per_kg,
    output,
    relative_humidity,
    stress_class,
    wet_bulb_c,
)

AIR_C = tuple(float(c) for c in range(-20, 46, 5))
HUMIDITY = (0.1, 0.3, 0.5, 0.7, 0.9, 1.0)
WEATHERS = [(air_c, humidity) for air_c in AIR_C for humidity in HUMIDITY]
_KELVIN = 273.15


def mixed(wanted: str, air_k: float, ratio: float) -> float:
    """Of air of that temperature and water, from CoolProp."""
    library: Any = pytest.importorskip("CoolProp.CoolProp", reason="the library is not installed")
    return float(library.HAPropsSI(wanted, "T", air_k, "P", PRESSURE_PA, "W", ratio))


def coolprop(wanted: str, air_c: float, humidity: float) -> float:
    library: Any = pytest.importorskip("CoolProp.CoolProp", reason="the library is not installed")
    given = ("T", air_c + _KELVIN, "P", PRESSURE_PA, "R", humidity)
    return float(library.HAPropsSI(wanted, *given))


@pytest.mark.reference
def test_humidity_ratio_against_coolprop() -> None:
    ours = [humidity_ratio(*weather) for weather in WEATHERS]
    assert ours == pytest.approx([coolprop("W", *weather) for weather in WEATHERS], rel=0.006)


@pytest.mark.reference
def test_t8_saturation_outside_against_coolprop() -> None:
    # Relative humidity outside is told over water in frost too; CoolProp's is that over ice there.
    above_c = [air_c for air_c in AIR_C if air_c >= 0]
    theirs = [coolprop("P_w", air_c, 1.0) / 100 for air_c in above_c]
    assert [saturation_hpa(air_c) for air_c in above_c] == pytest.approx(theirs, rel=0.007)


@pytest.mark.reference
@pytest.mark.parametrize("percent", [20, 50, 80])
@pytest.mark.parametrize(("low_c", "high_c"), [(0, 8), (7, 18), (13, 23), (24, 32), (28, 42)])
def test_t8_humidity_at_night_and_noon_against_coolprop(
    low_c: float, high_c: float, percent: float
) -> None:
    # The water of the day's mean, taken to the low and to the high: 1 where dew falls.
    place = Averages(Wave(low_c), Wave(high_c), Wave(percent), estimated=False)
    mean_hpa = coolprop("P_w", (low_c + high_c) / 2, percent / 100)
    for air_c, ours in ((low_c, night_humidity(place, 0.0)), (high_c, day_humidity(place, 0.0))):
        theirs = min(1.0, mean_hpa / coolprop("P_w", air_c, 1.0))
        assert ours == pytest.approx(theirs, abs=0.002)


@pytest.mark.reference
@pytest.mark.parametrize("night", [(-15.0, 0.9), (0.0, 0.6), (0.0, 0.95), (12.0, 0.7), (24.0, 0.9)])
def test_t8_the_moisture_balance_against_coolprop(night: tuple[float, float]) -> None:
    # The water of the air outside and that of twelve hens, in the volume that CoolProp gives.
    hens = [Group(count=12, mass_kg=2.0, lay_share=0.7)]
    house = Shell(volume_m3=6.7, roof_m2=3.5, loss_w_k=45.0)
    weather = Weather(air_c=night[0], humidity=night[1])
    for moved_m3_h in (20.0, 80.0, 320.0):
        inside = balance_at(hens, house, moved_m3_h, weather)
        given = output(hens, inside.air_c)
        at_k, outside_ratio = inside.air_c + _KELVIN, coolprop("W", *night)
        volume = mixed("V", at_k, outside_ratio)
        ratio = outside_ratio + given.moisture_kg_h * volume / moved_m3_h
        most = coolprop("W", inside.air_c, 1.0)
        theirs = 1.0 if ratio >= most else mixed("R", at_k, ratio)
        assert inside.humidity == pytest.approx(theirs, abs=0.006)
        # What warms the air, by enthalpy: 0.335 Wh/(m³·K) is that of 20 °C, and colder air carries
        # up to an eighth more.
        taken_kj_kg = (mixed("H", at_k, outside_ratio) - coolprop("H", *night)) / 1000
        air_w = moved_m3_h / volume * taken_kj_kg / 3.6
        walls_w = house.loss_w_k * inside.rise_k
        ours_w = given.sensible_w - walls_w
        assert ours_w == pytest.approx(air_w, rel=0.13)


@pytest.mark.reference
def test_relative_humidity_against_coolprop() -> None:
    ours = [
        relative_humidity(air_c, coolprop("W", air_c, humidity)) for air_c, humidity in WEATHERS
    ]
    assert ours == pytest.approx([humidity for _, humidity in WEATHERS], abs=0.005)


@pytest.mark.reference
def test_volume_of_moist_air_against_coolprop() -> None:
    ours = [moist_air_m3_per_kg(weather[0], humidity_ratio(*weather)) for weather in WEATHERS]
    assert ours == pytest.approx([coolprop("V", *weather) for weather in WEATHERS], rel=0.001)


@pytest.mark.reference
def test_wet_bulb_against_coolprop() -> None:
    ours = [wet_bulb_c(*weather) for weather in WEATHERS]
    theirs = [coolprop("B", *weather) - _KELVIN for weather in WEATHERS]
    assert ours == pytest.approx(theirs, abs=0.03)


def stull_c(air_c: float, percent: float) -> float:
    """Stull 2011, J. Appl. Meteor. Climatol. 50:2267; the formula was read second-hand."""
    wet_bulb: float = (
        air_c * atan(0.151977 * sqrt(percent + 8.313659))
        + atan(air_c + percent)
        - atan(percent - 1.676331)
        + 0.00391838 * percent**1.5 * atan(0.023101 * percent)
        - 4.686035
    )
    return wet_bulb


def test_stull_formula_gives_its_published_example() -> None:
    assert stull_c(20, 50) == pytest.approx(13.7, abs=0.05)
    assert stull_c(30, 50) == pytest.approx(22.3, abs=0.05)  # recomputed


@pytest.mark.parametrize("air_c", range(5, 36, 5))
def test_wet_bulb_is_within_the_published_error_of_stull(air_c: float) -> None:
    # Published: -1.0 to +0.65 K over 5 to 99 % and -20 to 50 °C, but not for cold and dry air. Left
    # out: bulbs below freezing, iced in psychrolib and not in Stull; and from 40 °C, where CoolProp
    # and psychrolib agree to 0.01 K and Stull stands up to 1.1 K above both.
    errors = [
        stull_c(air_c, percent) - ours
        for percent in (10, 30, 50, 70, 90, 99)
        if (ours := wet_bulb_c(air_c, percent / 100)) > 0
    ]
    assert len(errors) > 1
    assert -1.0 <= min(errors) <= max(errors) <= 0.65


def test_saturation_pressure_at_10_c() -> None:
    # 1.2260 kPa after Alduchov & Eskridge 1996, 0.61094·exp(17.625 t/(t + 243.04)), from memory;
    # the ASHRAE handbook's Hyland & Wexler differs by 0.16 %.
    ratio = humidity_ratio(10.0, 1.0)
    kpa = PRESSURE_PA / 1000 * ratio / (0.622 + ratio)
    assert kpa == pytest.approx(1.2260, rel=0.003)


@pytest.mark.parametrize(
    ("air_c", "humidity", "published", "zone"),
    [
        pytest.param(21.0, 0.68, 68.0, "none", id="neutral, H. R. Kim et al. 2024"),
        pytest.param(33.0, 0.66, 85.0, "emergency", id="severe, H. R. Kim et al. 2024"),
        # One index, two ways to it; the pairs are from memory, Animals 2021, 11:56.
        pytest.param(26.0, 0.70, 75.0, "alert", id="warm and humid, D.-H. Kim et al. 2021"),
        pytest.param(30.0, 0.30, 75.0, "alert", id="hot and dry, D.-H. Kim et al. 2021"),
    ],
)
def test_heat_index_against_published_values(
    air_c: float, humidity: float, published: float, zone: str
) -> None:
    # The formula is that of NRC 1971, from memory; Animals 14:1076 prints 68 and 85.
    index = heat_index_f(air_c, humidity)
    assert index == pytest.approx(published, abs=0.5)
    assert stress_class(index) == zone


# Hy-Line technical update "Understanding Heat Stress in Layers" ("Managing Heat Stress"), table of
# the heat index by temperature and humidity from 5 to 100 % in steps of 5. Read from text extracted
# from a copy of it, in which every figure stands twice; these three rows came out whole.
HY_LINE = {
    28.0: "70 70 71 72 72 73 74 74 75 76 76 77 78 78 79 80 80 81 82 82",
    36.0: "77 78 79 80 81 82 83 84 85 86 87 88 89 90 91 93 94 95 96 97",
    38.0: "78 79 81 82 83 84 85 86 88 89 90 91 92 93 95 96 97 98 99 100",
}


@pytest.mark.parametrize("air_c", HY_LINE)
def test_t4_heat_index_against_the_published_table_for_layers(air_c: float) -> None:
    printed = [int(figure) for figure in HY_LINE[air_c].split()]
    ours = [heat_index_f(air_c, percent / 100) for percent in range(5, 101, 5)]
    assert len(printed) == len(ours) == 20
    # Printed whole: within half a point, and a hair for halves that were rounded down.
    assert ours == pytest.approx(printed, abs=0.51)


def test_t4_the_emergency_of_layers_begins_at_81() -> None:
    # Ontario Ministry of Agriculture, Food and Rural Affairs, heat stress app for livestock and
    # poultry (omafra.gov.on.ca, heat-appf2): layers at 28 °C and 90 %: index 81, emergency.
    index = heat_index_f(28.0, 0.9)
    assert round(index) == 81
    assert stress_class(index) == "emergency"
    # Hy-Line, as above: comfort below 70, alert from 70.
    assert [stress_class(value) for value in (69.9, 70.0)] == ["none", "alert"]
