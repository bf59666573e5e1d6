"""Where each table and each key of a TOML text stands, by character: what an edit has to know.

The text has already been accepted by tomllib, so this scanner only has to find its way.
"""

import re
import tomllib
from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.profile.problem import KeyPath

_STRING = (
    r'"""(?:\\.|[^\\])*?"""(?:"{1,2})?'
    r"|'''.*?'''(?:'{1,2})?"
    r'|"(?:\\.|[^"\\\n])*"'
    r"|'[^'\n]*'"
)
_KEY = re.compile(rf"(?:{_STRING}|[^\"'=])*", re.DOTALL)
_BARE_KEYS = re.compile(r"[A-Za-z0-9_. \t-]+")
_IN_VALUE = re.compile(
    rf"(?P<string>{_STRING})|(?P<comment>#[^\n]*)|(?P<bracket>[\[\]{{}}])|(?P<line>\r?\n)"
    r"|(?P<blank>[ \t]+)|(?P<other>[^\"'#\[\]{}\r\n \t]+)",
    re.DOTALL,
)
_HEADER = re.compile(
    rf"[ \t]*(?P<open>\[\[?)(?P<name>(?:{_STRING}|[^\"'\[\]#\n])*)\]\]?[^\n]*\n?", re.DOTALL
)
_LINE = re.compile(r"[^\n]*\n?")
_NOTHING = re.compile(r"[ \t]*(?:#[^\n]*|\r?\n|$)")


@dataclass(frozen=True, slots=True)
class Statement:
    """A key with its value: `start` to `end` are its whole lines, with a comment behind it."""

    key: tuple[str, ...]
    start: int
    value_start: int
    value_end: int
    end: int


@dataclass(frozen=True, slots=True)
class Block:
    """A header with what follows it up to the next one; the first has no header and no path.

    `path` says which item of an array it is. The block ends its own lines at `end`: comments after
    a blank line, or right above the next header, are not its own.
    """

    path: KeyPath
    start: int
    body: int
    statements: tuple[Statement, ...]
    end: int

    @property
    def last(self) -> int:
        """Where a further key of it is written: behind the last one."""
        return self.statements[-1].end if self.statements else self.body


def blocks(text: str) -> tuple[Block, ...]:
    """Every block, in the order of the text; the first is that before any header."""
    return tuple(_blocks(text))


def _blocks(text: str) -> Iterator[Block]:
    sizes: dict[KeyPath, int] = {}
    path: KeyPath = ()
    start = body = at = 0
    statements: list[Statement] = []
    while at < len(text):
        if _NOTHING.match(text, at):
            at = _line_end(text, at)
        elif header := _HEADER.match(text, at):
            yield _block(text, path, start, body, statements, at)
            path = _path(_keys(header["name"]), sizes, is_item=len(header["open"]) > 1)
            start, at, statements = at, header.end(), []
            body = at
        else:
            statements.append(_statement(text, at))
            at = statements[-1].end
    yield _block(text, path, start, body, statements, at)


def _block(  # noqa: PLR0913, PLR0917 - what the loop has gathered
    text: str, path: KeyPath, start: int, body: int, statements: list[Statement], before: int
) -> Block:
    last = statements[-1].end if statements else body
    return Block(path, start, body, tuple(statements), _own_end(text, last, before))


def _own_end(text: str, last: int, before: int) -> int:
    """The end of the comments that go on right below, unless they lead to the next header."""
    at = last
    while at < before:
        end = _line_end(text, at)
        if not text[at:end].strip():
            return at
        at = end
    return last if at < len(text) else at


def _path(keys: tuple[str, ...], sizes: dict[KeyPath, int], *, is_item: bool) -> KeyPath:
    path: KeyPath = ()
    for number, key in enumerate(keys, start=1):
        path = (*path, key)
        if is_item and number == len(keys):
            sizes[path] = sizes.get(path, 0) + 1
        if path in sizes:
            path = (*path, sizes[path] - 1)
    return path


def _statement(text: str, start: int) -> Statement:
    key = _KEY.match(text, start)
    equals = key.end() if key else start
    value_start, end = _value_span(text, equals + 1)
    value_end, at = end, end
    while at < len(text) and text[at] in " \t":
        at += 1
    return Statement(_keys(text[start:equals]), start, value_start, value_end, _line_end(text, at))


def _value_span(text: str, at: int) -> tuple[int, int]:
    while at < len(text) and text[at] in " \t":
        at += 1
    start = end = at
    depth = 0
    while found := _IN_VALUE.match(text, at):
        if not depth and found.lastgroup in {"comment", "line"}:
            break
        if found.lastgroup == "bracket":
            depth += 1 if found[0] in "[{" else -1
        if found.lastgroup != "blank":
            end = found.end()
        at = found.end()
    return start, end


def _keys(written: str) -> tuple[str, ...]:
    """The parts of a key, dotted or quoted."""
    if _BARE_KEYS.fullmatch(written):  # nearly every one, and tomllib takes twenty times as long
        return tuple(part.strip() for part in written.split("."))
    found: object = tomllib.loads(f"{written.strip()} = 0")
    parts = []
    while isinstance(found, dict):
        ((part, found),) = found.items()
        parts.append(part)
    return tuple(parts)


def _line_end(text: str, at: int) -> int:
    line = _LINE.match(text, at)
    return line.end() if line else at
