"""Which line of a TOML text each key stands on; tomllib does not tell.

The text has already been accepted by tomllib, so this scanner only has to find its way.
"""

import re
import tomllib
from collections.abc import Iterator

from scheduler.profile.problem import KeyPath

_GAP = re.compile(r"(?:[ \t\r\n]|#[^\n]*)*")
_SPACE = re.compile(r"[ \t]*")
_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
_STRING = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|' r"'''.*?'{3,5}|" r'"(?:[^"\\\n]|\\.)*"|' r"'[^'\n]*'", re.DOTALL
)
_SCALAR = re.compile(r"[^,\]}\n#]*")


def key_lines(text: str) -> dict[KeyPath, int]:
    """Maps each key path (tables of an array by index) to the line, from 1, that it starts on."""
    return _Scanner(text).scan()


class _Scanner:
    def __init__(self, text: str) -> None:
        self._text = text
        self._at = 0
        self._counted_to = 0
        self._line = 1
        self._lines: dict[KeyPath, int] = {}
        self._array_sizes: dict[KeyPath, int] = {}

    def scan(self) -> dict[KeyPath, int]:
        table: KeyPath = ()
        while self._skip(_GAP) < len(self._text):
            if self._text[self._at] == "[":
                table = self._header()
            else:
                self._pair(table)
        return self._lines

    def _header(self) -> KeyPath:
        line = self._line_here()
        is_array = self._text.startswith("[[", self._at)
        self._at += 2 if is_array else 1
        keys = self._dotted_key()
        self._at = self._text.index("]", self._at) + (2 if is_array else 1)
        above = self._resolve(keys[:-1])
        for count in range(1, len(above) + 1):
            self._lines.setdefault(above[:count], line)
        path = above + keys[-1:]
        if is_array:
            index = self._array_sizes.get(path, 0)
            self._array_sizes[path] = index + 1
            self._lines.setdefault(path, line)
            path = (*path, index)
        self._lines[path] = line
        return path

    def _resolve(self, keys: KeyPath) -> KeyPath:
        path: KeyPath = ()
        for key in keys:
            path = (*path, key)
            if path in self._array_sizes:
                path = (*path, self._array_sizes[path] - 1)
        return path

    def _pair(self, table: KeyPath) -> None:
        line = self._line_here()
        keys = self._dotted_key()
        for count in range(1, len(keys) + 1):
            self._lines.setdefault(table + keys[:count], line)
        self._skip(_SPACE)
        self._at += 1  # the equals sign
        self._skip(_SPACE)
        self._value(table + keys)

    def _value(self, path: KeyPath) -> None:
        opening = self._text[self._at : self._at + 1]
        if opening == "[":
            for index, _ in enumerate(self._until("]")):
                self._lines[(*path, index)] = self._line_here()
                self._value((*path, index))
        elif opening == "{":
            for _ in self._until("}"):
                self._pair(path)
        elif string := _STRING.match(self._text, self._at):
            self._at = string.end()
        else:
            self._skip(_SCALAR)

    def _until(self, closing: str) -> Iterator[None]:
        """Stops at each item before that bracket."""
        self._at += 1
        while self._text[self._skip(_GAP)] != closing:
            if self._text[self._at] == ",":
                self._at += 1
            else:
                yield
        self._at += 1

    def _dotted_key(self) -> KeyPath:
        keys: list[str | int] = []
        while True:
            self._skip(_SPACE)
            if quoted := _STRING.match(self._text, self._at):
                keys.append(str(tomllib.loads(f"key = {quoted[0]}")["key"]))
                self._at = quoted.end()
            else:
                start = self._at
                keys.append(self._text[start : self._skip(_BARE_KEY)])
            self._skip(_SPACE)
            if self._text[self._at] != ".":
                return tuple(keys)
            self._at += 1

    def _skip(self, pattern: re.Pattern[str]) -> int:
        if match := pattern.match(self._text, self._at):
            self._at = match.end()
        return self._at

    def _line_here(self) -> int:
        self._line += self._text.count("\n", self._counted_to, self._at)
        self._counted_to = self._at
        return self._line
