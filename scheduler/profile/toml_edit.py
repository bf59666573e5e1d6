"""One key or table of a TOML text set, left out or added; every other character stays.

Paths lead through tables by key and through arrays by position, whether those are written with
headers, with dotted keys or in braces.
"""

from collections.abc import Mapping
from itertools import takewhile
from typing import Any

from scheduler.profile.problem import KeyPath
from scheduler.profile.raw_tables import TomlValue, inner, same, tables_of
from scheduler.profile.toml_blocks import Block, Statement, blocks
from scheduler.profile.toml_value import (
    value_of,
    with_inner,
    with_item,
    without_inner,
    written,
    written_key,
)


def set_at(text: str, path: KeyPath, value: TomlValue) -> str:
    """The text with that value under the path; a table replaces the whole one."""
    before = inner(tables_of(text), path)
    if before is not None and same(before, value):
        return text
    if isinstance(value, Mapping):
        return _set_table(text, path, value, before)
    if _are_tables(value) or (value == [] and _are_tables(before)):
        text = unset_at(text, path)
        for item in value if isinstance(value, list) else ():
            text = add_at(text, path, item)  # type: ignore[arg-type] # all of them are tables
        return text
    if isinstance(before, dict) or _are_tables(before):
        text = unset_at(text, path)
    return _set_key(text, path, value)


def unset_at(text: str, path: KeyPath) -> str:
    """The text without that key, table or item, and without a table that this leaves empty."""
    if inner(tables_of(text), path) is None:
        return text
    for block in reversed(blocks(text)):
        if block.path and _begins(block.path, path):
            text = _without_lines(text, block.start, block.end)
    holder, rest = _holder(text, path)
    for statement in reversed(holder.statements):
        if statement.key[: len(rest)] == rest:
            text = text[: statement.start] + text[statement.end :]
        elif _begins(rest, statement.key):
            value = text[statement.value_start : statement.value_end]
            edited = without_inner(value, rest[len(statement.key) :])
            if edited != value and value_of(edited) in ({}, []):
                text = text[: statement.start] + text[statement.end :]
            else:
                text = _with_value(text, statement, edited)
    return _without_empty(text, path[:-1])


def add_at(text: str, path: KeyPath, values: Mapping[str, TomlValue]) -> str:
    """The text with one more item of the array under the path, behind the others."""
    holder, rest = _holder(text, path)
    for statement in holder.statements:
        if _begins(rest, statement.key):
            value = text[statement.value_start : statement.value_end]
            added = with_item(value, rest[len(statement.key) :], values)
            return _with_value(text, statement, added)
    items = inner(tables_of(text), path)
    number = len(items) if isinstance(items, list) else 0
    own = {key: value for key, value in values.items() if not _has_header(value)}
    text = _with_block(text, path, own, is_item=True)
    for key, inside in values.items():
        if _has_header(inside):
            text = set_at(text, (*path, number, key), inside)
    return text


def _set_table(text: str, path: KeyPath, values: Mapping[str, TomlValue], before: Any) -> str:  # noqa: ANN401 - TOML gives any type
    if before is not None and not isinstance(before, dict):
        text = unset_at(text, path)
        before = None
    for key, value in values.items():
        text = set_at(text, (*path, key), value)
    for key in before or ():
        if key not in values:
            text = unset_at(text, (*path, key))
    return text


def _set_key(text: str, path: KeyPath, value: TomlValue) -> str:
    holder, rest = _holder(text, path)
    for statement in holder.statements:
        if statement.key == rest:
            return _with_value(text, statement, written(value))
        if _begins(rest, statement.key):
            old = text[statement.value_start : statement.value_end]
            return _with_value(text, statement, with_inner(old, rest[len(statement.key) :], value))
    return _new_key(text, holder, path, value)


def _new_key(text: str, holder: Block, path: KeyPath, value: TomlValue) -> str:
    rest = path[len(holder.path) :]
    names = [part for part in rest if isinstance(part, str)]
    if len(names) < len(rest):
        return text  # an item that is not there
    if beside := _dotted_beside(holder, rest):
        return _with_lines(text, beside.end, f"{'.'.join(map(written_key, names))} = ", value)
    if len(rest) > 1:
        return _with_block(text, path[:-1], {names[-1]: value}, is_item=False)
    key = f"{written_key(names[0])} = "
    if holder.path or holder.statements:
        return _with_lines(text, holder.last, key, value)
    return _first_of_all(text, holder, f"{key}{written(value)}")


