"""Between the decided weather of a day and the text in which it is kept."""

import json
from dataclasses import dataclass, fields, is_dataclass, replace
from datetime import UTC, datetime
from functools import cache, lru_cache
from math import isfinite
from typing import Any

from pydantic import TypeAdapter

from scheduler.cares.dark_under_cloud import MOST_MINUTES
from scheduler.cares.decided import DecidedDay

VERSION = 1  # of the text; what an older program could misread raises it
_MOST_KEPT = 256  # three sites' days as they lie in a journal


@dataclass(frozen=True, slots=True, kw_only=True)
class _Kept:
    """What stands in the text."""

    version: int
    decided: DecidedDay


def encode(decided: DecidedDay) -> str:
    """The day as JSON with its version, without what is as by default; the same for equal days."""
    kept = _Kept(version=VERSION, decided=decided)
    values: dict[str, Any] = _codec().dump_python(kept, mode="json", exclude_defaults=True)
    for name in ("signs", "stood"):  # a set has no order
        if name in values["decided"]:
            values["decided"][name].sort()
    return json.dumps(values, separators=(",", ":"))


@lru_cache(maxsize=_MOST_KEPT)
def decode(text: str) -> DecidedDay | None:
    """The day, its instants in UTC; None of what is damaged, or of another version."""
    try:
        kept = _codec().validate_json(text, strict=True)
        decided: DecidedDay = _sound(kept.decided)
        if not 0 <= decided.shift_minutes <= MOST_MINUTES:
            return None
    except (ValueError, OverflowError):  # pydantic's own fault is a ValueError
        return None
    return decided if kept.version == VERSION else None


def _sound(value: Any) -> Any:  # noqa: ANN401 - whatever stands in a day
    """The same value with every instant in it in UTC.

    Raises:
        ValueError: an instant has no zone, or a number is none.
        OverflowError: an instant lies outside the years that there are.
    """
    if isinstance(value, datetime):
        if value.tzinfo is None:
            raise ValueError(value)
        return value.astimezone(UTC)
    if isinstance(value, float) and not isfinite(value):
        raise ValueError(value)
    if isinstance(value, tuple):
        return tuple(map(_sound, value))
    if is_dataclass(value) and not isinstance(value, type):
        return replace(
            value, **{one.name: _sound(getattr(value, one.name)) for one in fields(value)}
        )
    return value


@cache
def _codec() -> TypeAdapter[_Kept]:
    return TypeAdapter(_Kept)
