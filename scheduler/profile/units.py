"""Quantities as people write them, read by a small table of exact factors.

pint knows more, but importing it costs 0.45 s of every start; a test holds this table against it.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from math import sqrt
from typing import Literal

from scheduler.profile.problem import Unreadable, nearest
from scheduler.wording.profile.quantities import (
    AcceptedQuantities,
    MeasuresAnother,
    NotTheSameEverywhere,
    QuantityHints,
    WhichOfTwo,
    WrittenQuantities,
)
from scheduler.wording.words import every

Dimension = Literal["length", "area", "volume", "mass", "temperature", "duration", "angle"]
Region = Literal["US", "UK", "EU", "AU", "other"]
Units = Literal["metric", "us", "uk"]
# Exact by definition: inch 25.4 mm and pound 0.45359237 kg (international yard and pound, 1959),
# US gallon 231 cubic inches, imperial gallon 4.54609 L (UK Weights and Measures Act 1985).
INCH_M = Fraction(254, 10_000)
FOOT_M = 12 * INCH_M
_YARD_M = 3 * FOOT_M
POUND_KG = Fraction(45_359_237, 100_000_000)
US_GALLON_L = 231 * (INCH_M * 10) ** 3
_IMPERIAL_GALLON_L = Fraction(454_609, 100_000)
_TABLE: dict[Dimension, dict[Fraction, tuple[str, ...]]] = {
    "length": {
        Fraction(1): ("m", "metre", "metres", "meter", "meters"),
        Fraction(1, 100): ("cm", "centimetre", "centimetres", "centimeter", "centimeters"),
        Fraction(1, 1000): ("mm", "millimetre", "millimetres", "millimeter", "millimeters"),
        INCH_M: ("in", "inch", "inches", '"'),
        FOOT_M: ("ft", "foot", "feet", "'"),
        _YARD_M: ("yd", "yard", "yards"),
    },
    "area": {
        Fraction(1): (
            "m2",
            "sqm",
            "sq_m",
            "square_metre",
            "square_metres",
            "square_meter",
            "square_meters",
        ),
        Fraction(1, 10_000): ("cm2", "sq_cm", "square_centimetres", "square_centimeters"),
        INCH_M**2: ("in2", "sq_in", "sqin", "square_inch", "square_inches"),
        FOOT_M**2: ("ft2", "sq_ft", "sqft", "square_foot", "square_feet"),
        _YARD_M**2: ("yd2", "sq_yd", "square_yard", "square_yards"),
    },
    "volume": {
        Fraction(1): ("l", "litre", "litres", "liter", "liters"),
        Fraction(1, 1000): ("ml", "millilitre", "millilitres", "milliliter", "milliliters"),
        US_GALLON_L: ("us_gal", "us_gallon", "us_gallons"),
        US_GALLON_L / 4: ("us_qt", "us_quart", "us_quarts"),
        US_GALLON_L / 8: ("us_pt", "us_pint", "us_pints"),
        _IMPERIAL_GALLON_L: (
            "imp_gal",
            "imperial_gal",
            "imperial_gallon",
            "imperial_gallons",
            "uk_gal",
        ),
        _IMPERIAL_GALLON_L / 4: ("imp_qt", "imperial_quart", "imperial_quarts"),
        _IMPERIAL_GALLON_L / 8: ("imp_pt", "imperial_pint", "imperial_pints", "uk_pint"),
    },
    "mass": {
        Fraction(1): ("kg", "kilogram", "kilograms", "kilo", "kilos"),
        Fraction(1, 1000): ("g", "gram", "grams"),
        POUND_KG: ("lb", "lbs", "pound", "pounds"),
        POUND_KG / 16: ("oz", "ounce", "ounces"),
    },
    "duration": {
        Fraction(1): ("min", "minute", "minutes"),
        Fraction(60): ("h", "hr", "hour", "hours"),
        Fraction(1440): ("d", "day", "days"),
        Fraction(10_080): ("wk", "week", "weeks"),
    },
    "angle": {Fraction(1): ("°", "deg", "degree", "degrees")},
    "temperature": {
        Fraction(1): ("c", "°c", "celsius", "degrees_c"),
        Fraction(5, 9): ("f", "°f", "fahrenheit"),
    },
}
_WHOLE_WORDS = {"gal": "gallon", "qt": "quart", "pt": "pint"}
_REGIONAL = {name: unit for unit, word in _WHOLE_WORDS.items() for name in (unit, word, f"{word}s")}
_UNITS: dict[str, tuple[Dimension, Fraction]] = {
    name.replace("_", " "): (dimension, factor)
    for dimension, factors in _TABLE.items()
    for factor, names in factors.items()
    for name in names
}
_ACCEPTED, _NOT_THE_SAME = every(AcceptedQuantities), every(NotTheSameEverywhere)
_MEASURES_ANOTHER = every(MeasuresAnother)
_NUMBER = r"[-+]?(?:\d+/\d+|\d*\.?\d+(?:[ ]\d+/\d+)?)"
_TERM = re.compile(rf"\s*({_NUMBER})\s*([^\d\s.][^\d]*(?:(?<=[a-z^])2(?![\d./]))?)?")
_SIDES = re.compile(r"(?<=[\d\s'\"a-z])(?:x|×|by)(?=[\s\d.])|×")
_LONGEST = 60
# As people and their keyboards write them.
_SPELLINGS = str.maketrans({
    "−": "-", "–": "-", "’": "'", "′": "'", "”": '"', "“": '"', "″": '"', "²": "2", "º": "°",
    "½": " 1/2", "¼": " 1/4", "¾": " 3/4",
})  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Extent:
    """An area, with its two sides in metres when they were given."""

    area_m2: float
    sides_m: tuple[float, float] | None = None

    @property
    def perimeter_m(self) -> float:
        """The way around it; around a square where the sides were not given."""
        return 2 * sum(self.sides_m or (sqrt(self.area_m2),) * 2)


def accepted_text(dimension: Dimension) -> str:
    """The words of a problem's "accepted" part for a quantity of this dimension."""
    return _ACCEPTED[dimension]()


