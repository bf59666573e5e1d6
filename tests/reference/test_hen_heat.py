"""The heat, moisture and CO₂ of hens, against the CIGR equations worked out apart and measurements.

CIGR 2002: Pedersen & Sällvik eds, 4th Report of Working Group on Climatization of Animal Houses;
its equations from memory, the tables here recomputed from them and printed nowhere. The
measurements were made by others on other hens: they are what holds the equations down.

Known to fail: above 30 °C the sensible part of the equations stays positive, where measured hens
gain heat from the air, so it is held at its 30 °C value and marked as stretched; the moisture
that is left then falls, where measured hens pant out more and more.
"""

import pytest

from scheduler.husbandry.groups import Group
from scheduler.husbandry.heat import Output, heat_at_20_w, output

IASRI = "IASRI/ICAR e-course, Poultry house requirements, lesson 11"
W36 = "ASABE Technical Note, W-36 hens at 24 to 27 °C, HAL hal-01607256"
GREEN_XIN = "Green & Xin 2009, Iowa State repository"
LI_XIN_LIANG = "Li, Xin & Liang 2005, 7th ILES"
CHEPETE_XIN = "Chepete & Xin 2001, Livestock Environment VI, 319-335"
BTU_H_W = 0.29307
POUND_G = 453.592
CAGED_HEN_KG = 1.5  # the abstracts give no mass: a W-36 hen, from memory


def hen(air_c: float, mass_kg: float = 2.0) -> Output:
    return output([Group(count=1, mass_kg=mass_kg, lay_share=0.7)], air_c)


def latent_w(given: Output) -> float:
    return given.total_w - given.sensible_w


# 6.80 W per kg^0.75 for hens on litter and 25 W per kg of egg a day, 50 g a day; recomputed.
@pytest.mark.parametrize(
    ("mass_kg", "watts"),
    [(1.5, 10.467), (1.8, 11.817), (2.0, 12.686), (2.5, 14.770), (3.0, 16.751)],
)
def test_total_heat_at_20_c_by_mass(mass_kg: float, watts: float) -> None:
    assert heat_at_20_w(mass_kg, laying=True) == pytest.approx(watts, abs=0.005)
    assert heat_at_20_w(mass_kg, laying=False) == pytest.approx(watts - 1.25, abs=0.005)


# A hen of 2.0 kg; recomputed. The 30 °C row tells the form with t^6 outside the bracket (5.89 W)
# from the one with it inside (6.19 W).
@pytest.mark.parametrize(
    ("air_c", "watts", "moisture_g_h"),
    [
        (0.0, (17.76, 11.90, 5.86), 8.62),
        (5.0, (16.49, 11.05, 5.44), 8.00),
        (10.0, (15.22, 10.20, 5.02), 7.39),
        (20.0, (12.69, 8.42, 4.27), 6.27),
        (30.0, (10.15, 5.89, 4.26), 6.26),
    ],
)
def test_total_sensible_and_latent_heat_by_temperature(
    air_c: float, watts: tuple[float, float, float], moisture_g_h: float
) -> None:
    given = hen(air_c)
    found = (given.total_w, given.sensible_w, latent_w(given))
    assert found == pytest.approx(watts, abs=0.006)
    assert given.moisture_kg_h * 1000 == pytest.approx(moisture_g_h, abs=0.006)


def test_six_hens_at_5_c_breathe_out_a_good_litre_a_day() -> None:
    six = output([Group(count=6, mass_kg=2.0, lay_share=0.7)], 5.0)
    assert six.moisture_kg_h * 24 == pytest.approx(1.15, abs=0.01)  # recomputed


def test_carbon_dioxide_follows_total_heat() -> None:
    # 0.185 m³/h per 1000 W at house level: CIGR 2002, seen second-hand.
    assert hen(20.0).co2_m3_h == pytest.approx(12.686 * 0.185 / 1000, rel=1e-3)


@pytest.mark.parametrize(
    ("computed", "least", "most"),
    [
        # The lesson gives no mass; 2.0 kg is taken.
        pytest.param(hen(20.0).total_w, 40 * BTU_H_W, 50 * BTU_H_W, id=f"total, {IASRI}"),
        pytest.param(hen(20.0).sensible_w, 25 * BTU_H_W, 30 * BTU_H_W, id=f"sensible, {IASRI}"),
        pytest.param(
            hen(20.0).moisture_kg_h * 24_000, POUND_G / 3 * 0.95, POUND_G / 3 * 1.05,
            id=f"a third of a pound of water a day, 5 %, {IASRI}",
        ),
    ],
)  # fmt: skip
def test_a_hen_is_inside_the_bands_of_a_housing_course(
    computed: float, least: float, most: float
) -> None:
    assert least <= computed <= most


