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
# What says the words that it is given first, with these places.
_SAYERS = frozenset({"filled", "for_later", "note"})
# What takes all words of the class that it is given, for a code or a day to choose from.
_CHOOSERS = frozenset({"every", "by_code"})


@dataclass(frozen=True)
class Use:
    """One place in the program; `filled` is None where they are handed on without being said.

    `chosen`: they are one of several that are given the same places.
    """

    where: str
    words: Words
    filled: frozenset[str] | None
    chosen: bool = False


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
        if known:  # most files say nothing, and what each call is given takes long to find
            yield from _in(tree, str(path.relative_to(SCHEDULER)), known)


def _in(tree: ast.Module, file: str, known: dict[str, type]) -> Iterator[Use]:
    said = dict(_filled(tree))
    for node in ast.walk(tree):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            words = vars(known.get(node.value.id, object)).get(node.attr)
            if isinstance(words, Words):
                filled, chosen = said.get(id(node), (None, False))
                yield Use(f"{file}:{node.lineno}", words, filled, chosen)
        elif isinstance(node, ast.Call) and getattr(node.func, "id", "") in _CHOOSERS:
            owners = (known.get(getattr(given, "id", "")) for given in node.args)
            for owner in filter(None, owners):
                for words in every(owner).values():
                    yield Use(f"{file}:{node.lineno}", words, None)


def _filled(tree: ast.Module) -> Iterator[tuple[int, tuple[frozenset[str], bool]]]:
    """What is called, the names it is given, and whether it is one of several.

    What `**places` hold is only known when it runs.
    """
    for scope in ast.walk(tree):
        if not isinstance(scope, ast.Module | ast.FunctionDef):
            continue
        chosen: dict[str, list[ast.expr]] = {}
        for node in ast.walk(scope):
            if isinstance(node, ast.Assign) and isinstance(node.targets[0], ast.Name):
                chosen.setdefault(node.targets[0].id, []).append(node.value)
        for node in ast.walk(scope):
            if isinstance(node, ast.Call) and all(word.arg for word in node.keywords):
                names = frozenset(word.arg for word in node.keywords if word.arg)
                said = [node.func]
                if node.args and getattr(node.func, "id", "") in _SAYERS:
                    said = [node.args[0]]
                for one in said:
                    for words in _either(one, chosen):
                        yield id(words), (names, words is not one)


def _either(one: ast.expr, chosen: dict[str, list[ast.expr]]) -> Iterator[ast.expr]:
    """What a call may be of: `(A if … else B)(…)`, or a name that was given one of them."""
    if isinstance(one, ast.IfExp):
        yield from _either(one.body, chosen)
        yield from _either(one.orelse, chosen)
    elif isinstance(one, ast.Name):
        for value in chosen.get(one.id, ()):
            yield from _either(value, {})
    else:
        yield one


def _classes() -> Iterator[type]:
    for info in pkgutil.walk_packages(scheduler.wording.__path__, "scheduler.wording."):
        module = importlib.import_module(info.name)
        for value in vars(module).values():
            if isinstance(value, type) and value.__module__ == module.__name__:
                yield value
