"""The unit that stands beside an input, and that a number typed without one has."""

import re
from typing import Literal

from scheduler.profile.every_key import ProfileKey
from scheduler.profile.units import Dimension, Region, Units

ShownUnit = Literal[
    "", "m", "cm", "mm", "ft", "in", "m²", "cm²", "sq ft", "sq in", "L", "gal", "US gal", "kg",
    "lb", "°C", "°F", "days", "min",
]  # fmt: skip
_IN_METRES = frozenset({
    ("site", "elevation"), ("move", "elevation"), ("coop", "height"), ("coop", "perches", "length"),
})  # fmt: skip
_IN_MILLIMETRES = frozenset({("coop", "run", "mesh")})
_SMALL_AREAS = frozenset({("coop", "nests", "size"), ("coop", "vent", "size")})
_DAYS = frozenset({("care", "every"), ("cares", "every")})
_SIDES = re.compile(r"x|×|by", re.IGNORECASE)
_BARE = re.compile(r"[-+−–]?[\d.,/ ½¼¾]*[\d½¼¾.]")


def shown_unit(key: ProfileKey, units: Units, region: Region) -> ShownUnit:
    """As a profile writes it: "cm", "sq ft", "US gal"; "" where a number stands by itself."""
    if key.dimension in {"length", "area"}:
        return _of_size(key, in_feet=units != "metric")
    in_us = units == "us"
    us_gallon: ShownUnit = "gal" if region == "US" else "US gal"
    shown: dict[Dimension | None, ShownUnit] = {
        "volume": us_gallon if in_us else "L",
        "mass": "lb" if in_us else "kg",
        "temperature": "°F" if in_us else "°C",
        "duration": "days" if key.key in _DAYS else "min",
    }
    return shown.get(key.dimension, "")


def _of_size(key: ProfileKey, *, in_feet: bool) -> ShownUnit:
    if key.key in _SMALL_AREAS:
        return "sq in" if in_feet else "cm²"
    if key.dimension == "area":
        return "sq ft" if in_feet else "m²"
    if key.key in _IN_METRES:
        return "ft" if in_feet else "m"
    if in_feet:
        return "in"
    return "mm" if key.key in _IN_MILLIMETRES else "cm"


def with_unit(typed: str, unit: str) -> str:
    """What was typed with that unit where it has none; of two sides each has that of the length."""
    sides = [side.strip() for side in _SIDES.split(typed)]
    if not unit or not all(map(_BARE.fullmatch, sides)):
        return typed
    length = unit.removeprefix("sq ").removesuffix("²")
    return f"{typed} {unit}" if len(sides) == 1 else " x ".join(f"{one} {length}" for one in sides)
