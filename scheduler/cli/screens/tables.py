"""Plain tables and JSON for the terminal, no wider than it is."""

import json
import re
import shutil
import sys
import unicodedata
from collections.abc import Iterable, Iterator, Sequence
from datetime import date, datetime
from functools import cache

from scheduler.cli.terminal import is_terminal
from scheduler.profile.quantity import NO_BREAK
from scheduler.profile.words import instant

USUAL_WIDTH = 80  # where nobody can say how wide the terminal is
_GAP = "  "
_UNIT = re.compile(
    r"(?<=\d) (?=[°×%]|(?:am|pm|kg|g|L|mL|mm|cm|m|cm²|m²|m³/h|h|min|in|ft|sq|qt|gal|lb|oz)\b)"
)
# An address, a path, an id, a key of the profile: broken, it could not be copied.
_COPIED = re.compile(r"[A-Za-z0-9][-._/:@=]+[A-Za-z0-9]")
_JUDGED_ROWS = 60  # of a long table; the rest looks like them
_LEAST = 8  # columns narrower than this are read by nobody
_SHORT = 12  # a label, a time, a number with its unit
_WORTH = 1.25


def width_cells() -> int:
    """The terminal's width: COLUMNS, else the terminal's own word, else 80."""
    return shutil.get_terminal_size((USUAL_WIDTH, 24)).columns


def table(rows: Iterable[Sequence[str]], headings: Sequence[str] = (), *, indent: int = 0) -> str:
    """The rows in aligned columns, with the headings above them; trailing blanks cut.

    What is wider than the terminal is wrapped within its column; where even that is too wide,
    each row stands as lines of its own. Addresses, paths and ids are never broken.
    """
    lines = [list(row) for row in rows]
    every = [list(headings), *lines] if headings else lines
    room = max(width_cells() - indent, _LEAST)
    widths = _fitting(every, room)
    shown = _stacked(lines, headings, room) if widths is None else _aligned(every, widths)
    return "\n".join(f"{' ' * indent}{line}".rstrip() for line in shown)


def wrapped(text: str, *, indent: int = 0) -> str:
    """The text with every line after that indent, broken between words where a terminal ends.

    What goes to a file or another program stays on one line.
    """
    if not is_terminal(sys.stdout):
        return " " * indent + text.replace(NO_BREAK, " ")
    lines = _broken(text, max(width_cells() - indent, _LEAST))
    return "\n".join(" " * indent + line for line in lines)


def _fitting(rows: list[list[str]], room: int) -> list[int] | None:
    """The width of each column, narrowed where it costs the fewest lines; None if nothing helps.

    Short columns are kept whole where that costs less than a quarter more lines.
    """
    columns = list(zip(*rows, strict=True))
    widths = [max(map(_width, column)) for column in columns]
    least = [min(width, _narrowest(column)) for width, column in zip(widths, columns, strict=True)]
    whole = [w if w <= _SHORT else n for w, n in zip(widths, least, strict=True)]
    space = room - len(_GAP) * (len(widths) - 1)
    if sum(least) > space:
        return None
    judged = [column[:_JUDGED_ROWS] for column in columns]

    @cache
    def heights(column: int, width: int) -> list[int]:
        return [len(_broken(cell, width)) for cell in judged[column]]

    def lines(tried: Sequence[int]) -> int:
        each = zip(*(heights(number, width) for number, width in enumerate(tried)), strict=True)
        return sum(map(max, each))

    def narrowed(bounds: Sequence[int]) -> list[int]:
        found = list(widths)

        def cost(column: int) -> tuple[int, int]:
            tried = [width - (number == column) for number, width in enumerate(found)]
            return lines(tried), -found[column]

        while sum(found) > space:
            shrinkable = [number for number, width in enumerate(found) if width > bounds[number]]
            found[min(shrinkable, key=cost)] -= 1
        return found

    anywhere = narrowed(least)
    if sum(whole) > space:
        return anywhere
    kept = narrowed(whole)
    return kept if lines(kept) < lines(anywhere) * _WORTH else anywhere


def _narrowest(cells: Sequence[str]) -> int:
    """The longest word that is not to be broken, or as little as can still be read."""
    words = [word for cell in cells for word in _UNIT.sub(NO_BREAK, cell).split(" ")]
    whole = [_width(word) for word in words if _COPIED.search(word)]
    longest = max(map(_width, words), default=0)
    return max([min(longest, 2 * _LEAST), *whole], default=_LEAST)


def _aligned(rows: list[list[str]], widths: list[int]) -> Iterator[str]:
    for row in rows:
        cells = [_broken(cell, width) for cell, width in zip(row, widths, strict=True)]
        for number in range(max(map(len, cells))):
            parts = [cell[number] if number < len(cell) else "" for cell in cells]
            shown = (
                text + " " * (width - _width(text))
                for text, width in zip(parts, widths, strict=True)
            )
            yield _GAP.join(shown)


def _stacked(rows: list[list[str]], headings: Sequence[str], room: int) -> Iterator[str]:
    """Each row as lines of its own, for a terminal too narrow for columns."""
    for row in rows:
        first, *rest = zip(headings or [""] * len(row), row, strict=True)
        yield from _broken(first[1].strip() or "–", room)
        for heading, cell in rest:
            said = f"{heading.strip()}: {cell}" if heading.strip() else cell
            for line in _broken(said, room - len(_GAP)) if cell.strip() else ():
                yield _GAP + line


def _broken(text: str, width: int) -> list[str]:
    """The text in lines of that many cells; blanks at its beginning stand before each line."""
    if _width(text) <= width:
        return [text.replace(NO_BREAK, " ")]
    lead = text[: len(text) - len(text.lstrip(" "))]
    room = max(width - len(lead), 1)
    lines = [""]
    for word in _UNIT.sub(NO_BREAK, text).split(" "):
        for piece in _pieces(word, room):
            if lines[-1] and _width(lines[-1]) + 1 + _width(piece) > room:
                lines.append(piece)
            else:
                lines[-1] = f"{lines[-1]} {piece}".lstrip(" ")
    return [lead + line.replace(NO_BREAK, " ") for line in lines]


def _pieces(word: str, room: int) -> Iterator[str]:
    """The word, cut where it is longer than a line; what is copied never is."""
    if _width(word) <= room or _COPIED.search(word):
        yield word
        return
    piece = ""
    for character in word:
        if piece and _width(piece + character) > room:
            yield piece
            piece = ""
        piece += character
    yield piece


def _width(text: str) -> int:
    """Terminal cells: wide East Asian characters and emoji take two, combining marks none."""
    if text.isascii():
        return len(text)
    return sum(
        0
        if unicodedata.combining(c) or c in "\u200b\u200c\u200d\ufe0f"
        else 1 + (unicodedata.east_asian_width(c) in "WF")
        for c in text
    )


def as_json(value: object) -> str:
    """One line of JSON, times in UTC; any script stands as it is where the output can carry it."""
    # A program started with its output closed has None in its place.
    encoding = sys.stdout.encoding if sys.stdout else ""
    carries_all = (encoding or "").lower().replace("-", "") == "utf8"
    return json.dumps(value, ensure_ascii=not carries_all, default=_as_text)


def _as_text(value: object) -> str:
    if isinstance(value, datetime):
        return instant(value)
    if isinstance(value, date):
        return value.isoformat()
    raise TypeError(value)
