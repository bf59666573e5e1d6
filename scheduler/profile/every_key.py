"""Every key that a profile can have, and what kind of value stands under it."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, time
from functools import cache
from types import UnionType
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from scheduler.profile.forecast import ROUNDINGS_DEG
from scheduler.profile.frozen_table import toml_key
from scheduler.profile.units import Dimension, Extent
from scheduler.profile.values import Profile

InputKind = Literal[
    "choice",  # of its options
    "house",  # of the profile's own
    "person",  # of the profile's own
    "count",
    "number",
    "switch",
    "date",
    "clock",
    "quantity",
    "coordinate",
    "text",
]
_DIMENSIONS: dict[str, Dimension] = {
    "_deg": "angle", "_m": "length", "_l": "volume", "_kg": "mass", "_c": "temperature",
    "_minutes": "duration",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class ProfileKey:
    """A key without ids and positions: ("coop", "vent", "size"), ("cares", "every").

    `attribute` is its name in the code, without a unit; `kind` is that of each value of a list.
    """

    key: tuple[str, ...]
    attribute: str
    table: type[BaseModel]
    field: FieldInfo
    kind: InputKind
    options: tuple[str, ...] = ()
    dimension: Dimension | None = None
    is_list: bool = False
    has_none: bool = False  # a clock that "none" switches off

    @property
    def is_needed(self) -> bool:
        """Whether it cannot be left out: nothing stands for it, nor follows from something else."""
        follows = {("units",), ("site", "timezone"), ("move", "timezone"), ("flock", "coop")}
        return self.field.is_required() and self.key[-1] != "id" and self.key not in follows


@cache
def every_key() -> tuple[ProfileKey, ...]:
    """All of them, in the order of the profile."""
    return tuple(_keys((), Profile))


def _keys(above: tuple[str, ...], table: type[BaseModel]) -> Iterator[ProfileKey]:
    for name, field in table.model_fields.items():
        key = (*above, field.alias or name)
        if inner := _table_in(field.annotation):
            yield from _keys(key, inner)
        else:
            yield _leaf(key, name, table, field)


def _table_in(annotation: Any) -> type[BaseModel] | None:  # noqa: ANN401 - whatever a type is made of
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    return next(filter(None, map(_table_in, get_args(annotation))), None)


def _leaf(key: tuple[str, ...], name: str, table: type[BaseModel], field: FieldInfo) -> ProfileKey:
    each, is_list = _bare(field.annotation)
    options = tuple(map(str, get_args(each))) if get_origin(each) is Literal else ()
    if key == ("forecast", "rounding"):
        options = tuple(f"{degrees:g}" for degrees in ROUNDINGS_DEG)
    kind, dimension = _kind_of(key, name, each)
    return ProfileKey(
        key=key,
        attribute=toml_key(name),
        table=table,
        field=field,
        kind="choice" if options else kind,
        options=options,
        dimension=None if options else dimension,
        is_list=is_list,
        has_none=type(None) in get_args(field.annotation) and each is time,
    )


def _bare(annotation: Any) -> tuple[Any, bool]:  # noqa: ANN401 - as above
    """The type of one value, and whether there may be several."""
    if get_origin(annotation) is Annotated:
        return _bare(get_args(annotation)[0])
    if get_origin(annotation) in {Union, UnionType}:
        return _bare(next(one for one in get_args(annotation) if one is not type(None)))
    if get_origin(annotation) is tuple:
        return _bare(get_args(annotation)[0])[0], True
    return annotation, False


def _kind_of(key: tuple[str, ...], name: str, each: Any) -> tuple[InputKind, Dimension | None]:  # noqa: ANN401 - as above
    simple: dict[object, InputKind] = {
        bool: "switch", int: "count", date: "date", time: "clock",
    }  # fmt: skip
    if each in simple:
        return simple[each], None
    if each is Extent:
        return "quantity", "area"
    if key[-1] in {"latitude", "longitude"}:
        return "coordinate", None
    if key[-1] == "coop" or key[0] == "duty":
        return "house" if key[-1] == "coop" else "person", None
    if each is not float:
        return "text", None
    ending = next((one for one in _DIMENSIONS if name.endswith(one)), "")
    if key[-1] in {"every", "everybody"}:  # without a unit in their names
        ending = "_minutes"
    return ("quantity", _DIMENSIONS[ending]) if ending else ("number", None)
