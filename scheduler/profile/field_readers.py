"""How a number, a word of a list or a switch is read: each reader says what it accepts."""

from collections.abc import Callable, Iterable, Mapping
from typing import Any, get_args

from pydantic import BeforeValidator, GetCoreSchemaHandler, ValidationInfo
from pydantic_core import CoreSchema, PydanticCustomError

from scheduler.profile.coordinates import ACCEPTED, LIMITS, Axis, read_coordinate
from scheduler.profile.problem import Unreadable, nearest
from scheduler.profile.units import (
    Dimension,
    Extent,
    Region,
    accepted_text,
    read_extent,
    read_quantity,
)
from scheduler.wording.profile.reading_words import Bounds, Numbers, SeveralValues
from scheduler.wording.spoken import in_a_row
from scheduler.wording.words import every

_BOUNDS = every(Bounds)


def reader(read: Callable[[Any, ValidationInfo], Any]) -> BeforeValidator:
    def reading(value: Any, info: ValidationInfo) -> Any:  # noqa: ANN401 - TOML gives any type
        try:
            return read(value, info)
        except Unreadable as refused:
            context = {"accepted": refused.accepted, "hint": refused.hint}
            raise PydanticCustomError("unreadable", "unreadable", context) from None

    return BeforeValidator(reading)


def _region(info: ValidationInfo) -> Region:
    context = info.context if isinstance(info.context, Mapping) else {}
    region: Region = context.get("region", "other")
    return region


def quantity(
    dimension: Dimension,
    least: float,
    most: float,
    *,
    bare: bool = False,
    whole: float | None = None,
) -> BeforeValidator:
    def read(value: Any, info: ValidationInfo) -> float:  # noqa: ANN401 - as above
        constructed = not info.context and isinstance(value, float | int)
        if isinstance(value, str):
            amount = read_quantity(value, dimension, _region(info))
        elif (bare or constructed) and _is_number(value):
            amount = value
        else:
            hint = Numbers.with_unit() if _is_number(value) else ""
            raise Unreadable(accepted_text(dimension), hint)
        if not least <= amount <= most:
            scale, bounds = (1440, Numbers.days) if whole else (1, _BOUNDS[dimension])
            between = bounds(least=f"{least / scale:g}", most=f"{most / scale:g}")
            raise Unreadable(accepted_text(dimension), between)
        if whole and amount % whole:
            raise Unreadable(Numbers.whole_days())
        return float(amount)

    return reader(read)


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def number(least: float, most: float, *, whole: bool = False) -> BeforeValidator:
    """A plain number within bounds; `whole` refuses fractions."""

    def read(value: Any, _: ValidationInfo) -> float:  # noqa: ANN401 - as above
        ok = _is_number(value) and least <= value <= most
        if not ok or (whole and not isinstance(value, int)):
            kind = Numbers.whole if whole else Numbers.number
            hint = Numbers.without_quotes() if isinstance(value, str) else ""
            raise Unreadable(kind(least=f"{least:g}", most=f"{most:g}"), hint)
        result: float = value
        return result

    return reader(read)


def coordinate(axis: Axis) -> BeforeValidator:
    """Degrees as a number, or as a map writes them, "44.3° N"."""

    def read(value: Any, _: ValidationInfo) -> float:  # noqa: ANN401 - as above
        if isinstance(value, str):
            return read_coordinate(value, axis)
        limit = LIMITS[axis]
        if not _is_number(value) or not -limit <= value <= limit:
            raise Unreadable(ACCEPTED[axis]())
        return float(value)

    return reader(read)


def _quoted(words: Iterable[str]) -> str:
    return in_a_row([f'"{word}"' for word in words])


class AnyCase:
    """Reads one of the words of a Literal, in any case; says which is nearest when it is none."""

    def __get_pydantic_core_schema__(
        self, alias: object, handler: GetCoreSchemaHandler
    ) -> CoreSchema:
        words: tuple[str, ...] = get_args(alias)

        def read(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
            by_fold = {word.casefold(): word for word in words}
            if isinstance(value, str) and (word := by_fold.get(" ".join(value.split()).casefold())):
                return word
            meant = nearest(value, words) if isinstance(value, str) else ""
            raise Unreadable(_quoted(words), meant)

        return reader(read).__get_pydantic_core_schema__(alias, handler)


def several_minutes(least: float, most: float) -> BeforeValidator:
    """A list of durations in minutes within bounds, as an ascending tuple."""

    def read(value: Any, info: ValidationInfo) -> tuple[float, ...] | None:  # noqa: ANN401 - as above
        if value is None or (isinstance(value, tuple) and not info.context):
            return value
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise Unreadable(SeveralValues.durations())
        amounts = [read_quantity(item, "duration", _region(info)) for item in value]
        if not all(least <= amount <= most for amount in amounts):
            each = SeveralValues.each(least=f"{least:g}", most=f"{most:g}")
            raise Unreadable(SeveralValues.durations(), each)
        return tuple(sorted(amounts))

    return reader(read)


def steps_from(alias: object) -> BeforeValidator:
    """A list of the words of a Literal that holds "now", in the order of the Literal."""
    words: tuple[str, ...] = get_args(alias)

    def read(value: Any, _: ValidationInfo) -> tuple[str, ...] | None:  # noqa: ANN401 - as above
        if value is None:
            return None
        accepted = SeveralValues.steps(steps=_quoted(words))
        if not isinstance(value, list | tuple):
            raise Unreadable(accepted)
        for item in value:
            if item not in words:
                raise Unreadable(accepted, nearest(str(item), words))
        if "now" not in value:
            raise Unreadable(accepted, SeveralValues.nobody_told())
        return tuple(word for word in words if word in value)

    return reader(read)


def read_percents(value: Any, _: ValidationInfo) -> Any:  # noqa: ANN401 - as above
    if isinstance(value, list | tuple) or value is None:
        return value
    if not _is_number(value) or not 0 <= value <= 100:  # noqa: PLR2004 - per cent
        raise Unreadable(Numbers.percents())
    return (value,) * 12


def read_area(value: Any, info: ValidationInfo) -> Extent:  # noqa: ANN401 - as above
    if isinstance(value, Extent):
        return value
    if not isinstance(value, str):
        hint = Numbers.with_unit() if _is_number(value) else ""
        raise Unreadable(accepted_text("area"), hint)
    extent = read_extent(value, _region(info))
    if not 0.01 <= extent.area_m2 <= 1_000_000:  # noqa: PLR2004 - a nest to a hundred hectares
        raise Unreadable(accepted_text("area"), Numbers.ground())
    return extent


def read_switch(value: Any, _: ValidationInfo) -> bool:  # noqa: ANN401 - as above
    if isinstance(value, bool):
        return value
    raise Unreadable(Numbers.switch(), Numbers.without_quotes() if isinstance(value, str) else "")
