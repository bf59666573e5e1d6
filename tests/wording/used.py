"""Where the program says its words: each use of one, with the places that it fills."""

import ast
import importlib
import pkgutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import scheduler.wording
from scheduler.wording.words import Words, every

SCHEDULER = Path(scheduler.wording.__file__).parents[1]


@dataclass(frozen=True)
class Use:
    """One place in the program; `filled` is None where they are handed on without being said."""

    where: str
    words: Words
    filled: frozenset[str] | None


def all_words() -> dict[str, Words]:
    """Every one that `wording/` has, by its key."""
    return {words.key: words for owner in _classes() for words in every(owner).values()}


def uses() -> Iterator[Use]:
    """Each use in a file of the program."""
    owners = {(owner.__module__, owner.__name__): owner for owner in _classes()}
    for path in sorted(SCHEDULER.rglob("*.py")):
        tree = ast.parse(path.read_text())
        here = ".".join(path.with_suffix("").relative_to(SCHEDULER.parent).parts)
        known = {name: owner for (module, name), owner in owners.items() if module == here}
        for node in ast.walk(tree):
            if isinstance(node, ast.ImportFrom):
                for alias in node.names:
                    if owner := owners.get((node.module or "", alias.name)):
                        known[alias.asname or alias.name] = owner
        yield from _in(tree, str(path.relative_to(SCHEDULER)), known)


def _in(tree: ast.Module, file: str, known: dict[str, type]) -> Iterator[Use]:
    said = dict(_filled(tree))
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            words = vars(known.get(node.value.id, object)).get(node.attr)
            if isinstance(words, Words):
                yield Use(f"{file}:{node.lineno}", words, said.get(id(node)))
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") == "every":
            owners = (known.get(getattr(given, "id", "")) for given in node.args)
            for owner in filter(None, owners):
                for words in every(owner).values():
                    yield Use(f"{file}:{node.lineno}", words, None)


def _filled(tree: ast.Module) -> Iterator[tuple[int, frozenset[str]]]:
    """What is called, and the names it is given; `**places` are only known when it runs."""
    for node in ast.walk(tree):
        if isinstance(node, ast.Call) and all(word.arg for word in node.keywords):
            names = frozenset(word.arg for word in node.keywords if word.arg)
            yield id(node.func), names
            if node.args and getattr(node.func, "id", "") == "filled":
                yield id(node.args[0]), names


def _classes() -> Iterator[type]:
    for info in pkgutil.walk_packages(scheduler.wording.__path__, "scheduler.wording."):
        module = importlib.import_module(info.name)
        for value in vars(module).values():
            if isinstance(value, type) and value.__module__ == module.__name__:
                yield value
