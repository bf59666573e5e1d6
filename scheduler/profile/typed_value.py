"""From what somebody types into an input to the value in the profile, and back."""

import re
from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date, time, tzinfo
from functools import cache
from typing import Annotated, Any

from pydantic import BaseModel, ConfigDict, ValidationError, create_model

from scheduler.profile.changeable import changeable_or_fail
from scheduler.profile.every_key import ProfileKey, every_key
from scheduler.profile.explain import explained
from scheduler.profile.frozen_table import said_of
from scheduler.profile.problem import Problem, Unreadable, shown
from scheduler.profile.raw_tables import TomlValue, Where
from scheduler.profile.shown_units import shown_unit, with_unit
from scheduler.profile.time_fields import read_wall_time
from scheduler.profile.units import Region, Units
from scheduler.wording.profile.problem_words import Explained
from scheduler.wording.profile.quantities import QuantityHints

NOTHING = "none"  # a clock that is switched off
YES, NO = "yes", "no"
Typed = str | Sequence[str]
_SWITCHES = {YES: True, "on": True, "true": True, NO: False, "off": False, "false": False}
_DAY = re.compile(r"(\d{1,2})\s*([./-])\s*(\d{1,2})\s*\2\s*(\d{4})")
_BETWEEN = re.compile(r"[,;\n]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Conventions:
    """How a household writes: the units that its pages show, its region, and what zones there are.

    `zone` reads the name of a zone, as `profile.package_data` does.
    """

    units: Units
    region: Region
    zone: Callable[[str], tzinfo]


def read_typed(where: Where, typed: Typed, by: Conventions) -> TomlValue | Problem | None:
    """The value as the profile writes it, None for an empty input, or what is wrong with it.

    A list is typed as several, or as one with commas. A switch is "yes" or "no"; a box without a
    tick sends nothing, so a form says "no" beside it.

    Raises:
        KeyError: no page changes what is under that address.
    """
    key = changeable_or_fail(where).of
    several = _several(typed) if key.is_list else [str(typed).strip()]
    if not any(several):
        if key.is_needed and key.is_list:
            return []
        return _missing(where, key) if key.is_needed else None
    values = [_read_one(key, one, by) for one in several]
    value: TomlValue = values[0]
    if key.is_list and not (key.key == ("climate", "humidity") and len(values) == 1):
        value = values
    return _checked(where, key, value, several, by)


def show_typed(where: Where, value: Any) -> str | tuple[str, ...]:  # noqa: ANN401 - TOML gives any type
    """What the input shows for a value of the profile; what it shows is read as the same value.

    Raises:
        KeyError: no page changes what is under that address.
    """
    key = changeable_or_fail(where).of
    if key.is_list:
        several = value if isinstance(value, list) else [] if value is None else [value]
        return tuple(_shown(key, one) for one in several)
    return "" if value is None else _shown(key, value)


def _several(typed: Typed) -> list[str]:
    parts = _BETWEEN.split(typed) if isinstance(typed, str) else typed
    return [part.strip() for part in parts if part.strip()]


def _missing(where: Where, key: ProfileKey) -> Problem:
    return Problem(key=where, found=Explained.missing(), accepted=said_of(key.field))


def _read_one(key: ProfileKey, typed: str, by: Conventions) -> TomlValue:
    """What can be read of it; else as it was typed, for the profile's own reader to refuse."""
    if key.kind in {"count", "number", "coordinate"} or key.dimension == "angle":
        return _number(typed)
    if key.kind == "quantity":
        return with_unit(typed, shown_unit(key, by.units, by.region))
    if key.kind == "choice":
        option = _option(key, typed)
        return _number(option) if key.key == ("forecast", "rounding") else option
    return _plainly(key, typed, by.region)


def _plainly(key: ProfileKey, typed: str, region: Region) -> TomlValue:
    match key.kind:
        case "switch":
            return _SWITCHES.get(typed.casefold(), typed)
        case "date":
            return _date(typed, region)
        case "clock":
            return _clock(typed)
        case _:
            return typed


def _clock(typed: str) -> str:
    """As 16:20; "none" in any case."""
    with suppress(Unreadable):
        return f"{read_wall_time(typed):%H:%M}"
    return NOTHING if typed.casefold() == NOTHING else typed


def _number(typed: str) -> TomlValue:
    plain = typed.replace("\N{MINUS SIGN}", "-")
    if re.fullmatch(r"[-+]?\d{1,9}", plain):
        return int(plain)
    if re.fullmatch(r"[-+]?(?:\d{1,9}\.\d{0,9}|\.\d{1,9})", plain):
        return float(plain)
    return typed


def _date(typed: str, region: Region) -> TomlValue:
    with suppress(ValueError):
        return date.fromisoformat(typed)
    if found := _DAY.fullmatch(typed):
        first, mark, second, year = found.groups()
        month_first = region == "US" and mark != "."
        day, month = (second, first) if month_first else (first, second)
        with suppress(ValueError):
            return date(int(year), int(month), int(day))
    return typed


def _option(key: ProfileKey, typed: str) -> str:
    folded = " ".join(typed.split()).casefold()
    return next((one for one in key.options if one.casefold() == folded), typed)


def _checked(
    where: Where, key: ProfileKey, value: TomlValue, typed: Sequence[str], by: Conventions
) -> TomlValue | Problem:
    """The value, unless the key's own reader refuses it; which houses there are is not asked."""
    if key.kind == "house":
        return value
    context = {"region": by.region, "zone": by.zone}
    try:
        _reader(key.key).model_validate({"value": value}, context=context)
    except ValidationError as error:
        details = error.errors(include_url=False)[0]
        inside = details["loc"][1:]
        (problem, *_) = explained({**details, "loc": (*key.key, *inside)})
        at = next((part for part in inside if isinstance(part, int)), None)
        said = typed[at] if at is not None else ", ".join(typed)
        # Nobody types quotes here, so the hint about them would lead astray.
        is_number = key.kind in {"count", "number", "switch"}
        hint = (_decimals(said) if key.kind == "number" else "") if is_number else problem.hint
        return replace(problem, key=where, found=shown(said), hint=hint)
    return value


def _decimals(typed: str) -> str:
    return QuantityHints.point() if re.search(r"\d,\d", typed) else ""


@cache
def _reader(key: tuple[str, ...]) -> type[BaseModel]:
    """A table with that key alone, read as in the profile."""
    field = next(one.field for one in every_key() if one.key == key)
    read: Any = field.annotation
    for one in field.metadata:
        read = Annotated[read, one]
    config = ConfigDict(arbitrary_types_allowed=True, hide_input_in_errors=True)
    return create_model("Typed", __config__=config, value=(read, ...))


def _shown(key: ProfileKey, value: Any) -> str:  # noqa: ANN401 - as above
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, time):
        return f"{value:%H:%M}"
    if isinstance(value, float):
        return f"{value:g}" if float(f"{value:g}") == value else repr(value)
    text = str(value)
    if key.kind == "clock":
        return _clock(text.strip())
    return _option(key, text) if key.kind == "choice" else text
