"""From bytes to raw TOML tables with the line of each key, or to what makes that impossible.

A profile may come from anywhere, so size, depth and characters are bounded before anything reads
it: what a parser needs minutes for is refused in well under a second.
"""

import re
import shlex
import tomllib
from dataclasses import dataclass
from typing import Any

from scheduler.profile.lines import key_lines
from scheduler.profile.not_toml import told
from scheduler.profile.problem import KeyPath, Problem
from scheduler.profile.text_fields import forbidden_character
from scheduler.wording.profile.file_words import NoProfile

LARGEST_BYTES = 1_000_000
_MOST_KEYS = 5_000  # two hundred flocks have 1,202; what follows is no profile
_DEEPEST = 20
_BYTE_ORDER_MARK = b"\xef\xbb\xbf"
_KEY_PART = r"""(?:[\w-]{1,99}|"[^"\n]{0,99}"|'[^'\n]{0,99}')"""
_LONG_DOTTED_KEY = re.compile(rf"""(?<![\w"'-]){_KEY_PART}(?:[ \t]*\.[ \t]*{_KEY_PART}){{20}}""")


@dataclass(frozen=True, slots=True)
class Raw:
    """The text, its tables as tomllib gives them, and the line of each key."""

    text: str
    tables: dict[str, Any]
    lines: dict[KeyPath, int]


def read(  # noqa: PLR0911 - each return is one reason to go no further
    content: bytes, file: str
) -> Raw | list[Problem]:
    """The raw tables, or the problems that stand before any key is looked at.

    `file` is named where a hint is the command that writes it.
    """
    if len(content) > LARGEST_BYTES:
        return [_problem(NoProfile.too_large(), NoProfile.not_so_large())]
    content = content.removeprefix(_BYTE_ORDER_MARK)
    try:
        text = content.decode("utf-8").replace("\r\n", "\n")
    except UnicodeDecodeError as error:
        return [_not_utf8(content, error.start)]
    if problems := _forbidden_characters(text):
        return problems
    if _LONG_DOTTED_KEY.search(text):
        return [_nested()]
    try:
        return _bounded(text, tomllib.loads(text), file)
    except tomllib.TOMLDecodeError as error:
        return [_syntax_problem(error, text)]
    except RecursionError:
        return [_nested()]
    except ValueError:  # Python's own bound on the digits of a whole number
        return [_problem(NoProfile.many_digits(), NoProfile.numbers())]


def _bounded(text: str, tables: dict[str, Any], file: str) -> Raw | list[Problem]:
    if not tables:
        hint = NoProfile.write_one(file=shlex.quote(file))
        return [_problem(NoProfile.empty(), NoProfile.not_empty(), hint)]
    if _depth_exceeds(tables, _DEEPEST):
        return [_nested()]
    lines = key_lines(text)
    if len(lines) > _MOST_KEYS:
        found = NoProfile.many_keys(keys=f"{len(lines):,}")
        return [_problem(found, NoProfile.fewer_keys(keys=f"{_MOST_KEYS:,}"))]
    return Raw(text, tables, lines)


def _problem(found: str, accepted: str, hint: str = "", line: int | None = None) -> Problem:
    return Problem(key=(), found=found, accepted=accepted, hint=hint, line=line)


def _nested() -> Problem:
    return _problem(NoProfile.nested(), NoProfile.less_nested(levels=_DEEPEST))


def _not_utf8(content: bytes, start: int) -> Problem:
    found = NoProfile.not_utf8(byte=f"0x{content[start]:02x}")
    line = content.count(b"\n", 0, start) + 1
    return _problem(found, NoProfile.utf8(), NoProfile.save_as_utf8(), line)


def _forbidden_characters(text: str) -> list[Problem]:
    problems = []
    for number, line in enumerate(text.split("\n"), start=1):
        if line.isascii() and line.isprintable():
            continue
        if character := forbidden_character(line.replace("\t", " ")):
            found = NoProfile.invisible(character=f"U+{ord(character):04X}")
            problems.append(_problem(found, NoProfile.visible(), line=number))
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
    return _problem(found, accepted, hint, line)
