"""From bytes to raw TOML tables with the line of each key, or to what makes that impossible.

A profile may come from anywhere, so size, depth and characters are bounded before anything reads
it: what a parser needs minutes for is refused in well under a second.
"""

import re
import tomllib
from dataclasses import dataclass
from typing import Any

from scheduler.profile.lines import key_lines
from scheduler.profile.not_toml import told
from scheduler.profile.problem import KeyPath, Problem
from scheduler.profile.text_fields import forbidden_character

LARGEST_BYTES = 1_000_000
_MOST_KEYS = 5_000  # two hundred flocks have 1,202; what follows is no profile
_DEEPEST = 20
_BYTE_ORDER_MARK = b"\xef\xbb\xbf"
_KEY_PART = r"""(?:[\w-]{1,99}|"[^"\n]{0,99}"|'[^'\n]{0,99}')"""
_LONG_DOTTED_KEY = re.compile(rf"""(?<![\w"'-]){_KEY_PART}(?:[ \t]*\.[ \t]*{_KEY_PART}){{20}}""")
_NESTED = Problem(key=(), found="brackets nested too deeply", accepted=f"at most {_DEEPEST} levels")

_EMPTY = Problem(
    key=(),
    found="nothing but blank lines and comments",
    accepted="a profile with [site], [[coop]] and [[flock]]",
    hint="Write one with: duskfold init --force --profile FILE (or copy one from config/).",
)


@dataclass(frozen=True, slots=True)
class Raw:
    """The text, its tables as tomllib gives them, and the line of each key."""

    text: str
    tables: dict[str, Any]
    lines: dict[KeyPath, int]


def read(  # noqa: PLR0911 - each return is one reason to go no further
    content: bytes,
) -> Raw | list[Problem]:
    """The raw tables, or the problems that stand before any key is looked at."""
    if len(content) > LARGEST_BYTES:
        found = "a file of more than 1 MB"
        return [Problem(key=(), found=found, accepted="a profile of at most 1 MB")]
    content = content.removeprefix(_BYTE_ORDER_MARK)
    try:
        text = content.decode("utf-8").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        return [_not_utf8(content, error.start)]
    if problems := _forbidden_characters(text):
        return problems
    if _LONG_DOTTED_KEY.search(text):
        return [_NESTED]
    try:
        return _bounded(text, tomllib.loads(text))
    except tomllib.TOMLDecodeError as error:
        return [_syntax_problem(error, text)]
    except RecursionError:
        return [_NESTED]
    except ValueError:  # Python's own bound on the digits of a whole number
        return [Problem(key=(), found="a number with thousands of digits", accepted="numbers")]


def _bounded(text: str, tables: dict[str, Any]) -> Raw | list[Problem]:
    if not tables:
        return [_EMPTY]
    if _depth_exceeds(tables, _DEEPEST):
        return [_NESTED]
    lines = key_lines(text)
    if len(lines) > _MOST_KEYS:
        accepted = f"at most {_MOST_KEYS:,} keys and tables"
        return [Problem(key=(), found=f"{len(lines):,} of them", accepted=accepted)]
    return Raw(text, tables, lines)


def _not_utf8(content: bytes, start: int) -> Problem:
    return Problem(
        key=(),
        found=f"a byte that is not UTF-8 (0x{content[start]:02x})",
        accepted="UTF-8 text",
        hint="Save the file as UTF-8.",
        line=content.count(b"\n", 0, start) + 1,
    )


def _forbidden_characters(text: str) -> list[Problem]:
    problems = []
    for number, line in enumerate(text.split("\n"), start=1):
        if line.isascii() and line.isprintable():
            continue
        if character := forbidden_character(line.replace("\t", " ")):
            found = f"the invisible character U+{ord(character):04X}"
            accepted = "text without control and direction characters"
            problems.append(Problem(key=(), found=found, accepted=accepted, line=number))
    return problems[:20]


def _depth_exceeds(value: object, levels: int) -> bool:
    if not isinstance(value, dict | list):
        return False
    inner = value.values() if isinstance(value, dict) else value
    return levels == 0 or any(_depth_exceeds(part, levels - 1) for part in inner)


def _syntax_problem(error: tomllib.TOMLDecodeError, text: str) -> Problem:
    place = re.search(r"\(at line (\d+), column (\d+)\)", str(error))
    line = int(place[1]) if place else text.rstrip("\n").count("\n") + 1
    written = text.split("\n")[line - 1]
    found, accepted, hint = told(
        str(error).split(" (at ")[0], written, int(place[2]) if place else None
    )
    return Problem(key=(), found=found, accepted=accepted, hint=hint, line=line)