@pytest.mark.parametrize("air_c", [24.0, 25.5, 27.0])
def test_w_36_hens_in_chambers(air_c: float) -> None:
    # Measured, over 24 to 27 °C: 6.1 total, 3.8 sensible, 2.3 latent, ± 0.3, 0.1, 0.2 W/kg (W36).
    # Allowed: 10 %, as they were caged and ours are on litter.
    given = hen(air_c, CAGED_HEN_KG)
    per_kg = [w / CAGED_HEN_KG for w in (given.total_w, given.sensible_w, latent_w(given))]
    assert per_kg == pytest.approx([6.1, 3.8, 2.3], rel=0.10)


@pytest.mark.parametrize(
    ("air_c", "least", "most", "allowed"),
    [
        pytest.param(24.0, 6.4, 6.6, 0.05, id=f"24 °C, {GREEN_XIN}"),
        pytest.param(32.0, 5.6, 6.1, 0.15, id=f"32 °C, runs low, {GREEN_XIN}"),
        pytest.param(35.0, 5.4, 5.7, 0.15, id=f"35 °C, runs low, {GREEN_XIN}"),
    ],
)
def test_total_heat_of_hens_in_the_heat(
    air_c: float, least: float, most: float, allowed: float
) -> None:
    per_kg = hen(air_c, CAGED_HEN_KG).total_w / CAGED_HEN_KG
    assert least * (1 - allowed) <= per_kg <= most * (1 + allowed)


@pytest.mark.parametrize("mass_kg", [1.5, 2.0])
@pytest.mark.parametrize("air_c", [18.0, 25.0, 32.0])
def test_moisture_is_inside_what_a_house_gave_off(air_c: float, mass_kg: float) -> None:
    # 1.57 to 11.74 g/(h·kg) over 18 to 32 °C in a manure-belt house (LI_XIN_LIANG).
    per_kg = hen(air_c, mass_kg).moisture_kg_h * 1000 / mass_kg
    assert 1.57 <= per_kg <= 11.74, LI_XIN_LIANG


@pytest.mark.parametrize("mass_kg", [1.5, 1.8, 2.0])
def test_a_metabolic_equation_for_pullets_and_layers_gives_a_quarter_less(mass_kg: float) -> None:
    # HP = 6.20·M^0.71 W: 8.27, 9.41, 10.14 W at these masses (CHEPETE_XIN). Ours is for hens
    # on litter and in lay: 25 to 27 % more. Allowed: nothing below, 30 % above.
    published_w = 6.20 * mass_kg**0.71
    expected_w = {1.5: 8.27, 1.8: 9.41, 2.0: 10.14}[mass_kg]
    assert published_w == pytest.approx(expected_w, abs=0.02), CHEPETE_XIN
    assert published_w <= heat_at_20_w(mass_kg, laying=True) <= published_w * 1.30


# Sensible, measured at room level (GREEN_XIN): 2.8 to 3.1, 0.7 to 1.0 and -1.0 to -0.4 W/kg.
def test_sensible_heat_at_24_c_runs_a_third_above_one_measurement() -> None:
    per_kg = hen(24.0, CAGED_HEN_KG).sensible_w / CAGED_HEN_KG
    assert 2.8 <= per_kg <= 3.1 * 1.40


@pytest.mark.parametrize(("air_c", "measured_most_w_kg"), [(32.0, 1.0), (35.0, -0.4)])
def test_sensible_heat_above_30_c_is_known_to_fail_and_says_so(
    air_c: float, measured_most_w_kg: float
) -> None:
    given = hen(air_c, CAGED_HEN_KG)
    assert given.sensible_w / CAGED_HEN_KG > measured_most_w_kg  # wrong, on the warm side
    assert given.sensible_w < hen(30.0, CAGED_HEN_KG).sensible_w
    assert given.extrapolated
    assert not hen(30.0, CAGED_HEN_KG).extrapolated


@pytest.mark.parametrize(
    ("air_c", "least_w_kg", "most_w_kg"),
    [
        pytest.param(32.0, 4.9, 5.2, id=f"32 °C, {GREEN_XIN}"),
        pytest.param(35.0, 5.9, 6.5, id=f"35 °C, {GREEN_XIN}"),
    ],
)
def test_latent_heat_above_30_c_rises_but_is_known_to_run_low(
    air_c: float, least_w_kg: float, most_w_kg: float
) -> None:
    # Beyond the equations: two thirds of what was measured, at most a quarter above it.
    per_kg = latent_w(hen(air_c, CAGED_HEN_KG)) / CAGED_HEN_KG
    assert per_kg > latent_w(hen(30.0, CAGED_HEN_KG)) / CAGED_HEN_KG
    assert least_w_kg * 0.60 <= per_kg <= most_w_kg * 1.25
