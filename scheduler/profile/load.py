"""From a profile file to a Profile, or to everything that is wrong with it, all at once.

This is the one place in the pure half of the house that reads a keeper's file.
"""

from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from scheduler.profile.disagreements import disagreements
from scheduler.profile.explain import explained, is_known
from scheduler.profile.package_data import zone
from scheduler.profile.prepare import prepare, region_of
from scheduler.profile.problem import KeyPath, Problem, located
from scheduler.profile.raw import LARGEST_BYTES, read
from scheduler.profile.secrecy import redacted, reported, secrets
from scheduler.profile.values import Profile

_MOST_READINGS = 4

Problems = tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """A usable profile, with its text and the line of each key for problems other rooms find."""

    profile: Profile
    text: str
    file: str
    lines: dict[KeyPath, int]

    def located(self, problems: list[Problem]) -> Problems:
        """The problems with file and line, in line order."""
        return located(problems, file=self.file, lines=self.lines)


def load(path: Path, today: date) -> Loaded | Problems:
    """The profile in the file, or all its problems in line order.

    Raises:
        OSError: the file cannot be read.
    """
    with path.open("rb") as file:
        content = file.read(LARGEST_BYTES + 1)
    return parse(content, file=str(path), today=today)


def parse(content: bytes, *, file: str, today: date) -> Loaded | Problems:
    """As `load`, for content already read; `file` is the name that problems carry."""
    raw = read(content)
    if isinstance(raw, list):
        return located(raw, file=file, lines={})
    tables = raw.tables
    hidden = tuple(secrets(tables))
    problems = [*prepare(tables), *disagreements(tables)]
    context = {"region": region_of(tables), "zone": zone, "today": today}
    profile = _read(tables, context)
    if isinstance(profile, list):
        problems += profile
    problems = [*reported(hidden), *redacted(problems, hidden)]
    if problems or isinstance(profile, list):
        return located(problems, file=file, lines=raw.lines)
    return Loaded(profile=profile, text=raw.text, file=file, lines=raw.lines)


def _read(tables: dict[str, Any], context: dict[str, Any]) -> Profile | list[Problem]:
    """The profile, or its problems.

    A table whose keys are wrong is not held against its own other keys ("0 birds"), so what is
    wrong is taken out and the rest is read again.
    """
    problems: dict[Problem, None] = {}
    taken: set[KeyPath] = set()
    for _ in range(_MOST_READINGS):
        try:
            profile = Profile.model_validate(tables, context=context, by_alias=True, by_name=False)
        except ValidationError as error:
            errors = error.errors(include_url=False)
            found = [problem for details in errors for problem in explained(details)]
            problems |= dict.fromkeys(p for p in found if not _is_echo(p, taken))
            wrong = {tuple(details["loc"]) for details in errors} - taken
            taken |= wrong
            taken_out = [_take_out(tables, path) for path in sorted(wrong, key=_last_first)]
            if not any(taken_out):
                break
        else:
            return list(problems) if problems else profile
    return list(problems)


def _is_echo(problem: Problem, taken: set[KeyPath]) -> bool:
    """Whether the problem only stands because a wrong value of its key or table was taken out."""
    inside = {path for path in taken if path[:-1] == problem.key and is_known(path)}
    return problem.key in taken or bool(inside)


def _last_first(path: KeyPath) -> tuple[tuple[int, str], ...]:
    # Later items of a list go first, so that the others keep their place.
    return tuple((-part, "") if isinstance(part, int) else (0, part) for part in path)


def _take_out(tables: dict[str, Any], path: KeyPath) -> bool:
    inner: Any = tables
    for part in path[:-1]:
        if isinstance(inner, list) and isinstance(part, int):
            inner = inner[part]
        elif isinstance(inner, dict):
            inner = inner.get(part)
        else:
            return False
    if isinstance(inner, dict) and path and path[-1] in inner:
        del inner[path[-1]]
        return True
    return False
