"""A second language, made: every text of English between marks, or in letters of its own.

`python -m tests.wording.marked today --profile …` runs a command in it and prints, after what the
command printed, every word that came from nowhere.
"""

import contextlib
import io
import re
import sys
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from string import Formatter, ascii_lowercase, ascii_uppercase

from jinja2 import Environment

from scheduler.wording.words import ENGLISH, Language, speak
from tests.wording.used import SCHEDULER, all_words

OF_A_CARE = ("title", "late", "short", "why", "source")
OPEN, SHUT = "\u27e6", "\u27e7"
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


def environment() -> Environment:
    """Templates as the pages have them, as far as reading goes."""
    return Environment(extensions=["jinja2.ext.i18n"])  # noqa: S701 # nothing is rendered


@cache
def marked() -> Language:
    """Every text that a language can bring, as it is in English and between marks."""
    return Language("x-marked", {key: f"{OPEN}{text}{SHUT}" for key, text in _texts().items()})


def _texts() -> dict[str, str]:
    """Every text that a language can bring, in English, by its key."""
    from scheduler.profile.package_data import catalogue  # noqa: PLC0415 # after all words

    templates = environment()
    patterns = {key: words.english for key, words in all_words().items()}
    for care_id, care in catalogue()["care"].items():
        texts = {key: care[key] for key in OF_A_CARE if key in care}
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


@cache
def publications() -> tuple[str, ...]:
    """What published sources are called, as they are printed; the longest first."""
    from scheduler.husbandry import figure  # noqa: PLC0415 # as above

    sources = (one for one in vars(figure).values() if isinstance(one, figure.Source))
    names = {one.name for one in sources if isinstance(one.name, str)}
    return tuple(sorted(names, key=len, reverse=True))


@contextlib.contextmanager
def speaking(language: Language) -> Iterator[None]:
    """The language is spoken, until the block ends."""
    speak(language)
    try:
        yield
    finally:
        speak(ENGLISH)


def printed(run: Callable[[], object]) -> str:
    """Everything that it prints until it ends."""
    out = io.StringIO()
    with (
        contextlib.redirect_stdout(out),
        contextlib.redirect_stderr(out),
        contextlib.suppress(SystemExit),
    ):
        run()
    return out.getvalue()


def main(arguments: list[str]) -> None:
    """Runs the command in other letters and prints what came from nowhere."""
    speak(in_other_letters())
    from scheduler.cli.app import app  # noqa: PLC0415 # its help is said when it is imported

    said = printed(lambda: app(arguments))
    print(said)
    print("words without a key:", sorted(set(strange(said))))


if __name__ == "__main__":
    sys.path.insert(0, str(Path.cwd()))
    main(sys.argv[1:])
