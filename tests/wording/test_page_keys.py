"""Each text of a template has a key of its own, and none stands there without one."""

import re
from collections import Counter
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest
from jinja2.lexer import TOKEN_BLOCK_BEGIN, TOKEN_BLOCK_END, TOKEN_DATA, TOKEN_NAME

from tests.wording.marked import environment
from tests.wording.used import SCHEDULER

TEMPLATES = sorted((SCHEDULER / "web/templates").iterdir())
READ = ("title", "aria-label", "alt", "placeholder", "data-label", "data-slow", "data-kept")
# What the program and its parts are called.
NAMES = {"Duskfold", "+", "\N{MINUS SIGN}"}
# A word with a capital, alone or before others; a selector and a header are none.
SENTENCE = re.compile(r"^[A-Z][a-z]+(?:[,.:;!?]? [\w$].*)?[.:!?]?$")


def keys(path: Path) -> Iterator[str]:
    """The key of each text in the template."""
    found = environment().extract_translations(path.read_text())  # type: ignore[attr-defined] # ext
    yield from (said[0] for _, _, said in found)


def test_no_key_is_used_twice() -> None:
    count = Counter(key for path in TEMPLATES for key in keys(path))
    assert [key for key, times in count.items() if times > 1] == []


class _Bare(HTMLParser):
    """Collects the words of a template that stand outside all trans blocks."""

    def __init__(self) -> None:
        super().__init__()
        self.words: list[str] = []

    def handle_data(self, data: str) -> None:
        self.words += [data.strip()] if any(map(str.isalpha, data)) else []

    def handle_starttag(self, _: str, attrs: list[tuple[str, str | None]]) -> None:
        shown = (value or "" for name, value in attrs if name in READ)
        self.words += [value.strip() for value in shown if any(map(str.isalpha, value))]


def bare(text: str) -> list[str]:
    """What people would read of the template that has no key."""
    outside, is_in_trans = [], False
    tokens = list(environment().lex(text))
    for number, (_, kind, value) in enumerate(tokens):
        if kind == TOKEN_BLOCK_BEGIN:
            names = (one for _, k, one in tokens[number:] if k in (TOKEN_NAME, TOKEN_BLOCK_END))
            word = next(names)
            is_in_trans = word == "trans" or (is_in_trans and word != "endtrans")
        elif kind == TOKEN_DATA and not is_in_trans:
            outside.append(value)
    parser = _Bare()
    parser.feed("".join(outside))
    return [word for word in parser.words if word not in NAMES]


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_no_text_stands_there_without_a_key(path: Path) -> None:
    assert bare(path.read_text()) == []


def test_the_script_has_no_text_of_its_own() -> None:
    script = (SCHEDULER / "web/static/site.js").read_text()
    assert sentences(script) == []
    assert sentences('say("Got it"); say(`All ${n} in`); // Look again') == [
        "Got it",
        "All ${n} in",
    ]


def sentences(script: str) -> list[str]:
    """What the script would say in words that did not come with the page."""
    code = re.sub(r"^\s*//.*|\s// .*", "", script, flags=re.MULTILINE)
    literals = re.findall(r'"([^"\n]*)"|`([^`]*)`', code)
    return [text for text in map("".join, literals) if SENTENCE.search(text)]


def test_what_has_no_key_is_found() -> None:
    assert bare('<p title="Hen {{ x }}">{% trans "a" %}All in{% endtrans %} Shut</p>') == [
        "Hen",
        "Shut",
    ]
