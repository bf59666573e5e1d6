"""A quantity is told in the keeper's units, and nothing else in a text ever is."""

import re

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.profile.measures import Measured
from scheduler.profile.phrase import joined, phrase, plain, say
from scheduler.profile.problem import Unreadable
from scheduler.profile.quantity import (
    NO_BREAK,
    Quantity,
    read_written,
    reckoned,
    write,
    write_plain,
    write_quantity,
)
from scheduler.profile.units import Units
from scheduler.wording.words import Language
from tests.wording.marked import speaking

pint_units = pint.UnitRegistry()
UNITS: tuple[Units, ...] = ("metric", "us", "uk")
ANY_NAME = st.one_of(
    st.sampled_from(["Pen 3 m {x} chicks", "°F 40 l", "{12 m}", "5 °C rise", "{flock}", "%s {0}"]),
    st.text(max_size=30),
)


@pytest.mark.parametrize(
    ("text", "metric", "us", "uk"),
    [
        ("33 °C", "33 °C", "91 °F", "33 °C"),
        ("-7 °C", "-7 °C", "19 °F", "-7 °C"),
        ("−40 °C", "−40 °C", "-40 °F", "−40 °C"),
        ("10 °C rise", "10 °C", "18 °F", "10 °C"),
        ("5 °C rise", "5 °C", "9 °F", "5 °C"),
        ("34 to 35 °C = 93 to 95 °F", "34 to 35 °C", "93 to 95 °F", "34 to 35 °C"),
        ("5–10 m", "5–10 m", "16–33 ft", "16–33 ft"),
        ("5 to 10 m", "5 to 10 m", "16 to 33 ft", "16 to 33 ft"),
        ("12 m", "12 m", "39 ft", "39 ft"),
        ("12 m = 40 ft", "12 m", "40 ft", "40 ft"),
        ("12 mm = 1/2 in", "12 mm", "1/2 in", "1/2 in"),
        ("0.5 sq ft = 465 cm²", "465 cm²", "0.5 sq ft", "0.5 sq ft"),
        ("6 in", "15 cm", "6 in", "6 in"),
        ("0.75 L", "0.75 L", "0.79 qt", "0.75 L"),
        ("750 mL", "750 mL", "0.79 qt", "750 mL"),
        ("8 L", "8 L", "2.1 gal", "8 L"),
        ("227 L loose", "227 L loose", "8 cu ft loose", "227 L loose"),
        ("20 kg", "20 kg", "44 lb", "20 kg"),
        ("4 kV", "4 kV", "4 kV", "4 kV"),
        ("30 %", "30 %", "30 %", "30 %"),
    ],
)
def test_what_a_text_says_stands_or_is_converted(text: str, metric: str, us: str, uk: str) -> None:
    told = [write(read_written(text), units).replace(NO_BREAK, " ") for units in UNITS]
    assert told == [metric, us, uk]


@pytest.mark.parametrize(
    "text",
    [
        "",
        "12",
        "12 furlongs",
        "m 12",
        "1/0 in",
        "5 to 3 m",
        "5 to 5 m",
        "12 m = ",
        "12 m = 12 ft",  # not the same length
        "12 m = 1200 cm",  # whoever reads one of them reads the other
        "12 m = 40 lb",
        "5 °C = 9 °F",  # a difference that does not say so
        "20 °C = 70 °F",
    ],
)
def test_what_is_no_quantity_is_refused(text: str) -> None:
    with pytest.raises(Unreadable):
        read_written(text)


@pytest.mark.parametrize("units", UNITS)
def test_no_line_breaks_between_a_number_and_its_unit(units: Units) -> None:
    for quantity in (read_written("12 m"), reckoned(123.4, "m³/h"), reckoned(3.2, "L")):
        told = write(quantity, units)
        assert re.search(rf"\d{NO_BREAK}\D+$", told), told
    measured: tuple[Measured, ...] = ("length", "area", "volume", "mass", "temperature rise")
    for dimension in measured:
        assert not re.search(r"\d ", write_quantity(1.63, dimension, units))


