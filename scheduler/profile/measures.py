"""The units that quantities are told in: what each measures, and who is told in which."""

from collections.abc import Mapping
from math import inf
from typing import Literal, NamedTuple

from scheduler.profile.units import FOOT_M, INCH_M, POUND_KG, US_GALLON_L, Dimension, Units
from scheduler.wording.profile.quantities import UnitSigns
from scheduler.wording.words import Words

Measured = Dimension | Literal["temperature rise", "loose volume", "speed"]
_Rest = Literal["mass an area", "flow", "voltage", "power", "light", "time", "share"]
Unit = Literal[
    "°C", "°F", "°C rise", "°F rise", "m", "cm", "mm", "ft", "in", "m²", "cm²", "sq ft", "sq in",
    "L", "mL", "qt", "gal", "L loose", "cu ft loose", "kg", "g", "lb", "oz", "g/m²", "oz/sq ft",
    "m³/h", "cfm", "km/h", "mph", "kV", "W", "lux", "h", "%",
]  # fmt: skip
_FOOT_M, _INCH_M, _POUND_KG = float(FOOT_M), float(INCH_M), float(POUND_KG)
_OUNCE_G = _POUND_KG * 1000 / 16
_QUART_L = float(US_GALLON_L) / 4


class Known(NamedTuple):
    """What a unit measures, its sign, and how much of the first unit of that one of it is."""

    measures: Measured | _Rest
    sign: Words
    size: float = 1.0
    of: float = 1.0  # a share, because 5/9 °C and 1/100 m have no exact number


KNOWN: Mapping[str, Known] = {
    "°C": Known("temperature", UnitSigns.celsius),
    "°F": Known("temperature", UnitSigns.fahrenheit, 5, 9),
    "°C rise": Known("temperature rise", UnitSigns.celsius),
    "°F rise": Known("temperature rise", UnitSigns.fahrenheit, 5, 9),
    "m": Known("length", UnitSigns.metres),
    "cm": Known("length", UnitSigns.centimetres, 1, 100),
    "mm": Known("length", UnitSigns.millimetres, 1, 1000),
    "ft": Known("length", UnitSigns.feet, _FOOT_M),
    "in": Known("length", UnitSigns.inches, _INCH_M),
    "m²": Known("area", UnitSigns.square_metres),
    "cm²": Known("area", UnitSigns.square_centimetres, 1, 10_000),
    "sq ft": Known("area", UnitSigns.square_feet, _FOOT_M**2),
    "sq in": Known("area", UnitSigns.square_inches, _INCH_M**2),
    "L": Known("volume", UnitSigns.litres),
    "mL": Known("volume", UnitSigns.millilitres, 1, 1000),
    "qt": Known("volume", UnitSigns.quarts, _QUART_L),
    "gal": Known("volume", UnitSigns.gallons, 4 * _QUART_L),
    "L loose": Known("loose volume", UnitSigns.litres_loose),
    "cu ft loose": Known("loose volume", UnitSigns.cubic_feet_loose, 1000 * _FOOT_M**3),
    "kg": Known("mass", UnitSigns.kilograms),
    "g": Known("mass", UnitSigns.grams, 1, 1000),
    "lb": Known("mass", UnitSigns.pounds, _POUND_KG),
    "oz": Known("mass", UnitSigns.ounces, _OUNCE_G / 1000),
    "g/m²": Known("mass an area", UnitSigns.grams_an_area),
    "oz/sq ft": Known("mass an area", UnitSigns.ounces_an_area, _OUNCE_G / _FOOT_M**2),
    "m³/h": Known("flow", UnitSigns.cubic_metres_an_hour),
    "cfm": Known("flow", UnitSigns.cubic_feet_a_minute, 60 * _FOOT_M**3),
    "km/h": Known("speed", UnitSigns.kilometres_an_hour),
    "mph": Known("speed", UnitSigns.miles_an_hour, float(1760 * 3 * FOOT_M), 1000),
    # The same for everybody.
    "kV": Known("voltage", UnitSigns.kilovolts),
    "W": Known("power", UnitSigns.watts),
    "lux": Known("light", UnitSigns.lux),
    "h": Known("time", UnitSigns.hours),
    "%": Known("share", UnitSigns.percent),
}
_LENGTHS_IN_FEET: Mapping[str, Unit] = {
    "m": "ft", "cm": "in", "mm": "in", "m²": "sq ft", "cm²": "sq in",
}  # fmt: skip
# For each keeper, what is told in another unit, and in which.
TOLD_AS: Mapping[Units, Mapping[str, Unit]] = {
    "metric": {
        "°F": "°C", "°F rise": "°C rise", "ft": "m", "in": "cm", "sq ft": "m²", "sq in": "cm²",
        "qt": "L", "gal": "L", "cu ft loose": "L loose", "lb": "kg", "oz": "g", "mph": "km/h",
    },
    "us": {
        **_LENGTHS_IN_FEET, "°C": "°F", "°C rise": "°F rise", "L": "gal", "mL": "qt", "kg": "lb",
        "g": "oz", "L loose": "cu ft loose", "g/m²": "oz/sq ft", "m³/h": "cfm",
        "km/h": "mph",
    },
    "uk": {
        **_LENGTHS_IN_FEET, "°F": "°C", "°F rise": "°C rise", "qt": "L", "gal": "L",
        "cu ft loose": "L loose", "lb": "kg", "oz": "g", "km/h": "mph",
    },
}  # fmt: skip


