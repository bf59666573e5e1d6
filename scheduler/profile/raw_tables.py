"""The tables of a profile's text as they are written, and as its things are known by their ids."""

import tomllib
from collections.abc import Mapping
from datetime import date, datetime, time
from typing import Any

from scheduler.profile.prepare import NAMED_TABLES, fill_names
from scheduler.profile.problem import KeyPath

# Where something stands: a part that follows one of NAMED_TABLES is the thing's id, one that
# follows the name of another array is a position.
Where = tuple[str | int, ...]
# What can be written under a key.
TomlValue = (
    str
    | int
    | float
    | bool
    | date
    | time
    | datetime
    | list["TomlValue"]
    | Mapping[str, "TomlValue"]
)
BYTE_ORDER_MARK = "\ufeff"


def tables_of(text: str) -> dict[str, Any]:
    """The tables as tomllib gives them.

    Raises:
        tomllib.TOMLDecodeError: the text is no TOML.
    """
    return tomllib.loads(text.removeprefix(BYTE_ORDER_MARK))


def named_tables(text: str) -> dict[str, Any]:
    """As `tables_of`, with the ids that follow from names and the houses that flocks live in."""
    tables = tables_of(text)
    fill_names(tables)
    return tables


def things(tables: Mapping[str, Any], kind: str) -> list[Mapping[str, Any]]:
    """The tables of that kind that have an id."""
    found = tables.get(kind)
    listed = found if isinstance(found, list) else []
    return [one for one in listed if isinstance(one, Mapping) and "id" in one]


def names_of(tables: Mapping[str, Any], kind: str) -> dict[str, str]:
    """What each of them is called, by its id."""
    return {str(one["id"]): str(one.get("name", one["id"])) for one in things(tables, kind)}


def same(one: object, other: object) -> bool:
    """Whether both are the same value of the same type: `true`, `1` and `1.0` are three."""
    if isinstance(one, Mapping) and isinstance(other, Mapping):
        return one.keys() == other.keys() and all(same(one[key], other[key]) for key in one)
    if isinstance(one, list) and isinstance(other, list):
        return len(one) == len(other) and all(map(same, one, other))
    return type(one) is type(other) and one == other


def inner(tables: object, path: KeyPath) -> Any:  # noqa: ANN401 - TOML gives any type
    """What stands under a path; None where nothing does."""
    found = tables
    for part in path:
        if isinstance(found, Mapping) and isinstance(part, str):
            found = found.get(part)
        elif isinstance(found, list) and isinstance(part, int) and 0 <= part < len(found):
            found = found[part]
        else:
            return None
    return found


def path_of(where: Where, named: Mapping[str, Any]) -> KeyPath | None:
    """The path by position of what is addressed by id; None where there is no such thing."""
    if len(where) < 2 or where[0] not in NAMED_TABLES or not isinstance(where[1], str):  # noqa: PLR2004
        return where
    things = named.get(where[0])
    for position, thing in enumerate(things if isinstance(things, list) else ()):
        if isinstance(thing, Mapping) and thing.get("id") == where[1]:
            return (where[0], position, *where[2:])
    return None
