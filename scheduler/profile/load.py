"""From a profile file to a Profile, or to everything that is wrong with it, all at once.

This is the one place in the pure half of the house that reads a keeper's file.
"""

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from scheduler.profile.disagreements import disagreements
from scheduler.profile.explain import counts_birds, explained, is_known
from scheduler.profile.package_data import catalogue, climate_map, zone
from scheduler.profile.prepare import prepare, region_of
from scheduler.profile.problem import KeyPath, Problem, located
from scheduler.profile.raw import LARGEST_BYTES, read
from scheduler.profile.secrecy import redacted, reported, secrets
from scheduler.profile.values import Profile

_MOST_READINGS = 4
_MOST_SECRETS = 50

Problems = tuple[Problem, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Loaded:
    """A usable profile, with its text and the line of each key for problems other rooms find."""

    profile: Profile
    text: str
    file: str
    lines: dict[KeyPath, int]


Judge = Callable[[Profile], Iterable[Problem]]


def load(path: Path, today: date, judge: Judge) -> Loaded | Problems:
    """The profile in the file, or all its problems in line order.

    `judge` says what other rooms find wrong with it.

    Raises:
        OSError: the file cannot be read.
    """
    with path.open("rb") as file:
        content = file.read(LARGEST_BYTES + 1)
    return parse(content, file=str(path), today=today, judge=judge)


def parse(
    content: bytes, *, file: str, today: date, judge: Judge = lambda _: ()
) -> Loaded | Problems:
    """As `load`, for content already read; `file` is the name that problems carry."""
    raw = read(content, file)
    if isinstance(raw, list):
        return located(raw, file=file, lines={})
    tables = raw.tables
    hidden = tuple(secrets(tables))
    if len(hidden) > _MOST_SECRETS:
        return located(reported(hidden[:_MOST_SECRETS]), file=file, lines=raw.lines)
    problems = [*prepare(tables), *disagreements(tables, tuple(catalogue()["care"]))]
    context = {
        "region": region_of(tables),
        "zone": zone,
        "today": today,
        "climate_map": climate_map(),
    }
    profile, wrong = _read(tables, context)
    known = {problem.key for problem in problems}
    # Which houses or people there are says more of a wrong name than how it is spelled.
    problems += [one for one in wrong if not (_names_a_thing(one.key) and one.key in known)]
    if profile:
        problems += judge(profile)
    problems = [*reported(hidden), *redacted(problems, hidden)]
    if problems or not profile:
        return located(problems, file=file, lines=raw.lines)
    return Loaded(profile=profile, text=raw.text, file=file, lines=raw.lines)


def _names_a_thing(key: KeyPath) -> bool:
    return key[-1:] == ("coop",) or key[:1] == ("duty",)


def _read(tables: dict[str, Any], context: dict[str, Any]) -> tuple[Profile | None, list[Problem]]:
    """What can be read of the profile, if anything, and what is wrong with the rest.

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
            echoing = taken | {path[:-1] for path in taken if is_known(path)}
            echoing |= {(*path[:-1], "hens") for path in taken if counts_birds(path)}
            problems |= dict.fromkeys(problem for problem in found if problem.key not in echoing)
            wrong = {tuple(details["loc"]) for details in errors} - taken
            taken |= wrong
            taken_out = [_take_out(tables, path) for path in sorted(wrong, key=_last_first)]
            if not any(taken_out):
                break
        else:
            return profile, list(problems)
    return None, list(problems)


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
