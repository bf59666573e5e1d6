"""Quantities as values, and the one place where they are written: in a keeper's own units.

A sum of ours is written as exactly as it can be meant (`written`, with a `Rounding` where it is a
limit). What a text says is a `Quantity`, which keeps its number and unit until it is told.
"""

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import lru_cache
from math import ceil, floor
from typing import Literal

from scheduler.profile.problem import Unreadable
from scheduler.profile.units import FOOT_M, INCH_M, POUND_KG, US_GALLON_L, Dimension, Units

Measured = Dimension | Literal["temperature rise", "loose volume"]
Rounding = Callable[[float, int], float]
NO_BREAK = "\u00a0"
_Format = Callable[[float, Rounding], str]
_HAIR = 1e-6  # what a float may be beside the number that is meant
_FOOT_M, _INCH_M, _POUND_KG = float(FOOT_M), float(INCH_M), float(POUND_KG)
_OUNCE_G = _POUND_KG * 1000 / 16
_QUART_L = float(US_GALLON_L) / 4
# A unit to what it measures, and to what one of it is in the first unit of that.
_UNITS: Mapping[str, tuple[str, float]] = {
    "°C": ("temperature", 1.0), "°F": ("temperature", 5 / 9),
    "°C rise": ("temperature rise", 1.0), "°F rise": ("temperature rise", 5 / 9),
    "m": ("length", 1.0), "cm": ("length", 0.01), "mm": ("length", 0.001),
    "ft": ("length", _FOOT_M), "in": ("length", _INCH_M),
    "m²": ("area", 1.0), "cm²": ("area", 1e-4),
    "sq ft": ("area", _FOOT_M**2), "sq in": ("area", _INCH_M**2),
    "L": ("volume", 1.0), "qt": ("volume", _QUART_L), "gal": ("volume", 4 * _QUART_L),
    "L loose": ("loose volume", 1.0), "cu ft loose": ("loose volume", 1000 * _FOOT_M**3),
    "kg": ("mass", 1.0), "g": ("mass", 1e-3),
    "lb": ("mass", _POUND_KG), "oz": ("mass", _OUNCE_G / 1000),
    "g/m²": ("mass an area", 1.0), "oz/sq ft": ("mass an area", _OUNCE_G / _FOOT_M**2),
    "m³/h": ("flow", 1.0), "cfm": ("flow", 60 * _FOOT_M**3),
    # The same for everybody.
    "kV": ("voltage", 1.0), "W": ("power", 1.0), "lux": ("light", 1.0),
    "h": ("time", 1.0), "%": ("share", 1.0),
}  # fmt: skip
_LENGTHS_IN_FEET = {"m": "ft", "cm": "in", "mm": "in", "m²": "sq ft", "cm²": "sq in"}
# For each keeper, what is told in another unit, and in which.
_TOLD_AS: Mapping[Units, Mapping[str, str]] = {
    "metric": {
        "°F": "°C", "°F rise": "°C rise", "ft": "m", "in": "cm", "sq ft": "m²", "sq in": "cm²",
        "qt": "L", "gal": "L", "cu ft loose": "L loose", "lb": "kg", "oz": "g",
    },
    "us": {
        **_LENGTHS_IN_FEET, "°C": "°F", "°C rise": "°F rise", "L": "gal", "kg": "lb", "g": "oz",
        "L loose": "cu ft loose", "g/m²": "oz/sq ft", "m³/h": "cfm",
    },
    "uk": {
        **_LENGTHS_IN_FEET, "°F": "°C", "°F rise": "°C rise", "qt": "L", "gal": "L",
        "cu ft loose": "L loose", "lb": "kg", "oz": "g",
    },
}  # fmt: skip
_SAME_SHARE = 0.08  # half an inch of mesh is 12 mm
_SAME_C = 0.6
_NUMBER = r"[-−]?\d+(?:\.\d+|/\d+)?"
_WRITTEN = re.compile(rf"({_NUMBER})(?:( to |–)({_NUMBER}))? (\D+)")


def round_up(value: float, digits: int) -> float:
    """To so many digits, and never less than it is."""
    return ceil(value * 10.0**digits - _HAIR) / 10.0**digits


def round_down(value: float, digits: int) -> float:
    """To so many digits, and never more than it is."""
    return floor(value * 10.0**digits + _HAIR) / 10.0**digits


