import tomllib
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scheduler.profile.lines import key_lines
from scheduler.profile.problem import KeyPath


def paths_of(tree: object, path: KeyPath = ()) -> set[KeyPath]:
    found = {path} if path else set()
    if isinstance(tree, dict):
        found.update(*(paths_of(inner, (*path, key)) for key, inner in tree.items()))
    elif isinstance(tree, list):
        found.update(*(paths_of(inner, (*path, index)) for index, inner in enumerate(tree)))
    return found


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", {}),
        ("\n# only = 'a comment'\n\n", {}),
        ("a = 1", {("a",): 1}),
        ("\n\n  a  =  1   # b = 2\n\tc\t=\t3\n", {("a",): 3, ("c",): 4}),
        ("[t]\na = 1\n\n[u]\na = 2\n", {("t",): 1, ("t", "a"): 2, ("u",): 4, ("u", "a"): 5}),
        ("[ t . u ] # v\n", {("t",): 1, ("t", "u"): 1}),
        (
            "[t.u]\na = 1\n[t]\nb = 2\n",
            {("t", "u"): 1, ("t", "u", "a"): 2, ("t",): 3, ("t", "b"): 4},
        ),
        (
            "[[c]]\nn = 1\n[[c]]\nn = 2\n",
            {("c",): 1, ("c", 0): 1, ("c", 0, "n"): 2, ("c", 1): 3, ("c", 1, "n"): 4},
        ),
        (
            "[[c]]\n[c.r]\na = 1\n[[c.d]]\n[[c.d]]\n[[ c ]]\n[[c.d]]\nx = 1\n",
            {
                ("c",): 1,
                ("c", 0): 1,
                ("c", 0, "r"): 2,
                ("c", 0, "r", "a"): 3,
                ("c", 0, "d"): 4,
                ("c", 0, "d", 0): 4,
                ("c", 0, "d", 1): 5,
                ("c", 1): 6,
                ("c", 1, "d"): 7,
                ("c", 1, "d", 0): 7,
                ("c", 1, "d", 0, "x"): 8,
            },
        ),
        (
            "a.b.c = 1\na . d = 2\n",
            {("a",): 1, ("a", "b"): 1, ("a", "b", "c"): 1, ("a", "d"): 2},
        ),
        (
            '"a.b" = 1\n\'c]#=\' = 2\n"\\u00e9\\t\\""."" = 3\nbare-1_ = 4\n1979 = 5\n',
            {
                ("a.b",): 1,
                ("c]#=",): 2,
                ('é\t"',): 3,
                ('é\t"', ""): 3,
                ("bare-1_",): 4,
                ("1979",): 5,
            },
        ),
        ("[\"a]b\".'c.d']\nx = 1\n", {("a]b",): 1, ("a]b", "c.d"): 1, ("a]b", "c.d", "x"): 2}),
        (
            "t = { a = 1, b.c = [ { d = '}' } ], e = {} }\nf = 1\n",
            {
                ("t",): 1,
                ("t", "a"): 1,
                ("t", "b"): 1,
                ("t", "b", "c"): 1,
                ("t", "b", "c", 0): 1,
                ("t", "b", "c", 0, "d"): 1,
                ("t", "e"): 1,
                ("f",): 2,
            },
        ),
        (
            "a = [\n  1, # one ]\n\n  [2,\n   3], { b = 1 },\n]\nc = []\n",
            {
                ("a",): 1,
                ("a", 0): 2,
                ("a", 1): 4,
                ("a", 1, 0): 4,
                ("a", 1, 1): 5,
                ("a", 2): 5,
                ("a", 2, "b"): 5,
                ("c",): 7,
            },
        ),
        (
            'a = """\n[x]\nb = 1 # "" \\"""\n"""\nc = 1\n',
            {("a",): 1, ("c",): 5},
        ),
        ("a = '''\n[[x]]\nb = '' # 1\n'''\nc = 1\n", {("a",): 1, ("c",): 5}),
        ('a = """""" # empty\nb = """x"""""\nc = 1\n', {("a",): 1, ("b",): 2, ("c",): 3}),
        ("a = ''''''\nb = '''x'''''\nc = 1\n", {("a",): 1, ("b",): 2, ("c",): 3}),
        ('a = \'\\\'\nb = "\\\\"\nc = "\\"]"\n', {("a",): 1, ("b",): 2, ("c",): 3}),
        (
            "a = [\"\"\"\n]\"\"\", '''\n]''']\nb = 1\n",
            {("a",): 1, ("a", 0): 1, ("a", 1): 2, ("b",): 4},
        ),
        (
            "a = 1979-05-27 07:32:00 # b = 1\nc = 07:32:00\nd = -inf\ne = true\n",
            {("a",): 1, ("c",): 2, ("d",): 3, ("e",): 4},
        ),
        ("a = 1 \r\n\r\n[t]\t\r\nb = [\r\n 1,\r\n] \r\nc = '''\r\n'''\r\nd = 1", None),
    ],
)
def test_each_key_has_the_line_it_starts_on(text: str, expected: dict[KeyPath, int] | None) -> None:
    crlf = {("a",): 1, ("t",): 3, ("t", "b"): 4, ("t", "b", 0): 5, ("t", "c"): 7, ("t", "d"): 9}
    lines = key_lines(text)
    assert lines == (crlf if expected is None else expected)
    assert set(lines) == paths_of(tomllib.loads(text))


@pytest.mark.parametrize(
    ("text", "path", "line"),
    [
        ("a = 1\n[t.u]\nb = 1\n", ("t",), 2),
        ("[t.u]\n[t.v]\n", ("t",), 1),
        ("[[c]]\n\n[c.r.s]\n", ("c", 0, "r"), 3),
        ("\n[[t.c]]\n", ("t",), 2),
    ],
)
def test_a_table_named_only_within_a_header_has_its_line(
    text: str, path: KeyPath, line: int
) -> None:
    lines = key_lines(text)
    assert set(lines) == paths_of(tomllib.loads(text))
    assert lines[path] == line


