"""Quantities as values, and the one place where they are written: in a keeper's own units.

A sum of ours is written as exactly as it can be meant (`write_quantity`, with a `Rounding` where it
is a limit). What a text says is a `Quantity`, which keeps its number and unit until it is told.
"""

import re
from collections.abc import Callable
from dataclasses import dataclass, replace
from fractions import Fraction
from math import ceil, floor

from scheduler.profile.measures import KNOWN, STEPS, TOLD_AS, Measured, converted
from scheduler.profile.problem import Unreadable
from scheduler.profile.units import Units
from scheduler.wording.profile.quantities import SeveralNumbers, WrittenQuantities
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import kept

Rounding = Callable[[float, int], float]
NO_BREAK = "\u00a0"
_HAIR = 1e-6  # what a float may be beside the number that is meant
_INCHES_UP_TO = 36  # short lengths are read in inches
_SAME_SHARE = 0.08  # half an inch of mesh is 12 mm
_SAME_C = 0.6
_NUMBER = r"[-−]?\d+(?:\.\d+|/\d+)?"
_WRITTEN = re.compile(rf"({_NUMBER})(?:( to |–)({_NUMBER}))? (\D+)")

_ENDS = re.compile(" to |–")


def round_up(value: float, digits: int) -> float:
    """To so many digits, and never less than it is."""
    return ceil(value * 10.0**digits - _HAIR) / 10.0**digits


def round_down(value: float, digits: int) -> float:
    """To so many digits, and never more than it is."""
    return floor(value * 10.0**digits + _HAIR) / 10.0**digits


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
        raise Unreadable(WrittenQuantities.the_same())
    return replace(quantity, other=other)


def _one(text: str) -> Quantity:
    found = _WRITTEN.fullmatch(text)
    if not found or found[4] not in KNOWN:
        raise Unreadable(WrittenQuantities.with_unit(units=in_a_row(list(KNOWN))))
    try:
        ends = tuple(float(Fraction(end.replace("−", "-"))) for end in found.group(1, 3) if end)
    except ZeroDivisionError:
        raise Unreadable(WrittenQuantities.number()) from None
    if list(ends) != sorted(set(ends)):
        raise Unreadable(WrittenQuantities.ascending())
    return Quantity(ends, found[4], written=text.removesuffix(found[4]).strip())


def _are_the_same(one: Quantity, other: Quantity) -> bool:
    if KNOWN[one.unit].measures != KNOWN[other.unit].measures:
        return False
    if len(one.numbers) != len(other.numbers):
        return False
    if all((one.unit in told) == (other.unit in told) for told in TOLD_AS.values()):
        return False  # nobody would ever read one of them
    ends = (converted(end, other.unit, one.unit) for end in other.numbers)
    within_c = 0.0 if "°" not in one.unit else _SAME_C * (1.8 if "°F" in one.unit else 1.0)
    pairs = zip(one.numbers, ends, strict=True)
    return all(abs(a - b) <= (within_c or _SAME_SHARE * abs(a)) for a, b in pairs)


def write_quantity(value: float, dimension: Measured, units: Units, to: Rounding = round) -> str:
    """A sum of ours in the keeper's units: US customary, metric, or UK (feet, litres, °C).

    What it is at least to be is rounded up (`to`), what it is at most to be is rounded down.
    """
    step = next(one for one in STEPS[units][dimension] if value >= one.least)
    digits = step.digits if to is round or step.of_limit is None else step.of_limit
    in_metric = STEPS["metric"][dimension][0].unit
    number = to(converted(value, in_metric, step.unit), digits) + 0.0  # never "-0"
    if step.unit == "in" and number >= _INCHES_UP_TO:
        return _feet_and_inches(number)
    return _signed(f"{number:g}" if step.short else f"{number:.{digits}f}", step.unit)


def in_column(value: float, dimension: Measured, units: Units) -> tuple[str, str]:
    """A sum of ours as `write_quantity` has it, and its unit apart, for a table's head."""
    number, _, unit = write_quantity(value, dimension, units).partition(NO_BREAK)
    return number, unit


def _feet_and_inches(inches: float) -> str:
    feet, rest = divmod(inches, 12)
    whole = _signed(f"{feet:g}", "ft")
    if not rest:
        return whole
    return SeveralNumbers.feet_and_inches(feet=whole, inches=_signed(f"{rest:g}", "in"))


@kept(1024)  # a plan says the same few every day of a year
def write(quantity: Quantity, units: Units) -> str:
    """The quantity in the keeper's units, with a space that no line breaks at.

    What is converted has two significant figures, a temperature its whole degrees.
    """
    told_as, other = TOLD_AS[units], quantity.other
    if quantity.unit not in told_as:
        return _signed(_own(quantity), quantity.unit)
    if other is not None and other.unit not in told_as:
        return _signed(_own(other), other.unit)
    unit: str = told_as[quantity.unit]
    ends = [converted(end, quantity.unit, unit) for end in quantity.numbers]
    if unit == "gal" and max(ends) < 1:
        unit, ends = "qt", [4 * end for end in ends]
    said = dict.fromkeys(_in_short(end, unit) for end in ends)
    return _signed(_ranging([*said], dashed="–" in quantity.written), unit)


def write_plain(quantity: Quantity) -> str:
    """The quantity in its own unit, exact to four digits after the point, as programs read it."""
    unit = quantity.unit.removesuffix(" rise")
    if quantity.written:
        return f"{quantity.written} {unit}"
    digits = 4 if quantity.digits is None else quantity.digits
    return f"{quantity.numbers[0]:.{digits}f} {unit}"


def _signed(number: str, unit: str) -> str:
    return KNOWN[unit].sign(number=number) if unit else number


def _own(quantity: Quantity) -> str:
    if quantity.written:
        return _ranging(_ENDS.split(quantity.written), dashed="–" in quantity.written)
    (value,) = quantity.numbers
    digits = quantity.digits
    if digits is None:
        digits = 0 if value >= 20 or value == int(value) else 1  # noqa: PLR2004
    return f"{value:.{digits}f}"


def _ranging(ends: list[str], *, dashed: bool) -> str:
    if len(ends) == 1:
        return ends[0]
    least, most = ends
    range_of = SeveralNumbers.dashed if dashed else SeveralNumbers.to
    return range_of(least=least, most=most)


def _in_short(value: float, unit: str) -> str:
    if KNOWN[unit].measures == "temperature":
        return f"{round(value)}"
    return f"{float(f'{value:.1e}'):g}"