def _feet(length_m: float, to: Rounding) -> str:
    inches = to(length_m / _INCH_M, 1)
    feet, rest = divmod(inches, 12)
    if not feet or inches < 36:  # noqa: PLR2004 - short lengths are read in inches
        return f"{inches:g}{NO_BREAK}in"
    return f"{feet:g}{NO_BREAK}ft" + (f"{NO_BREAK}{rest:g}{NO_BREAK}in" if rest else "")


def _metres(length_m: float, to: Rounding) -> str:
    if length_m < 0.1:  # noqa: PLR2004 - mesh and timber are read in millimetres
        return f"{to(length_m * 1000, 0):.0f}{NO_BREAK}mm"
    # 22.5 cm is read as such: to the whole centimetre it would be short of itself.
    if length_m < 1:
        return f"{to(length_m * 100, 1):g}{NO_BREAK}cm"
    return f"{to(length_m, 2):.2f}{NO_BREAK}m"


def _litres(volume_l: float, to: Rounding) -> str:
    if volume_l < 1:
        return f"{to(volume_l * 1000, 0):.0f}{NO_BREAK}mL"
    return f"{to(volume_l, 1):.1f}{NO_BREAK}L"


def _us_gallons(volume_l: float, to: Rounding) -> str:
    quarts = volume_l / _QUART_L
    if quarts < 4:  # noqa: PLR2004 - 4 qt
        return f"{to(quarts, 1):.1f}{NO_BREAK}qt"
    return f"{to(quarts / 4, 1):.1f}{NO_BREAK}gal"


def _square_feet(area_m2: float, to: Rounding) -> str:
    return f"{to(area_m2 / _FOOT_M**2, 1):.1f}{NO_BREAK}sq ft"


def _degrees(value: float, unit: str, to: Rounding) -> str:
    """A limit to a tenth, where the whole degree would be another; else to the whole degree."""
    return f"{to(value, 0 if to is round else 1) + 0.0:g}{NO_BREAK}°{unit}"  # + 0.0: never "-0"


def _loose_litres(volume_l: float, to: Rounding) -> str:
    return f"{to(volume_l, 1 if volume_l >= 1 else 2):g}{NO_BREAK}L loose"


def _kilograms(mass_kg: float, to: Rounding) -> str:
    if mass_kg < 1:
        return f"{to(mass_kg * 1000, 0):.0f}{NO_BREAK}g"
    return f"{to(mass_kg, 1):.1f}{NO_BREAK}kg"


_METRIC: dict[Measured, _Format] = {
    "length": _metres,
    "area": lambda v, to: f"{to(v, 2):.2f}{NO_BREAK}m²",
    "volume": _litres,
    "loose volume": _loose_litres,
    "mass": _kilograms,
    "temperature": lambda v, to: _degrees(v, "C", to),
    "temperature rise": lambda v, to: _degrees(v, "C", to),
}
_FORMATS: dict[Units, dict[Measured, _Format]] = {
    "metric": _METRIC,
    "us": {
        "length": _feet,
        "area": _square_feet,
        "volume": _us_gallons,
        "loose volume": lambda v, to: f"{to(v / 1000 / _FOOT_M**3, 1):g}{NO_BREAK}cu ft loose",
        "mass": lambda v, to: f"{to(v / _POUND_KG, 1):.1f}{NO_BREAK}lb",
        "temperature": lambda v, to: _degrees(v * 9 / 5 + 32, "F", to),
        "temperature rise": lambda v, to: _degrees(v * 9 / 5, "F", to),
    },
    "uk": {**_METRIC, "length": _feet, "area": _square_feet},
}


def write_quantity(value: float, dimension: Measured, units: Units, to: Rounding = round) -> str:
    """The quantity in the keeper's units: US customary, metric, or UK (feet, litres, °C).

    What it is at least to be is rounded up (`to`), what it is at most to be is rounded down.
    """
    return _FORMATS[units][dimension](value, to)


@dataclass(frozen=True, slots=True)
class Quantity:
    """A number, or a range, in a unit: as a text says it, or as it was reckoned.

    What a text says stands there as it was `written`. What was reckoned has so many `digits` after
    the point; without them as many as it deserves. `other` is the same as keepers of other units
    say it, where that is not the bare number converted.
    """

    numbers: tuple[float, ...]
    unit: str
    digits: int | None = None
    written: str = ""
    other: "Quantity | None" = None


