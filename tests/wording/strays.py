"""Where the code has a text for people that stands neither in `wording/` nor in a template."""

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

SCHEDULER = Path(__file__).resolve().parents[2] / "scheduler"
PLACE = "\N{OBJECT REPLACEMENT CHARACTER}"
# Two words with a space between them, or a word beside something that is filled in.
SENTENCE = re.compile(
    rf"[^\W\d_]{{2,}}[,.:;!?'’)]* (?:[^\W\d_]{{2,}}|{PLACE})|{PLACE}[,.:;!?'’)]* [^\W\d_]{{2,}}"
)
# SQL, a log's event with its values, markup, a header with its parameters, a quantity as TOML, a
# PRODID.
NO_TEXT = re.compile(
    r"\s*(?:SELECT|INSERT|UPDATE|DELETE|CREATE|ALTER|DROP|PRAGMA|EXPLAIN|SET|LOCK|BEGIN|LISTEN|NOTIFY"
    r"|WITH|FROM|WHERE|AND|ON CONFLICT|VACUUM|REPEATABLE|json_\w+\(|<|[a-z_]+\.[a-z_]+ \w+="
    r"|\w+/\w+;|\w+; \w+=|Bearer |OOF,|-//|\"\d[^\"]*\"$"
    rf"|{PLACE} (?:IN \(SELECT|= ANY\(ARRAY))"
)


def strays(path: Path) -> Iterator[tuple[int, str]]:
    """Line and text of each in the file, an f-string's places as one sign."""
    tree = ast.parse(path.read_text())
    apart = set(_not_for_people(tree))
    for node in ast.walk(tree):
        if id(node) in apart:
            continue
        if isinstance(node, ast.JoinedStr):
            text = "".join(
                str(part.value) if isinstance(part, ast.Constant) else PLACE for part in node.values
            )
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            text = node.value
        else:
            continue
        if SENTENCE.search(text) and not NO_TEXT.match(text) and text not in values():
            yield node.lineno, text


@cache
def values() -> frozenset[str]:
    """What the program's `Literal` types list: states and choices, each with words of its own."""
    literals = (
        node.slice
        for path in SCHEDULER.rglob("*.py")
        for node in ast.walk(ast.parse(path.read_text()))
        if isinstance(node, ast.Subscript) and getattr(node.value, "id", "") == "Literal"
    )
    listed = (node for each in literals for node in ast.walk(each))
    return frozenset(str(node.value) for node in listed if isinstance(node, ast.Constant))


def files() -> Iterator[Path]:
    """Every file of the program in which texts for people must not stand."""
    for path in sorted(SCHEDULER.rglob("*.py")):
        if not {"wording", "migrations"} & set(path.relative_to(SCHEDULER).parts):
            yield path


def _not_for_people(tree: ast.Module) -> Iterator[int]:
    """Docstrings, f-strings' parts, annotations, logs, patterns, a bug's text, quantities."""
    for node in ast.walk(tree):
        match node:
            case ast.Expr(value=ast.Constant() as constant):
                yield id(constant)
            case ast.JoinedStr(values=parts):
                yield from map(id, parts)
            case ast.AnnAssign(annotation=found) | ast.arg(annotation=ast.AST() as found):
                yield from map(id, ast.walk(found))
            case ast.FunctionDef(returns=ast.AST() as found):
                yield from map(id, ast.walk(found))
            case ast.Call(func=ast.Attribute(value=ast.Name(id="log" | "_log" | "re"))):
                yield from map(id, ast.walk(node))
            case ast.Call(func=ast.Name(id="RuntimeError" | "TypeError" | "read_written")):
                yield from map(id, ast.walk(node))
