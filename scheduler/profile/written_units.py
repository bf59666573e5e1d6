"""Quantities as a keeper reads them: in their own units, rounded, or rounded to the safe side."""

from collections.abc import Callable
from math import ceil, floor

from scheduler.profile.units import FOOT_M, INCH_M, POUND_KG, US_GALLON_L, Dimension, Units

Rounding = Callable[[float, int], float]
_Format = Callable[[float, Rounding], str]
_HAIR = 1e-6  # what a float may be beside the number that is meant


def round_up(value: float, digits: int) -> float:
    """To so many digits, and never less than it is."""
    return ceil(value * 10.0**digits - _HAIR) / 10.0**digits


def round_down(value: float, digits: int) -> float:
    """To so many digits, and never more than it is."""
    return floor(value * 10.0**digits + _HAIR) / 10.0**digits


def _feet(length_m: float, to: Rounding) -> str:
    inches = to(length_m / float(INCH_M), 1)
    feet, rest = divmod(inches, 12)
    if not feet or inches < 36:  # noqa: PLR2004 - short lengths are read in inches
        return f"{inches:g} in"
    return f"{feet:g} ft" if not rest else f"{feet:g} ft {rest:g} in"


def _metres(length_m: float, to: Rounding) -> str:
    if length_m < 0.1:  # noqa: PLR2004 - mesh and timber are read in millimetres
        return f"{to(length_m * 1000, 0):.0f} mm"
    # 22.5 cm is read as such: to the whole centimetre it would be short of itself.
    return f"{to(length_m * 100, 1):g} cm" if length_m < 1 else f"{to(length_m, 2):.2f} m"


def _litres(volume_l: float, to: Rounding) -> str:
    return f"{to(volume_l * 1000, 0):.0f} mL" if volume_l < 1 else f"{to(volume_l, 1):.1f} L"


def _us_gallons(volume_l: float, to: Rounding) -> str:
    quarts = volume_l / float(US_GALLON_L) * 4
    if quarts < 4:  # noqa: PLR2004 - 4 qt
        return f"{to(quarts, 1):.1f} qt"
    return f"{to(quarts / 4, 1):.1f} gal"


def _square_feet(area_m2: float, to: Rounding) -> str:
    return f"{to(area_m2 / float(FOOT_M**2), 1):.1f} sq ft"


def _degrees(value: float, unit: str, to: Rounding) -> str:
    """A limit to a tenth, where the whole degree would be another; else to the whole degree."""
    return f"{to(value, 0 if to is round else 1):g} °{unit}".replace("-0 ", "0 ")


def _kilograms(mass_kg: float, to: Rounding) -> str:
    return f"{to(mass_kg * 1000, 0):.0f} g" if mass_kg < 1 else f"{to(mass_kg, 1):.1f} kg"


_METRIC: dict[Dimension, _Format] = {
    "length": _metres,
    "area": lambda v, to: f"{to(v, 2):.2f} m²",
    "volume": _litres,
    "mass": _kilograms,
    "temperature": lambda v, to: _degrees(v, "C", to),
}
_FORMATS: dict[Units, dict[Dimension, _Format]] = {
    "metric": _METRIC,
    "us": {
        "length": _feet,
        "area": _square_feet,
        "volume": _us_gallons,
        "mass": lambda v, to: f"{to(v / float(POUND_KG), 1):.1f} lb",
        "temperature": lambda v, to: _degrees(v * 9 / 5 + 32, "F", to),
    },
    "uk": {**_METRIC, "length": _feet, "area": _square_feet},
}


def write_quantity(value: float, dimension: Dimension, units: Units, to: Rounding = round) -> str:
    """The quantity in the keeper's units: US customary, metric, or UK (feet, litres, °C).

    What it is at least to be is rounded up (`to`), what it is at most to be is rounded down.
    """
    return _FORMATS[units][dimension](value, to)
