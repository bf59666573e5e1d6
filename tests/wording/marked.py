"""A second language, made: every text of English between marks; and what stands outside them.

`python -m tests.wording.marked today --profile …` runs a command in it and prints, after what the
command printed, every word that came from nowhere.
"""

import contextlib
import io
import re
import sys
from collections.abc import Iterable, Iterator
from functools import cache
from pathlib import Path
from string import Formatter, ascii_lowercase, ascii_uppercase

from jinja2 import Environment

from scheduler.wording.words import Language, speak
from tests.wording.used import SCHEDULER, all_words

OPEN, SHUT = "\u27e6", "\u27e7"
_WORD = re.compile(r"[^\W\d_]{2,}")
_ENGLISH_WORD = re.compile("[A-Za-z]{2,}")
# Each letter as a bold one of mathematics, which is a letter, too.
_LETTERS = str.maketrans(
    {
        letter: chr(first + number)
        for letters, first in ((ascii_lowercase, 0x1D5EE), (ascii_uppercase, 0x1D5D4))
        for number, letter in enumerate(letters)
    }
)
_OF_A_TEMPLATE = re.compile(r"(%\(\w+\)s|<[^>]*>|&\w+;)")  # places, markup


@cache
def marked() -> Language:
    """Every text that a language can bring, as it is in English and between marks."""
    return Language("x-marked", {key: f"{OPEN}{text}{SHUT}" for key, text in _texts().items()})


def _texts() -> dict[str, str]:
    """Every text that a language can bring, in English, by its key."""
    from scheduler.profile.package_data import catalogue  # noqa: PLC0415 # after all words

    templates = Environment(extensions=["jinja2.ext.i18n"])  # noqa: S701 # nothing is rendered
    patterns = {key: words.english for key, words in all_words().items()}
    for care_id, care in catalogue()["care"].items():
        texts = {key: care[key] for key in ("title", "late", "short", "why") if key in care}
        patterns |= {f"catalogue.{care_id}.{key}": text for key, text in texts.items()}
    for path in sorted((SCHEDULER / "web/templates").iterdir()):
        found = templates.extract_translations(path.read_text())  # type: ignore[attr-defined] # ext
        for _, name, said in found:
            assert name in {"pgettext", "npgettext"}, (path, said)
            key, *forms = said
            if name == "pgettext":
                patterns[f"page.{key}"] = forms[0]
            else:
                patterns |= {f"page.{key}.{number}": form for number, form in enumerate(forms[:2])}
    return patterns


@cache
def in_other_letters() -> Language:
    """The same texts, each in letters that English has not: what is glued into one shows, too."""
    return Language("x-letters", {key: _lettered(key, text) for key, text in _texts().items()})


def strange(text: str, known: tuple[str, ...] = ()) -> list[str]:
    """The words in the letters of English, but for the known ones: names, what somebody typed."""
    if not _ENGLISH_WORD.search(text):
        return []
    return _ENGLISH_WORD.findall(_any_of(known).sub(" ", text))


@cache
def _any_of(known: tuple[str, ...]) -> re.Pattern[str]:
    names = "|".join(map(re.escape, sorted(known, key=len, reverse=True)))
    return re.compile(rf"(?<!\w)(?:{names})(?!\w)")


def _lettered(key: str, text: str) -> str:
    if key.startswith("page."):
        parts = _OF_A_TEMPLATE.split(text)
        return "".join(part if n % 2 else part.translate(_LETTERS) for n, part in enumerate(parts))
    return "".join(_pieces_lettered(text))


def _pieces_lettered(text: str) -> Iterator[str]:
    for literal, place, spec, _ in Formatter().parse(text):
        yield literal.translate(_LETTERS).replace("{", "{{").replace("}", "}}")
        if place:
            yield f"{{{place}:{spec.translate(_LETTERS)}}}" if spec else f"{{{place}}}"


def unmarked(text: str, known: Iterable[str] = ()) -> list[str]:
    """The words outside all marks, but for the known ones: names, keys, units, commands."""
    depth, outside = 0, []
    for character in text:
        depth += (character == OPEN) - (character == SHUT)
        if depth <= 0 and character not in (OPEN, SHUT):
            outside.append(character)
        elif depth == 1 and character == OPEN:
            outside.append(" ")
        depth = max(depth, 0)
    said = "".join(outside)
    for name in sorted(known, key=len, reverse=True):
        said = said.replace(name, " ")
    return _WORD.findall(said)


def main(arguments: list[str]) -> None:
    """Runs the command in the marked language and prints what came from nowhere."""
    speak(marked())
    from scheduler.cli.app import app  # noqa: PLC0415 # its help is said when it is imported

    out = io.StringIO()
    with (
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(out),
        contextlib.suppress(SystemExit),
    ):
        app(arguments)
    print(out.getvalue())
    print("outside the marks:", sorted(set(unmarked(out.getvalue()))))


if __name__ == "__main__":
    sys.path.insert(0, str(Path.cwd()))
    main(sys.argv[1:])
