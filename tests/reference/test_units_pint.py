"""Every unit of the table held against pint."""

import math
from typing import Any

import pytest
from pint import UnitRegistry

from scheduler.profile.units import _UNITS as TABLE
from scheduler.profile.units import Dimension, read_quantity

BASE: dict[Dimension, str] = {
    "length": "m",
    "area": "m**2",
    "volume": "L",
    "mass": "kg",
    "temperature": "degC",
    "duration": "min",
    "angle": "deg",
}
# pint's names, with every spelling of ours that stands for them.
SPELLINGS: dict[str, str] = {
    "m": "m metre metres meter meters",
    "cm": "cm centimetre centimetres centimeter centimeters",
    "mm": "mm millimetre millimetres millimeter millimeters",
    "inch": 'in inch inches "',
    "foot": "ft foot feet '",
    "yard": "yd yard yards",
    "m**2": "m2 sqm sq_m square_metre square_metres square_meter square_meters",
    "cm**2": "cm2 sq_cm square_centimetres square_centimeters",
    "inch**2": "in2 sq_in sqin square_inch square_inches",
    "foot**2": "ft2 sq_ft sqft square_foot square_feet",
    "yard**2": "yd2 sq_yd square_yard square_yards",
    "liter": "l litre litres liter liters",
    "milliliter": "ml millilitre millilitres milliliter milliliters",
    "gallon": "us_gal us_gallon us_gallons",
    "quart": "us_qt us_quart us_quarts",
    "pint": "us_pt us_pint us_pints",
    "imperial_gallon": "imp_gal imperial_gal imperial_gallon imperial_gallons uk_gal",
    "imperial_quart": "imp_qt imperial_quart imperial_quarts",
    "imperial_pint": "imp_pt imperial_pint imperial_pints uk_pint",
    "kilogram": "kg kilogram kilograms kilo kilos",
    "gram": "g gram grams",
    "pound": "lb lbs pound pounds",
    "ounce": "oz ounce ounces",
    "minute": "min minute minutes",
    "hour": "h hr hour hours",
    "day": "d day days",
    "week": "wk week weeks",
    "degree": "° deg degree degrees",
    "degC": "c °c celsius degrees_c",
    "degF": "f °f fahrenheit",
}
PINT_NAMES = {
    spelling.replace("_", " "): pint_name
    for pint_name, spellings in SPELLINGS.items()
    for spelling in spellings.split()
}


@pytest.fixture(scope="session")
def pint_units() -> Any:
    return UnitRegistry()


def test_every_unit_of_the_table_is_held_against_pint() -> None:
    assert set(PINT_NAMES) == set(TABLE)


@pytest.mark.parametrize("spelling", list(TABLE))
def test_a_unit_is_what_pint_says(pint_units: Any, spelling: str) -> None:
    dimension, _ = TABLE[spelling]
    # pint adds 459.67 before it scales, so near the freezing point its own last digits are noise.
    noise = 1e-12 if dimension == "temperature" else 0.0
    for amount in (1.0, 0.1, -40.0, 17.25, 5000.0):
        theirs = pint_units.Quantity(amount, PINT_NAMES[spelling]).to(BASE[dimension]).magnitude
        ours = read_quantity(f"{amount} {spelling}", dimension, "EU")
        assert math.isclose(ours, theirs, rel_tol=1e-12, abs_tol=noise)


@pytest.mark.parametrize(
    ("spelling", "pint_name"), [("gal", "gallon"), ("quarts", "quart"), ("pt", "pint")]
)
def test_bare_gallons_in_the_us_are_us_gallons(
    pint_units: Any, spelling: str, pint_name: str
) -> None:
    theirs = pint_units.Quantity(3.0, pint_name).to("L").magnitude
    assert math.isclose(
        read_quantity(f"3 {spelling}", "volume", "US"), theirs, rel_tol=1e-12, abs_tol=0.0
    )
