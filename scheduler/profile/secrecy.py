"""Secrets have no place in a profile: they are found by key or by look, and never repeated."""

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from scheduler.profile.prepare import slug
from scheduler.profile.problem import KeyPath, Problem
from scheduler.wording.profile.problem_words import SecretFound

_KEY = re.compile(r"pass(word|wd|phrase)?|secret|token|api_?key|credentials?", re.IGNORECASE)
_VALUE = re.compile(
    r"\b\w{1,20}://[^/\s:@]{1,200}:[^/\s@]{1,200}@"
    r"|^tk_\w{20,}$"
    r"|^(?:Bearer|Basic) (?=\S*[\d=+/])\S{6,}$"
)
_LOOKED_AT = 2000
# The part of a longer secret that must not be seen either: shown values are cut short.
_TELLING = 6


@dataclass(frozen=True, slots=True)
class Secret:
    """Where a secret stands, and every text that would give it away."""

    key: KeyPath
    texts: tuple[str, ...]


def secrets(value: object, path: KeyPath = ()) -> Iterator[Secret]:
    """Each secret in the raw tables, by the name of its key or by its look."""
    if isinstance(value, Mapping):
        for key, inner in value.items():
            inner_path = (*path, str(key))
            if _KEY.fullmatch(str(key)):
                yield Secret(inner_path, tuple(_texts(inner)))
            else:
                yield from secrets(inner, inner_path)
    elif isinstance(value, list):
        for index, inner in enumerate(value):
            yield from secrets(inner, (*path, index))
    elif isinstance(value, str) and _VALUE.search(value[:_LOOKED_AT]):
        yield Secret(path, (value, slug(value)))


def _texts(value: object) -> Iterator[str]:
    if isinstance(value, Mapping | list):
        for inner in value.values() if isinstance(value, Mapping) else value:
            yield from _texts(inner)
    else:
        yield str(value)


def reported(found: Iterable[Secret]) -> Iterator[Problem]:
    """The problem of each secret; what it says holds nothing of it."""
    for secret in found:
        yield Problem(
            key=secret.key,
            found=SecretFound.found(),
            accepted=SecretFound.accepted(),
            hint=SecretFound.instead(),
        )


def redacted(problems: Iterable[Problem], found: Iterable[Secret]) -> Iterator[Problem]:
    """The problems without what would repeat a secret, and without echoes at a secret's own key."""
    hidden, instead = tuple(found), SecretFound.something_else()
    for problem in problems:
        if any(problem.key[: len(secret.key)] == secret.key for secret in hidden):
            continue
        yield replace(
            problem,
            found=SecretFound.hidden() if _tells(problem.found, hidden) else problem.found,
            accepted=instead if _tells(problem.accepted, hidden) else problem.accepted,
            hint="" if _tells(problem.hint, hidden) else problem.hint,
        )


def _tells(said: str, hidden: Iterable[Secret]) -> bool:
    return any(
        (len(text) >= _TELLING and text[:_TELLING] in said) or (text and f'"{text}"' in said)
        for secret in hidden
        for text in secret.texts
    )