BARE = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_"
keys = st.one_of(
    st.lists(st.sampled_from(BARE), min_size=1, max_size=4).map("".join),
    st.lists(st.sampled_from("a.]=[#'\"\\ é鶏\t"), max_size=3).map("".join),
)
SCALARS = (
    "1",
    "-1.5e3",
    "true",
    "1979-05-27 07:32:00",
    "07:32:00",
    "inf",
    '""',
    "''",
    r'"a # b = \"] , }"',
    r"'\ [c] # d'",
    '"""\n[e]\nf = 1 ""\\"\n# g"""',
    "'''\n]]\n}, 'h' = 2\n'''",
    '"""i"""""',
    "'''j''''",
    '"""k \\\n   l"""',
)
trees = st.recursive(
    st.sampled_from(SCALARS),
    lambda inner: st.one_of(st.lists(inner, max_size=3), st.dictionaries(keys, inner, max_size=3)),
    max_leaves=12,
)
documents = st.dictionaries(keys, trees, max_size=4)


class Writer:
    """Writes a tree as TOML in the styles that `choose` picks, and notes the line of each key."""

    def __init__(self, choose: Callable[[int], int]) -> None:
        self.choose = choose
        self.text = ""
        self.lines: dict[KeyPath, int] = {}

    def note(self, path: KeyPath) -> None:
        self.lines.setdefault(path, self.text.count("\n") + 1)

    def gap(self) -> None:
        self.text += ("", " ", "\n", " # x = [1] '\n", "\n\n\t")[self.choose(5)]

    def line_end(self) -> None:
        self.text += ("\n", "  \n", '\t# y = "]\n', "\n\n", "\n# [z]\n")[self.choose(5)]

    def key(self, key: str) -> None:
        quoted = key.translate({ord("\\"): "\\\\", ord('"'): '\\"', ord("\t"): "\\t"})
        written = [f'"{quoted}"']
        if key and set(key) <= set(BARE):
            written.append(key)
        if "'" not in key:
            written.append(f"'{key}'")
        self.text += written[self.choose(len(written))]

    def table(self, path: KeyPath, tree: dict[str, Any], named: list[str]) -> None:
        later: list[tuple[str, Any]] = []
        for key, inner in tree.items():
            tables = isinstance(inner, dict) or (
                isinstance(inner, list) and inner and all(isinstance(e, dict) for e in inner)
            )
            if tables and self.choose(2):
                later.append((key, inner))
                continue
            self.text += " " * self.choose(2)
            self.pair(path, key, inner)
            self.line_end()
        for key, inner in later:
            if isinstance(inner, dict):
                self.headed((*path, key), inner, [*named, key])
            else:
                for index, element in enumerate(inner):
                    self.header((*path, key), [*named, key], "[[", "]]")
                    self.note((*path, key, index))
                    self.line_end()
                    self.table((*path, key, index), element, [*named, key])

    def headed(self, path: KeyPath, tree: dict[str, Any], named: list[str]) -> None:
        """A table under its own header, or named only within the headers of the tables in it."""
        if tree and all(isinstance(e, dict) for e in tree.values()) and self.choose(2):
            for key, inner in tree.items():
                self.note(path)
                self.headed((*path, key), inner, [*named, key])
            return
        self.header(path, named, "[", "]")
        self.line_end()
        self.table(path, tree, named)

    def header(self, path: KeyPath, named: list[str], opening: str, closing: str) -> None:
        self.note(path)
        self.text += opening + " " * self.choose(2)
        for count, key in enumerate(named):
            self.text += (".", " . ")[self.choose(2)] if count else ""
            self.key(key)
        self.text += " " * self.choose(2) + closing

    def pair(self, path: KeyPath, key: str, tree: Any) -> None:
        self.note((*path, key))
        self.key(key)
        if isinstance(tree, dict) and len(tree) == 1 and self.choose(2):
            self.text += (".", "\t. ")[self.choose(2)]
            (inner_key,) = tree
            self.pair((*path, key), inner_key, tree[inner_key])
            return
        self.text += ("=", " = ")[self.choose(2)]
        self.value((*path, key), tree)

    def value(self, path: KeyPath, tree: Any) -> None:
        if isinstance(tree, str):
            self.text += tree
        elif isinstance(tree, list):
            self.text += "["
            for index, inner in enumerate(tree):
                self.text += "," if index else ""
                self.gap()
                self.note((*path, index))
                self.value((*path, index), inner)
                self.gap()
            self.text += "," if tree and self.choose(2) else ""
            self.gap()
            self.text += "]"
        else:
            self.text += "{"
            for index, (key, inner) in enumerate(tree.items()):
                self.text += ", " if index else " "
                self.pair(path, key, inner)
            self.text += " }"


@settings(deadline=None)
@given(documents, st.lists(st.integers(0, 59), min_size=1, max_size=40), st.booleans())
@example({"a": {"b": {"c": "1"}}}, [1], False)
def test_whatever_the_style_each_key_has_the_line_it_starts_on(
    tree: dict[str, Any], choices: list[int], windows: bool
) -> None:
    made = 0

    def choose(among: int) -> int:
        nonlocal made
        made += 1
        return choices[made % len(choices)] % among

    writer = Writer(choose)
    writer.table((), tree, [])
    text = writer.text.replace("\n", "\r\n") if windows else writer.text
    parsed = tomllib.loads(text)
    assert set(writer.lines) == paths_of(parsed), "the writer of this test is wrong"
    assert key_lines(text) == writer.lines