def reckoned(value: float, unit: str, digits: int | None = None) -> Quantity:
    """A sum of ours."""
    return Quantity((value,), unit, digits)


def read_written(text: str) -> Quantity:
    """What a text says: "12 m", "5–10 m", "5 °C rise", "34 to 35 °C = 93 to 95 °F".

    Raises:
        Unreadable: it has no unit that is known here, or the two sides are not the same.
    """
    said, equals, also = text.partition(" = ")
    quantity = _one(said)
    if not equals:
        return quantity
    other = _one(also)
    if not _are_the_same(quantity, other):
        raise Unreadable("the same on both sides of =, in units of other keepers")
    return replace(quantity, other=other)


def _one(text: str) -> Quantity:
    found = _WRITTEN.fullmatch(text)
    if not found or found[4] not in _UNITS:
        raise Unreadable(f"a number or a range, and one of: {', '.join(_UNITS)}")
    try:
        ends = tuple(float(Fraction(end.replace("−", "-"))) for end in found.group(1, 3) if end)
    except ZeroDivisionError:
        raise Unreadable("a number") from None
    if list(ends) != sorted(set(ends)):
        raise Unreadable("a range that begins with its lower end")
    return Quantity(ends, found[4], written=text.removesuffix(found[4]).strip())


def _are_the_same(one: Quantity, other: Quantity) -> bool:
    (measured, _), (also, _) = _UNITS[one.unit], _UNITS[other.unit]
    if measured != also or len(one.numbers) != len(other.numbers):
        return False
    if all((one.unit in told) == (other.unit in told) for told in _TOLD_AS.values()):
        return False  # nobody would ever read one of them
    pairs = zip(one.numbers, (_in(end, other.unit, one.unit) for end in other.numbers), strict=True)
    within_c = 0.0 if "°" not in one.unit else _SAME_C * (1.8 if "°F" in one.unit else 1.0)
    return all(abs(a - b) <= (within_c or _SAME_SHARE * abs(a)) for a, b in pairs)


def _in(value: float, unit: str, other: str) -> float:
    """The number in another unit of the same."""
    first = (value - 32 if unit == "°F" else value) * _UNITS[unit][1]
    return first / _UNITS[other][1] + (32 if other == "°F" else 0)


@lru_cache(maxsize=1024)  # a plan says the same few every day of a year
def write(quantity: Quantity, units: Units) -> str:
    """The quantity in the keeper's units, with a space that no line breaks at.

    What is converted has two significant figures, a temperature its whole degrees.
    """
    told_as, other = _TOLD_AS[units], quantity.other
    if quantity.unit not in told_as:
        gap = NO_BREAK if quantity.unit in _UNITS else " "  # a word may stand on the next line
        return f"{_own(quantity)}{gap}{_sign(quantity.unit)}".rstrip(" ")
    if other is not None and other.unit not in told_as:
        return f"{_own(other)}{NO_BREAK}{_sign(other.unit)}"
    unit = told_as[quantity.unit]
    ends = [_in(end, quantity.unit, unit) for end in quantity.numbers]
    if unit == "gal" and max(ends) < 1:
        unit, ends = "qt", [4 * end for end in ends]
    joined = "–" if "–" in quantity.written else " to "
    said = joined.join(dict.fromkeys(_converted(end, unit) for end in ends))
    return f"{said}{NO_BREAK}{_sign(unit)}"


def write_plain(quantity: Quantity) -> str:
    """The quantity in its own unit, exact to four digits after the point, as programs read it."""
    if quantity.written:
        return f"{quantity.written} {_sign(quantity.unit)}"
    digits = 4 if quantity.digits is None else quantity.digits
    return f"{quantity.numbers[0]:.{digits}f} {_sign(quantity.unit)}"


def _sign(unit: str) -> str:
    return unit.removesuffix(" rise")


def _own(quantity: Quantity) -> str:
    if quantity.written:
        return quantity.written
    (value,) = quantity.numbers
    digits = quantity.digits
    if digits is None:
        digits = 0 if value >= 20 or value == int(value) else 1  # noqa: PLR2004
    return f"{value:.{digits}f}"


def _converted(value: float, unit: str) -> str:
    if _UNITS[unit][0] == "temperature":
        return f"{round(value)}"
    return f"{float(f'{value:.1e}'):g}"