def read_quantity(text: str, dimension: Dimension, region: Region) -> float:
    """The quantity in m, m², L, kg, °C, minutes or degrees; feet and inches may be combined.

    Raises:
        Unreadable: the text is not a number with a unit of that dimension.
    """
    return float(_total(_tidied(text, dimension), dimension, region))


def read_extent(text: str, region: Region) -> Extent:
    """An area, or two sides ("4 ft x 8 ft", "4 x 8 ft") with the area they span.

    Raises:
        Unreadable: neither an area nor two lengths above zero.
    """
    sides = [side.strip() for side in _SIDES.split(_tidied(text, "area"))]
    if len(sides) == 1:
        return Extent(area_m2=read_quantity(text, "area", region))
    if len(sides) != 2:  # noqa: PLR2004 - an area has two sides
        raise Unreadable(accepted_text("area"))
    only_term = _TERM.fullmatch(sides[1])
    if re.fullmatch(_NUMBER, sides[0]):
        if not only_term:  # "4 x 8 ft 6 in": four feet, or four inches?
            raise Unreadable(accepted_text("area"), QuantityHints.both_sides())
        sides[0] += f" {only_term[2] or ''}"
    try:
        width_m, length_m = (read_quantity(side, "length", region) for side in sides)
    except Unreadable as unreadable:
        raise Unreadable(accepted_text("area"), unreadable.hint) from None
    if min(width_m, length_m) <= 0:
        raise Unreadable(accepted_text("area"))
    return Extent(area_m2=width_m * length_m, sides_m=(width_m, length_m))


def _tidied(text: str, dimension: Dimension) -> str:
    """The text in plain characters, or a refusal of what is no quantity at first sight."""
    tidied = " ".join(text.translate(_SPELLINGS).lower().split()) if len(text) <= _LONGEST else ""
    tidied = re.sub(r"^([-+]) (?=[\d.])", r"\1", tidied)
    if re.search(r"\d,\d", tidied):
        raise Unreadable(accepted_text(dimension), QuantityHints.point())
    if not tidied:
        raise Unreadable(accepted_text(dimension))
    return tidied


def _total(text: str, dimension: Dimension, region: Region) -> Fraction:
    total, position = Fraction(0), 0
    while position < len(text):
        term = _TERM.match(text, position)
        combines = dimension in {"length", "mass", "duration"} and term and term[2]
        if not term or (position and not combines):
            raise Unreadable(accepted_text(dimension))
        total += _in_base_units(_number(term[1]), term[2] or "", dimension, region)
        position = term.end()
    return total


def _number(text: str) -> Fraction:
    try:
        parts = [Fraction(part) for part in text.lstrip("-+").split()]
    except ZeroDivisionError:
        raise Unreadable(WrittenQuantities.number()) from None
    return -sum(parts, Fraction(0)) if text.startswith("-") else sum(parts, Fraction(0))


def _in_base_units(number: Fraction, unit: str, dimension: Dimension, region: Region) -> Fraction:
    name = _canonical(unit)
    if name in _REGIONAL:
        name = _regional(name, number, region)
    if not name and dimension == "angle":
        return number
    known = _UNITS.get(name)
    if not known:
        raise Unreadable(accepted_text(dimension), _unknown_unit(unit, dimension))
    measured, factor = known
    if measured != dimension:
        raise Unreadable(accepted_text(dimension), _MEASURES_ANOTHER[measured](unit=unit.strip()))
    if dimension == "temperature" and factor != 1:
        return (number - 32) * factor
    return number * factor


def _canonical(unit: str) -> str:
    text = unit.strip().replace("^2", "2").replace(".", " ").replace("u s ", "us ")
    text = " ".join(text.split())
    return re.sub(r"^° (?=[cf]$)", "°", text)


def _regional(name: str, number: Fraction, region: Region) -> str:
    base = _REGIONAL[name]
    if region == "US":
        return _named("us", base)
    us, imperial = (
        f"{float(number * _UNITS[_named(kind, base)][1]):.2f}" for kind in ("us", "imp")
    )
    size = f"{float(number):g}"
    accepted = WhichOfTwo.accepted(size=size, unit=base, us=us, imperial=imperial)
    raise Unreadable(accepted, _NOT_THE_SAME[base]())


def _named(kind: str, unit: str) -> str:
    return f"{kind} {unit}"


def _unknown_unit(unit: str, dimension: Dimension) -> str:
    if not unit.strip():
        return QuantityHints.unit_missing()
    spellings = [name for name, (measured, _) in _UNITS.items() if measured == dimension]
    return nearest(_canonical(unit), spellings)
