"""The drawings beside words: each one that a page names is in the file, with its licence."""

import re
import tomllib
from pathlib import Path

from scheduler.web.render import HERE
from tests.docs.test_docs import README, ROOT

_SPRITE = (HERE / "static" / "icons.svg").read_text(encoding="utf-8")


def _drawn() -> set[str]:
    return set(re.findall(r'<symbol id="([a-z0-9-]+)"', _SPRITE))


def _named(text: str) -> set[str]:
    return set(re.findall(r'icon\("([a-z0-9-]+)"\)', text))


def test_each_drawing_that_a_page_names_is_in_the_file() -> None:
    templates = sorted((HERE / "templates").glob("*.html"))
    named = {name for one in templates for name in _named(one.read_text(encoding="utf-8"))}
    assert named <= _drawn()


def test_no_drawing_is_sent_along_that_no_page_names() -> None:
    kinds = ("*.py", "*.html")
    sources = [path for kind in kinds for path in sorted(HERE.rglob(kind))]
    text = "\n".join(path.read_text(encoding="utf-8") for path in sources)
    assert {name for name in _drawn() if f'"{name}"' not in text} == set()


def test_the_licence_of_the_drawings_goes_with_them() -> None:
    terms = Path("scheduler/web/LICENCE-ICONS.md")
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    assert terms.as_posix() in project["license-files"]
    assert f"({terms.as_posix()})" in README
    said = (ROOT / terms).read_text(encoding="utf-8")
    for wanted in ("ISC License", "The MIT License (MIT)", "Lucide Icons and Contributors"):
        assert wanted in said