class Step(NamedTuple):
    """A unit of a sum of ours, from how much of the metric one on, and with how many digits.

    The `short` ones leave out zeros at the end; a limit may have more digits than a sum.
    """

    unit: Unit
    digits: int
    least: float = -inf
    short: bool = False
    of_limit: int | None = None


_METRIC: Mapping[Measured, tuple[Step, ...]] = {
    # Mesh and timber are read in millimetres, and 22.5 cm as such: in whole centimetres it would
    # be short of itself.
    "length": (Step("m", 2, least=1), Step("cm", 1, least=0.1, short=True), Step("mm", 0)),
    "area": (Step("m²", 2),),
    "volume": (Step("L", 1, least=1), Step("mL", 0)),
    "loose volume": (Step("L loose", 1, least=1, short=True), Step("L loose", 2, short=True)),
    "mass": (Step("kg", 1, least=1), Step("g", 0)),
    # To a tenth where the whole degree would be another limit.
    "temperature": (Step("°C", 0, short=True, of_limit=1),),
    "temperature rise": (Step("°C rise", 0, short=True, of_limit=1),),
    "speed": (Step("km/h", 0, short=True),),
}
_IN_FEET: Mapping[Measured, tuple[Step, ...]] = {
    "length": (Step("in", 1, short=True),),
    "area": (Step("sq ft", 1),),
    "speed": (Step("mph", 0, short=True),),
}
STEPS: Mapping[Units, Mapping[Measured, tuple[Step, ...]]] = {
    "metric": _METRIC,
    "us": {
        **_IN_FEET,
        "volume": (Step("gal", 1, least=4 * _QUART_L), Step("qt", 1)),
        "loose volume": (Step("cu ft loose", 1, short=True),),
        "mass": (Step("lb", 1),),
        "temperature": (Step("°F", 0, short=True, of_limit=1),),
        "temperature rise": (Step("°F rise", 0, short=True, of_limit=1),),
    },
    "uk": {**_METRIC, **_IN_FEET},
}


def converted(value: float, unit: str, other: str) -> float:
    """The number in another unit of the same."""
    one, two = KNOWN[unit], KNOWN[other]
    first = (value - 32 if unit == "°F" else value) * one.size / one.of
    return first * two.of / two.size + (32 if other == "°F" else 0)
