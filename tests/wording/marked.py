"""A second language, made: every text of English between marks; and what stands outside them.

`python -m tests.wording.marked today --profile …` runs a command in it and prints, after what the
command printed, every word that came from nowhere.
"""

import contextlib
import io
import re
import sys
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from jinja2 import Environment

from scheduler.wording.words import Language, speak
from tests.wording.used import SCHEDULER, all_words

OPEN, SHUT = "\u27e6", "\u27e7"
_WORD = re.compile(r"[^\W\d_]{2,}")


@cache
def marked() -> Language:
    """Every text that a language can bring, as it is in English and between marks."""
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
    return Language("x-marked", {key: f"{OPEN}{text}{SHUT}" for key, text in patterns.items()})


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
