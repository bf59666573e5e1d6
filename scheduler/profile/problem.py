"""A problem is something a person wrote that cannot be used: a value, not an exception.

Every room reports problems by key path; the line is looked up once, where they are shown.
"""

import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, replace
from datetime import date
from difflib import get_close_matches

from scheduler.wording.profile.problem_words import Meant, SaidOfProblem, ShownValue

KeyPath = tuple[str | int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Problem:
    """What was found under `key`, what is accepted there, and a hint that may help."""

    key: KeyPath
    found: str
    accepted: str
    hint: str = ""
    file: str = ""
    line: int | None = None

    def __str__(self) -> str:
        """One line: where, what was found, what is accepted, the hint."""
        where = f"{self.file}:{self.line}" if self.line else self.file
        parts = [f"{where}: " if where else "", f"{dotted(self.key)}: " if self.key else ""]
        hint = f" {self.hint}" if self.hint else ""
        told = SaidOfProblem.told(found=self.found, accepted=self.accepted)
        return _printable(f"{''.join(parts)}{told}{hint}")


class Unreadable(ValueError):  # noqa: N818 - it says what the text is, not that we failed
    """A value that a reader cannot use; carries what is accepted instead and a hint."""

    def __init__(self, accepted: str, hint: str = "") -> None:
        super().__init__(accepted)
        self.accepted = accepted
        self.hint = hint


def dotted(key: KeyPath) -> str:
    """`("coop", 0, "floor")` reads `coop[1].floor`: people count from one."""
    text = ""
    for part in key:
        if isinstance(part, int):
            text += f"[{part + 1}]"
        else:
            text += f".{part}" if text else part
    return text


_OTHER_ORDER = re.compile(r"(\d{1,2})([./-])(\d{1,2})\2(\d{4})")


def meant_day(text: str) -> str:
    """A sentence naming the day that is written in another order, or nothing where two could be."""
    written = _OTHER_ORDER.fullmatch(text.strip())
    if not written:
        return ""
    first, mark, second, year = written.groups()
    orders = [(second, first)] if mark == "." else [(second, first), (first, second)]
    found = set()
    for month, day in orders:
        with suppress(ValueError):
            found.add(date(int(year), int(month), int(day)))
    return Meant.day(day=found.pop()) if len(found) == 1 else ""


_SHORTENED = 3  # letters of a beginning: sat is too far from saturday for a misspelling


def nearest(word: str, known: Iterable[str]) -> str:
    """A sentence naming the known spelling closest to `word`, or nothing when none is close."""
    spelling = nearest_spelling(word, known)
    return Meant.spelling(spelling=spelling) if spelling is not None else ""


def nearest_spelling(word: str, known: Iterable[str]) -> str | None:
    """The known spelling closest to `word`; None when none is close."""
    by_fold = {spelling.casefold(): spelling for spelling in known}
    said = word.casefold().rstrip(".")
    match = get_close_matches(said, sorted(by_fold), n=1, cutoff=0.6)
    if not match and len(said) >= _SHORTENED:
        begun = [spelling for spelling in by_fold if spelling.startswith(said)]
        match = begun if len(begun) == 1 else []
    return by_fold[match[0]] if match else None


def shown(value: object, *, longest: int = 60) -> str:
    """The value as a person would recognise it in the file, shortened and free of controls."""
    if isinstance(value, Mapping):
        return ShownValue.table()
    if isinstance(value, list | tuple):
        return ShownValue.several()
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, int) and abs(value) >= 10**longest:
        return ShownValue.large()
    text = _printable(f'"{value[: 2 * longest]}"' if isinstance(value, str) else str(value))
    return text if len(text) <= longest else f"{text[: longest - 1]}…"


def _printable(text: str) -> str:
    return "".join(c if c.isprintable() else f"\\u{ord(c):04x}" for c in text)


def located(
    problems: Iterable[Problem], *, file: str, lines: dict[KeyPath, int]
) -> tuple[Problem, ...]:
    """The problems with file and line filled in, in line order, each said once.

    A key that is not in the file takes the line of the nearest table around it.
    """
    placed = []
    for problem in dict.fromkeys(problems):
        path = problem.key
        while path and path not in lines:
            path = path[:-1]
        line = problem.line or lines.get(path)
        placed.append(replace(problem, file=file, line=line))
    return tuple(sorted(placed, key=lambda p: (p.line or 0, [_counted(part) for part in p.key])))


def _counted(part: str | int) -> str:
    return f"{part:09}" if isinstance(part, int) else part
