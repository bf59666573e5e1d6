"""A text with numbers in metric units, as a keeper of other units reads it."""

import re
from collections.abc import Callable, Iterable
from functools import lru_cache, partial

from scheduler.profile.units import FOOT_M, INCH_M, POUND_KG, US_GALLON_L, Units

_NUMBER = r"([-−]?\d+(?:\.\d+)?)"
_RANGE = r"[-−]?\d+(?:\.\d+)?(?: to [-−]?\d+(?:\.\d+)?)?"
# Where a text gives both, a keeper reads one.
_DEGREES_BOTH = re.compile(rf"({_RANGE} °C) \(({_RANGE} °F)\)")
_SIZES_BOTH = re.compile(rf"({_RANGE} (?:sq ft|in)) \(({_RANGE} (?:cm²|m²|cm))\)")
_A_DIFFERENCE = r"(?= (?:warmer|hotter|more|above the shade|above outside))"
_FOOT_M, _INCH_CM = float(FOOT_M), float(INCH_M * 100)
_OUNCE_G = float(POUND_KG) * 1000 / 16
_QUARTS_A_GALLON = 4


def _places(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 20 else f"{round(value, 1):g}"  # noqa: PLR2004


def _volume(litres: float) -> str:
    quarts = litres / float(US_GALLON_L) * _QUARTS_A_GALLON
    if quarts < _QUARTS_A_GALLON:
        return f"{_places(quarts)} qt"
    return f"{_places(quarts / _QUARTS_A_GALLON)} gal"


# In this order: the longer unit before the one that is part of it.
_US: tuple[tuple[str, Callable[[float], str]], ...] = (
    (rf"°C{_A_DIFFERENCE}", lambda v: f"{v * 9 / 5:.0f} °F"),
    (r"°C", lambda v: f"{v * 9 / 5 + 32:.0f} °F".replace("-0 ", "0 ")),
    (r"g/m²", lambda v: f"{v / _OUNCE_G * _FOOT_M**2:.2f} oz/sq ft"),
    (r"m³/h", lambda v: f"{_places(v / 60 / _FOOT_M**3)} cfm"),
    (r"cm²", lambda v: f"{_places(v / _INCH_CM**2)} sq in"),
    (r"m²", lambda v: f"{_places(v / _FOOT_M**2)} sq ft"),
    (r"kg\b", lambda v: f"{_places(v / float(POUND_KG))} lb"),
    (r"L loose\b", lambda v: f"{_places(v / 1000 / _FOOT_M**3)} cu ft loose"),
    (r"L\b", _volume),
    (r"mm\b", lambda v: f"{_places(v / 10 / _INCH_CM)} in"),
    (r"cm\b", lambda v: f"{_places(v / _INCH_CM)} in"),
    (r"m\b", lambda v: f"{_places(v / _FOOT_M)} ft"),
)
_UK = tuple(rule for rule in _US if rule[0] in {r"cm²", r"m²", r"mm\b", r"cm\b", r"m\b"})
_Rules = tuple[tuple[re.Pattern[str], Callable[[float], str]], ...]


def _compiled(rules: Iterable[tuple[str, Callable[[float], str]]]) -> _Rules:
    return tuple((re.compile(rf"(?<![\d.]){_NUMBER} {unit}"), write) for unit, write in rules)


_RULES: dict[Units, _Rules] = {"metric": (), "us": _compiled(_US), "uk": _compiled(_UK)}


@lru_cache(maxsize=1024)  # a plan says the same few texts every day of a year
def in_units(text: str, units: Units) -> str:
    """The text with each metric number in US customary units, or with lengths in feet for the UK.

    Of a size given in both ways one stays. A temperature before "warmer", "hotter", "more" or
    "above the shade" is a difference.
    """
    text = _DEGREES_BOTH.sub(r"\2" if units == "us" else r"\1", text)
    text = _SIZES_BOTH.sub(r"\2" if units == "metric" else r"\1", text)
    for pattern, write in _RULES[units]:
        text = pattern.sub(partial(_rewritten, write), text)
    return text


def _rewritten(write: Callable[[float], str], found: re.Match[str]) -> str:
    return write(float(found[1].replace("−", "-")))
