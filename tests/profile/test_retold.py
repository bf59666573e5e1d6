import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.profile.package_data import catalogue
from scheduler.profile.units import Units
from scheduler.profile.units_in_text import in_units

pint_units = pint.UnitRegistry()


@pytest.mark.parametrize(
    ("text", "us", "uk"),
    [
        ("above 33 °C and -7 °C", "above 91 °F and 19 °F", "above 33 °C and -7 °C"),
        ("−40 °C", "-40 °F", "−40 °C"),
        ("10 °C hotter, 2 °C above the shade", "18 °F hotter, 4 °F above the shade", None),
        ("at 34 to 35 °C (93 to 95 °F) for", "at 93 to 95 °F for", "at 34 to 35 °C for"),
        ("0.5 sq ft (465 cm²) each", "0.5 sq ft each", "0.5 sq ft each"),
        ("a mesh of 12 mm", "a mesh of 0.5 in", "a mesh of 0.5 in"),
        ("12 birds, 3.9 m²", "12 birds, 42 sq ft", "12 birds, 42 sq ft"),
        ("227 L loose", "8 cu ft loose", "227 L loose"),
        ("3 L a day, 8 L", "3.2 qt a day, 2.1 gal", "3 L a day, 8 L"),
        ("2 Ladders, 5 more", "2 Ladders, 5 more", "2 Ladders, 5 more"),
    ],
)
def test_texts_by_hand(text: str, us: str, uk: str | None) -> None:
    assert in_units(text, "us") == us
    assert in_units(text, "uk") == (uk or text)


@pytest.mark.parametrize(
    ("metric", "customary", "pint_unit", "pint_customary"),
    [
        ("m³/h", "cfm", "m**3/h", "ft**3/min"),
        ("g/m²", "oz/sq ft", "g/m**2", "oz/ft**2"),
        ("kg", "lb", "kg", "lb"),
        ("m²", "sq ft", "m**2", "ft**2"),
        ("cm²", "sq in", "cm**2", "in**2"),
        ("cm", "in", "cm", "in"),
    ],
)
@given(st.integers(1, 5000))
def test_numbers_against_pint(
    metric: str, customary: str, pint_unit: str, pint_customary: str, number: int
) -> None:
    told = in_units(f"{number} {metric}", "us")
    found = re.fullmatch(rf"([\d.e+]+) {re.escape(customary)}", told)
    assert found
    expected = pint_units.Quantity(number, pint_unit).to(pint_customary).magnitude
    # Shown to a tenth, or whole from twenty on.
    assert float(found[1]) == pytest.approx(expected, abs=0.051 if expected < 20 else 0.51)


@pytest.mark.parametrize("units", ["metric", "us", "uk"])
def test_a_keeper_reads_one_unit_at_a_time(units: Units) -> None:
    for care_id, care in catalogue()["care"].items():
        for text in (care["title"], care["why"]):
            told = in_units(text, units)
            assert in_units(told, units) == told
            if units == "us":
                assert not re.search(r"\d (°C|mm|cm|m²|cm²|kg)", told), care_id
            else:
                assert "°F" not in told, care_id