@pytest.mark.parametrize(
    ("metric", "customary", "pint_unit", "pint_customary"),
    [
        ("m³/h", "cfm", "m**3/h", "ft**3/min"),
        ("g/m²", "oz/sq ft", "g/m**2", "oz/ft**2"),
        ("kg", "lb", "kg", "lb"),
        ("g", "oz", "g", "oz"),
        ("m²", "sq ft", "m**2", "ft**2"),
        ("cm²", "sq in", "cm**2", "in**2"),
        ("m", "ft", "m", "ft"),
        ("cm", "in", "cm", "in"),
        ("L loose", "cu ft loose", "L", "ft**3"),
        ("°C rise", "°F", "delta_degC", "delta_degF"),
    ],
)
@given(st.integers(1, 5000))
def test_two_figures_of_what_is_converted_are_those_of_pint(
    metric: str, customary: str, pint_unit: str, pint_customary: str, number: int
) -> None:
    told = write(reckoned(number, metric), "us")
    found = re.fullmatch(rf"([\d.e+-]+){NO_BREAK}{re.escape(customary)}", told)
    assert found, told
    expected = pint_units.Quantity(number, pint_unit).to(pint_customary).magnitude
    assert float(found[1]) == pytest.approx(expected, rel=0.0501)


@given(st.floats(-60, 60), st.floats(0, 40))
def test_a_rise_is_no_temperature(temperature_c: float, rise_c: float) -> None:
    def number(text: str) -> float:
        return float(text.partition(NO_BREAK)[0])

    warm = number(write(reckoned(temperature_c, "°C"), "us"))
    assert warm == pytest.approx(temperature_c * 1.8 + 32, abs=0.51)
    rise = number(write(reckoned(rise_c, "°C rise"), "us"))
    assert rise == pytest.approx(rise_c * 1.8, rel=0.0501)


@pytest.mark.parametrize("units", UNITS)
@given(ANY_NAME, ANY_NAME)
def test_a_name_beside_a_quantity_is_never_changed(units: Units, name: str, also: str) -> None:
    said = phrase(name, read_written("12 m"), also)
    twelve = write(read_written("12 m"), units)
    assert say(said, units) == f"{name}{twelve}{also}"
    assert plain(said) == f"{name}12 m{also}"
    assert say(name, units) == name == plain(name)
    both = [each for each in (name, also) if each]
    assert say(joined("; ", (name, "", also)), units) == "; ".join(both)


def test_a_language_writes_a_quantity_in_its_own_way() -> None:
    deep, warm = read_written("5 to 10 m"), read_written("34 to 35 °C = 93 to 95 °F")
    assert (write(deep, "metric"), write(warm, "us")) == (
        f"5 to 10{NO_BREAK}m",
        f"93 to 95{NO_BREAK}°F",
    )
    patterns = {"SeveralNumbers.to": "{least} bis {most}", "UnitSigns.feet": "{number} Fuß"}
    with speaking(Language("de", patterns)):
        assert write(deep, "metric") == f"5 bis 10{NO_BREAK}m"
        assert write(deep, "us") == "16 bis 33 Fuß"
        assert write(warm, "us") == f"93 bis 95{NO_BREAK}°F"
        assert write_quantity(1.6764, "length", "uk") == f"5 Fuß{NO_BREAK}6{NO_BREAK}in"


def test_programs_read_each_quantity_exactly_and_with_plain_spaces() -> None:
    assert write_plain(reckoned(1.31527, "kg")) == "1.3153 kg"
    assert write_plain(reckoned(12.04, "°C", 1)) == "12.0 °C"
    assert write_plain(read_written("5 °C rise")) == "5 °C"
    assert write_plain(Quantity((20.0,), "kg", written="20")) == "20 kg"
