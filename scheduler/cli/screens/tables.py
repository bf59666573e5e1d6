"""Plain tables and JSON for the terminal."""

import json
import sys
import unicodedata
from collections.abc import Iterable, Sequence


def table(rows: Iterable[Sequence[str]], headings: Sequence[str] = ()) -> str:
    """The rows in aligned columns, with the headings above them; trailing blanks cut."""
    lines = [list(row) for row in rows]
    every = [list(headings), *lines] if headings else lines
    widths = [max(_width(row[column]) for row in every) for column in range(len(every[0]))]
    return "\n".join(
        "  ".join(_padded(cell, width) for cell, width in zip(row, widths, strict=True)).rstrip()
        for row in every
    )


def _width(text: str) -> int:
    """Terminal cells: wide East Asian characters and emoji take two, combining marks none."""
    return sum(
        0
        if unicodedata.combining(c) or c == "\u200d"
        else 1 + (unicodedata.east_asian_width(c) in "WF")
        for c in text
    )


def _padded(text: str, width: int) -> str:
    return text + " " * (width - _width(text))


def as_json(value: object) -> str:
    """One line of JSON; any script stands as it is where the output can carry it."""
    carries_all = (sys.stdout.encoding or "").lower().replace("-", "") == "utf8"
    return json.dumps(value, ensure_ascii=not carries_all)
