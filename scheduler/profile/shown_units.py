"""The unit that stands beside an input, and that a number typed without one has."""

import re

from scheduler.profile.every_key import ProfileKey
from scheduler.profile.units import Dimension, Region, Units

_IN_METRES = frozenset({
    ("site", "elevation"), ("coop", "height"), ("coop", "perches", "length"),
})  # fmt: skip
_IN_MILLIMETRES = frozenset({("coop", "run", "mesh")})
_SMALL_AREAS = frozenset({("coop", "nests", "size"), ("coop", "vent", "size")})
_DAYS = frozenset({("care", "every"), ("cares", "every")})
_SIDES = re.compile(r"x|×|by", re.IGNORECASE)
_BARE = re.compile(r"[-+−–]?[\d.,/ ½¼¾]*[\d½¼¾.]")


def shown_unit(key: ProfileKey, units: Units, region: Region) -> str:
    """As a profile writes it: "cm", "sq ft", "US gal"; "" where a number stands by itself."""
    in_feet, in_us = units in {"us", "uk"}, units == "us"
    us_gallon = "gal" if region == "US" else "US gal"
    metres = "m" if key.key in _IN_METRES else "mm" if key.key in _IN_MILLIMETRES else "cm"
    feet = "ft" if key.key in _IN_METRES else "in"
    is_small = key.key in _SMALL_AREAS
    shown: dict[Dimension | None, str] = {
        "length": feet if in_feet else metres,
        "area": f"sq {'in' if is_small else 'ft'}" if in_feet else f"{'cm' if is_small else 'm'}²",
        "volume": us_gallon if in_us else "L",
        "mass": "lb" if in_us else "kg",
        "temperature": "°F" if in_us else "°C",
        "duration": "days" if key.key in _DAYS else "min",
    }
    return shown.get(key.dimension, "")


def with_unit(typed: str, unit: str) -> str:
    """What was typed with that unit where it has none; of two sides each has that of the length."""
    sides = [side.strip() for side in _SIDES.split(typed)]
    if not unit or not all(map(_BARE.fullmatch, sides)):
        return typed
    length = unit.removeprefix("sq ").removesuffix("²")
    return f"{typed} {unit}" if len(sides) == 1 else " x ".join(f"{one} {length}" for one in sides)
