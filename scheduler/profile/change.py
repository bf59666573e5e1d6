"""A profile's text with something changed in it; comments and order of everything else stay."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from scheduler.profile.prepare import NAMED_TABLES, folded
from scheduler.profile.problem import KeyPath
from scheduler.profile.raw_tables import (
    BYTE_ORDER_MARK,
    TomlValue,
    Where,
    inner,
    named_tables,
    path_of,
    tables_of,
    things,
)
from scheduler.profile.toml_edit import add_at, set_at, unset_at


@dataclass(frozen=True, slots=True)
class Set:
    """A value under a key; the tables on the way are made. A table replaces the whole one."""

    where: Where
    value: TomlValue


@dataclass(frozen=True, slots=True)
class Unset:
    """A key left out, or a thing or table with all that is in it; an emptied table goes, too."""

    where: Where


@dataclass(frozen=True, slots=True)
class Add:
    """A new item of an array, behind the others; tables among the values get their own headers."""

    where: Where
    values: Mapping[str, TomlValue]


Change = Set | Unset | Add


def changed(text: str, changes: Iterable[Change]) -> str:
    """The text with the changes, one after the other, each addressed in the text as it is then.

    A thing that is not there any more is left alone. One without a written id gets it written
    before it is renamed, so that it stays the same thing, and whatever names a house or a person
    goes on naming the same one.

    Raises:
        tomllib.TOMLDecodeError: the text is no TOML.
    """
    body = text.removeprefix(BYTE_ORDER_MARK)
    for change in changes:
        body = _pointing_as_before(body, _with(body, change), change)
    return text[: len(text) - len(text.removeprefix(BYTE_ORDER_MARK))] + body


def _with(text: str, change: Change) -> str:
    named = named_tables(text)
    path = path_of(change.where, named)
    if not path:
        return text
    match change:
        case Set():
            return set_at(_with_id(text, path, named), path, change.value)
        case Unset():
            return unset_at(text, path)
        case Add():
            return add_at(text, path, change.values)


def _with_id(text: str, path: KeyPath, named: Mapping[str, Any]) -> str:
    """The text with the id of the thing written, where a new name would make another of it."""
    thing = path[:2] if path[0] in NAMED_TABLES else path[:1]
    is_named = path[0] in (*NAMED_TABLES, "site") and path[len(thing) :] in ((), ("name",))
    written = inner(tables_of(text), thing)
    if not is_named or not isinstance(written, Mapping) or "id" in written:
        return text
    return set_at(text, (*thing, "id"), inner(named, (*thing, "id")))


def _pointing_as_before(before: str, after: str, change: Change) -> str:
    """The text in which what named a house or a person by its name or place still names it."""
    kind = change.where[0] if change.where else ""
    if after == before or kind not in {"coop", "person"}:
        return after
    was, now = named_tables(before), named_tables(after)
    are = {str(thing["id"]) for thing in things(now, str(kind))}
    ends = dict(_pointers(now, str(kind)))
    for where, thing_id in _pointers(was, str(kind)):
        to = _new_id(change) if change.where[1:] == (thing_id, "id") else thing_id
        path = path_of(where, now)
        if ends.get(where) != to and to in are and path and inner(now, path[:-1]) is not None:
            after = set_at(after, path, to)
    return after


def _new_id(change: Change) -> str:
    return str(change.value) if isinstance(change, Set) else ""


def _pointers(named: Mapping[str, Any], kind: str) -> Iterator[tuple[Where, str]]:
    """Each key that names a thing of that kind, with the thing's id."""
    if kind == "coop":
        for table in ("flock", "sensor"):
            for thing in things(named, table):
                if isinstance(thing.get("coop"), str):
                    yield (table, str(thing["id"]), "coop"), thing["coop"]
        return
    duty = named.get("duty")
    by_name: dict[str, str] = {}
    for person in things(named, "person"):
        by_name[folded(person["id"])] = str(person["id"])
        by_name.setdefault(folded(person.get("name")), str(person["id"]))
    for day, person in duty.items() if isinstance(duty, Mapping) else ():
        if folded(person) in by_name:
            yield ("duty", day), by_name[folded(person)]
