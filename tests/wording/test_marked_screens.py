"""In a made language every command speaks it alone: no word stands there that has no key."""

import errno
import json
import os
import re
import subprocess
import sys
import tomllib
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import get_args

import pytest
import typer

from scheduler.cares.records import BIRD_KINDS, SIGNS, WEATHER_KINDS, PredatorGrade
from scheduler.cli.app import app
from scheduler.feeds.feed_names import FEEDS
from scheduler.husbandry.needs import RULE_SETS
from scheduler.journal.tables import metadata
from scheduler.profile.coop import Ranging
from scheduler.profile.door_rules import LetOutRule, LockUpRule
from scheduler.profile.package_data import catalogue
from scheduler.profile.units import Region
from scheduler.service.diary_asked import KINDS_ASKED
from tests.unhurried import unhurried
from tests.wording.every_command import ANSWERS, EVENINGS
from tests.wording.marked import publications, strange

ROOT = Path(__file__).parents[2]
# Addresses, paths and files, options and variables, digests and links, tables of the profile.
COPIED = re.compile(
    r"https?://\S+|\S*/\S*|(?<![\w-])--?[a-z][\w-]*|\b\w+\.(?:toml|ics|sqlite3)\b|\bDUSKFOLD_\w+"
    r"|\b[\w-]{20,}\b|\b[0-9a-f]{16}\b|\b\w+@\S+|\[\[?[\w.]+\]\]?"
)
# What the library that reads the command line says by itself, in English in every language.
OF_THE_LIBRARY = (
    "Usage:",
    "[OPTIONS]",
    "COMMAND [ARGS]...",
    "Arguments:",
    "Options:",
    "Commands:",
    "[required]",
    "[default: warning]",
    "[default: backyard]",
    "Install completion for the current shell.",
    "Show completion for the current shell, to copy it or customize the installation.",
    "Show this message and exit.",
    "Try 'duskfold -h' for help.",
    "Error: Invalid value for",
)
OF_THE_SYSTEM = tuple(map(os.strerror, (errno.ENOENT, errno.EISDIR)))
# What people type after a command, and what the evenings had typed and show again.
AFTER_A_COMMAND = ("ticked", "undo", "end", "over", "confirm", "again", "label", "measured")
OF_A_PROFILE = (*get_args(Region), "secure", "open", "manual", "automatic", *get_args(Ranging))
LOG_LEVELS = ("debug", "info", "warning", "error")
TYPED_BEFORE = ("Oil", "drops", "Wormer", "everybody", *ANSWERS.split())
OF_AN_ID = ("Garden",)  # a name that is made of an id


@cache
def keys() -> frozenset[str]:
    """What is the same in every language, because people type it or programs read it."""
    commands = getattr(typer.main.get_command(app), "commands", {})
    rules = (LockUpRule.model_fields, LetOutRule.model_fields)
    return frozenset(
        (
            "duskfold",
            "mail-password",
            *commands,
            "copy",
            *catalogue()["care"],
            *(field.alias or name for fields in rules for name, field in fields.items()),
            *(*WEATHER_KINDS, *BIRD_KINDS, *SIGNS, *get_args(PredatorGrade)),
            *(*FEEDS, "house", "tonight", *KINDS_ASKED, *RULE_SETS),
            *metadata.tables,
            *(*AFTER_A_COMMAND, *OF_A_PROFILE, *LOG_LEVELS),
        )
    )


def names(found: object) -> Iterator[str]:
    """Every text that the profile has as a value."""
    if isinstance(found, str):
        yield found
    elif isinstance(found, dict | list):
        for each in found.values() if isinstance(found, dict) else found:
            yield from names(each)


def foreign(said: str, *known: str) -> list[str]:
    """The words of what a command said that have no key, but for the known ones."""
    text = " ".join(said.split())
    for words in (*OF_THE_LIBRARY, *OF_THE_SYSTEM, *publications()):
        text = text.replace(words, " ")
    return strange(COPIED.sub(" ", text), tuple(sorted({*keys(), *known})))


def test_a_word_without_a_key_is_found() -> None:
    assert foreign("Walnut: duskfold closed --count 12 (data/journal.sqlite3)", "Walnut") == []
    assert foreign("Walnut: 12 hens", "Walnut") == ["hens"]


@unhurried
@pytest.mark.parametrize("profile", EVENINGS)
def test_every_command_speaks_the_language_that_is_spoken(profile: str, tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "tests.wording.screens", profile],
        stdin=subprocess.DEVNULL,
        capture_output=True,
        text=True,
        check=True,
        cwd=tmp_path,
        env={**os.environ, "PYTHONPATH": str(ROOT), "COLUMNS": "100000", "HOME": str(tmp_path)},
    )
    written = (ROOT / "config" / f"{profile}.toml").read_text(encoding="utf-8")
    of_profile = set(names(tomllib.loads(written)))
    screens: dict[str, str] = json.loads(done.stdout)
    assert len(screens) >= len({*EVENINGS[profile]})
    left = {
        typed: found
        for typed, said in screens.items()
        if (found := foreign(said, *of_profile, *typed.split(), *TYPED_BEFORE, *OF_AN_ID))
    }
    assert left == {}