def _holder(text: str, path: KeyPath) -> tuple[Block, KeyPath]:
    """The block in whose lines a key of that path stands, or would, and its key there."""
    found = [block for block in blocks(text) if _begins(path, block.path) and block.path != path]
    holder = max(found, key=lambda block: len(block.path))
    return holder, path[len(holder.path) :]


def _dotted_beside(holder: Block, rest: KeyPath) -> Statement | None:
    """The last of the dotted keys that make the table in which the key stands."""
    found = [
        statement
        for statement in reversed(holder.statements)
        if len(rest) > 1 and statement.key[:1] == rest[:1] and len(statement.key) > 1
    ]
    return max(found, key=lambda statement: len(_shared(statement.key, rest)), default=None)


def _shared(one: KeyPath, other: KeyPath) -> KeyPath:
    pairs = takewhile(lambda pair: pair[0] == pair[1], zip(one, other, strict=False))
    return tuple(pair[0] for pair in pairs)


def _begins(path: KeyPath, start: KeyPath) -> bool:
    return path[: len(start)] == start


def _are_tables(value: object) -> bool:
    return (
        isinstance(value, list) and bool(value) and all(isinstance(one, Mapping) for one in value)
    )


def _has_header(value: object) -> bool:
    return isinstance(value, Mapping) or _are_tables(value)


def _with_value(text: str, statement: Statement, value: str) -> str:
    return text[: statement.value_start] + value + text[statement.value_end :]


def _newline(text: str) -> str:
    return "\r\n" if "\r\n" in text else "\n"


def _with_lines(text: str, at: int, key: str, value: TomlValue) -> str:
    newline = _newline(text)
    before = text[:at]
    if before and not before.endswith("\n"):
        before += newline
    return f"{before}{key}{written(value)}{newline}{text[at:]}"


def _first_of_all(text: str, first: Block, line: str) -> str:
    """The first key of a text that so far has none before its first header."""
    return _in_paragraph(text, first.end, line + _newline(text))


def _with_block(text: str, path: KeyPath, values: Mapping[str, TomlValue], *, is_item: bool) -> str:
    newline = _newline(text)
    name = ".".join(written_key(part) for part in path if isinstance(part, str))
    lines = [f"[[{name}]]" if is_item else f"[{name}]"]
    lines += [f"{written_key(key)} = {written(value)}" for key, value in values.items()]
    block = "".join(f"{line}{newline}" for line in lines)
    return _in_paragraph(text, _place_for(text, path), block)


def _place_for(text: str, path: KeyPath) -> int:
    """Behind the last block of the nearest thing above that has any, else behind all."""
    every = blocks(text)
    for length in range(len(path), 0, -1):
        around = [block for block in every if _begins(block.path, path[:length])]
        if around:
            return around[-1].end
    return len(text)


def _in_paragraph(text: str, at: int, lines: str) -> str:
    newline = _newline(text)
    before, after = text[:at], text[at:]
    if before and not before.endswith("\n"):
        before += newline
    if before and not _ends_blank(before):
        before += newline
    if after and after.partition("\n")[0].strip():
        after = newline + after
    return f"{before}{lines}{after}"


def _without_lines(text: str, start: int, end: int) -> str:
    """The text without a paragraph; of the blank lines around it those before it stay."""
    before, after = text[:start], text[end:]
    if not before or _ends_blank(before):
        while after and not after.partition("\n")[0].strip():
            after = after.partition("\n")[2]
        if not after:
            before = before.removesuffix(_last_line(before)) if before else before
    return before + after


def _last_line(text: str) -> str:
    return text[text.rfind("\n", 0, len(text) - 1) + 1 :]


def _ends_blank(text: str) -> bool:
    return text.endswith("\n") and not _last_line(text).strip()


def _without_empty(text: str, path: KeyPath) -> str:
    """The text without the table and those around it that have no key any more; items stay."""
    while path and isinstance(path[-1], str) and inner(tables_of(text), path) == {}:
        for block in blocks(text):
            if block.path == path:
                text = _without_lines(text, block.start, block.end)
                break
        path = path[:-1]
    return text
