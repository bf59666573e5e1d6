"""Latitude and longitude as people and maps write them: 44.3, 44.3° N, 44°18'N, or both at once."""

import re
from typing import Literal

from scheduler.profile.problem import Unreadable
from scheduler.wording.profile.quantities import QuantityHints
from scheduler.wording.profile.reading_words import Degrees, OneOfTwo, Places, SideOf
from scheduler.wording.words import every

Axis = Literal["latitude", "longitude"]
LIMITS: dict[Axis, int] = {"latitude": 90, "longitude": 180}
ACCEPTED = every(Degrees)
BOTH = Places.both
_ONLY_ONE, _SIDE_OF = every(OneOfTwo), every(SideOf)
# South of here nobody may bring poultry (Protocol to the Antarctic Treaty, Annex II, from memory).
SOUTHERNMOST_DEG = -60.0
_SIDES = {"n": 1, "s": -1, "e": 1, "w": -1}
_AXIS_OF: dict[str, Axis] = {"n": "latitude", "s": "latitude", "e": "longitude", "w": "longitude"}
_WORDS = {"north": "n", "south": "s", "east": "e", "west": "w"}
_PLAIN = str.maketrans({"−": "-", "–": "-", "º": "°", "’": "'", "′": "'", "”": '"', "″": '"'})
_PART = r"\d+(?:\.\d+)?"
_ONE = (
    rf"(?P<before{{0}}>[nsew])?\s*(?P<sign{{0}}>[-+])?\s*(?P<degrees{{0}}>{_PART})\s*(?:°|deg\b)?\s*"
    rf"(?:(?P<minutes{{0}}>{_PART})\s*'\s*(?:(?P<seconds{{0}}>{_PART})\s*(?:\"|'')\s*)?)?"
    r"(?P<after{0}>[nsew])?"
)
_SINGLE = re.compile(_ONE.format(""))
_PAIR = re.compile(rf"{_ONE.format('1')}\s*(?:[,;/]\s*|\s)\s*{_ONE.format('2')}")
_BY_COMMA = re.compile(r"\d+,\d+")
_LONGEST = 60


def read_coordinate(text: str, axis: Axis) -> float:
    """The degrees, negative in the south and the west.

    Raises:
        Unreadable: it is no such coordinate; a decimal comma is told.
    """
    plain = _plain(text)
    found = _SINGLE.fullmatch(plain)
    if not found:
        raise Unreadable(ACCEPTED[axis](), _why_not(plain, axis))
    return _degrees(found, "", axis)


def read_place(text: str) -> tuple[float, float] | None:
    """Latitude and longitude where both stand on the line, in either order if sides are named.

    None where there is but one.

    Raises:
        Unreadable: the two cannot be latitude and longitude, or may be one with a decimal comma.
    """
    plain = _plain(text)
    if _BY_COMMA.fullmatch(plain):  # 51,5 is 51.5 to half of Europe, and another country if taken
        raise Unreadable(BOTH(), QuantityHints.point())
    if _SINGLE.fullmatch(plain) or not (found := _PAIR.fullmatch(plain)):
        return None
    sides = [(found[f"before{n}"] or found[f"after{n}"] or "") for n in "12"]
    first: Axis = _AXIS_OF.get(sides[0], "latitude")
    if not sides[0] and _AXIS_OF.get(sides[1]) == "latitude":
        first = "longitude"
    second: Axis = "longitude" if first == "latitude" else "latitude"
    degrees = {first: _degrees(found, "1", first), second: _degrees(found, "2", second)}
    return degrees["latitude"], degrees["longitude"]


def _why_not(plain: str, axis: Axis) -> str:
    """What is wrong with the spelling: a decimal comma, or both halves where one is wanted."""
    if re.search(r"\d,\d", plain):
        return QuantityHints.point()
    return _ONLY_ONE[axis]() if _PAIR.fullmatch(plain) else ""


def _plain(text: str) -> str:
    plain = " ".join(text[: 2 * _LONGEST].translate(_PLAIN).casefold().split())
    for word, letter in _WORDS.items():
        plain = re.sub(rf"\b{word}\b", letter, plain)
    return plain if len(plain) <= _LONGEST else ""


def _degrees(found: re.Match[str], number: str, axis: Axis) -> float:
    before, after = found[f"before{number}"], found[f"after{number}"]
    minutes, seconds = (float(found[f"{part}{number}"] or 0) for part in ("minutes", "seconds"))
    side = before or after
    if (before and after) or (side and found[f"sign{number}"]):
        raise Unreadable(ACCEPTED[axis](), Places.sign_or_side())
    if side and _AXIS_OF[side] != axis:
        raise Unreadable(ACCEPTED[axis](), _SIDE_OF[_AXIS_OF[side]](side=side.upper()))
    sixtieths = 60
    size = float(found[f"degrees{number}"]) + minutes / sixtieths + seconds / sixtieths**2
    if size > LIMITS[axis] or max(minutes, seconds) >= sixtieths:
        swapped = axis == "latitude" and size <= LIMITS["longitude"]
        raise Unreadable(ACCEPTED[axis](), Places.latitude_first() if swapped else "")
    negative = found[f"sign{number}"] == "-" or _SIDES.get(side, 1) < 0
    return -size if negative else size
