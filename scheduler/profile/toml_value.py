"""A TOML value as text, and one inside it changed, with comments and spaces as they were."""

import tomllib
from collections.abc import Callable, Mapping
from copy import deepcopy
from typing import Any

import tomlkit
from tomlkit.exceptions import TOMLKitError

from scheduler.profile.problem import KeyPath
from scheduler.profile.raw_tables import TomlValue, same


def written(value: TomlValue) -> str:
    """The value on one line, a table in braces."""
    if isinstance(value, Mapping):
        inner = ", ".join(f"{written_key(key)} = {written(one)}" for key, one in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list):
        return f"[{', '.join(map(written, value))}]"
    return tomlkit.item(value).as_string()


def written_key(key: str) -> str:
    """The key, in quotes where it needs them."""
    return tomlkit.key(key).as_string()


def value_of(text: str) -> Any:  # noqa: ANN401 - TOML gives any type
    """What the text of a value says."""
    return tomllib.loads(f"value = {text}")["value"]


def with_inner(text: str, path: KeyPath, value: TomlValue) -> str:
    """The value with another inside it, under keys and positions; what is missing is made.

    It stays as it is where a position on the way is not there.
    """

    def put(inner: Any, part: str | int) -> None:  # noqa: ANN401 - as above
        inner[part] = value

    return _edited(text, path, put)


def with_item(text: str, path: KeyPath, value: TomlValue) -> str:
    """The value with one more item at the end of the list that stands under the path."""

    def put(inner: Any, part: str | int) -> None:  # noqa: ANN401 - as above
        if isinstance(inner, dict) and part not in inner:
            inner[part] = []
        inner[part].append(value)

    return _edited(text, path, put) if path else _edited(text, (), _appended(value))


def without_inner(text: str, path: KeyPath) -> str:
    """The value without what stands under the path, and without what that leaves empty.

    An emptied item of a list stays, so that those behind it keep their positions.
    """

    def drop(inner: Any, part: str | int) -> None:  # noqa: ANN401 - as above
        del inner[part]

    edited = _edited(text, path, drop)
    above = path[:-1]
    is_key = bool(above) and isinstance(above[-1], str)
    if is_key and edited != text and _at(value_of(edited), above) in ({}, []):
        return without_inner(edited, above)
    return edited


_Edit = Callable[[Any, "str | int"], None]


def _appended(value: TomlValue) -> _Edit:
    def put(inner: Any, _: str | int) -> None:  # noqa: ANN401 - as above
        inner.append(value)

    return put


def _edited(text: str, path: KeyPath, edit: _Edit) -> str:
    """The edit done on the plain value says what must come out; the text is held against it."""
    before = value_of(text)
    wanted = deepcopy(before)
    if not _apply(wanted, path, edit, dict):
        return text
    try:
        document = tomlkit.parse(f"value = {text}")
        inner: Any = document["value"]
        _apply(inner, path, edit, tomlkit.inline_table)
        found: str = inner.as_string()
        if same(value_of(found), wanted):
            return found
    except (TOMLKitError, ValueError, TypeError, LookupError, AttributeError):
        pass  # it is written anew, without what stood between its parts
    return written(wanted)


def _apply(value: Any, path: KeyPath, edit: _Edit, table: Callable[[], Any]) -> bool:  # noqa: ANN401
    inner = value
    for part in path[:-1]:
        if isinstance(part, str) and isinstance(inner, dict) and part not in inner:
            inner[part] = table()
        if not _has(inner, part):
            return False
        inner = inner[part]
    last = path[-1] if path else 0
    try:
        edit(inner, last)
    except (LookupError, TypeError, AttributeError):
        return False
    return True


def _has(inner: object, part: str | int) -> bool:
    if isinstance(inner, dict):
        return part in inner
    return isinstance(inner, list) and isinstance(part, int) and 0 <= part < len(inner)


def _at(value: Any, path: KeyPath) -> Any:  # noqa: ANN401 - as above
    for part in path:
        if not _has(value, part):
            return None
        value = value[part]
    return value
