"""The recorder: the same program twice is no difference, another word is one."""

import json
import shutil
from pathlib import Path

import pytest

from tests.recorder.__main__ import ROOT, compare, differences, record
from tests.unhurried import unhurried


def _kept(folder: Path, *lines: tuple[str, str, str, str]) -> Path:
    folder.mkdir()
    text = "".join(f"{json.dumps(line)}\n" for line in lines)
    (folder / "small.record").write_text(text, encoding="utf-8")
    return folder


def test_another_word_is_found_with_where_it_came_out(tmp_path: Path) -> None:
    same = ("2027-01-04T16:00:00+00:00", "evening", "2027-01-04", "shut")
    at, what, who = "2027-01-04T16:18:00+00:00", "mail", "kim@example.org"
    old = _kept(tmp_path / "old", same, (at, what, who, "Shut Walnut now\nby 16:33"))
    new = _kept(tmp_path / "new", same, (at, what, who, "Shut Walnut now\nby 16:34"))
    shown = f"at {at} {what} {who}\n-by 16:33\n+by 16:34"
    assert differences(old, new) == [("small.record mail", shown)]
    assert compare(old, new) == 1
    assert compare(old, old) == 0


def test_a_message_that_is_gone_or_comes_at_another_time_is_found(tmp_path: Path) -> None:
    said = ("2027-01-04T16:18:00+00:00", "mail", "kim@example.org", "Shut Walnut now")
    old = _kept(tmp_path / "old", said)
    gone = _kept(tmp_path / "gone")
    later = _kept(tmp_path / "later", ("2027-01-04T16:19:00+00:00", *said[1:]))
    assert compare(old, gone) == 1
    assert compare(old, later) == 1


def test_nothing_to_compare_with_is_no_agreement(tmp_path: Path) -> None:
    assert compare(tmp_path, tmp_path) == 2


def test_each_kind_of_thing_that_differs_is_named(tmp_path: Path) -> None:
    at = "2027-01-04T16:18:00+00:00"
    old = _kept(tmp_path / "old", (at, "push POST", "/", "Shut"), (at, "page", "/week", "Mon"))
    new = _kept(tmp_path / "new", (at, "push POST", "/", "Shut!"), (at, "page", "/week", "Tue"))
    found = [where for where, _ in differences(old, new)]
    assert found == ["small.record push", "small.record page"]


PROFILE = "annotated"
# Written somewhere in the program, and what it would be after somebody's slip.
PLANTED = {
    "Still not confirmed shut": "Still not shut",
    "//Flock care//EN": "//Flock Care//EN",
    "Skip to the content": "Skip to the contents",
}


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Two evenings of this checkout."""
    folder = tmp_path_factory.mktemp("recorded")
    assert record(ROOT, folder, 2, only=(PROFILE,)) == 0
    return folder


@unhurried
@pytest.mark.slow
def test_the_same_program_says_the_same_twice(recorded: Path, tmp_path: Path) -> None:
    assert record(ROOT, tmp_path, 2, only=(PROFILE,)) == 0
    first, second = (folder / f"{PROFILE}.record" for folder in (recorded, tmp_path))
    assert first.read_bytes() == second.read_bytes()
    kinds = {json.loads(line)[1] for line in first.read_text().splitlines()}
    assert kinds >= {"evening", "screen", "page", "file", "mail", "push POST", "phone message"}


@unhurried
@pytest.mark.slow
def test_a_checkout_is_recorded_as_it_is_and_its_slips_are_found(
    recorded: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    checkout = tmp_path / "checkout"
    for room in ("scheduler", "tests"):
        # Without caches, which know a file by its second and its size.
        without = shutil.ignore_patterns("__pycache__")
        shutil.copytree(ROOT / room, checkout / room, ignore=without)
    for words, slip in PLANTED.items():
        [file] = [
            path
            for path in (checkout / "scheduler").rglob("*.*")
            if path.suffix in {".py", ".html"} and words in path.read_text(encoding="utf-8")
        ]
        file.write_text(file.read_text(encoding="utf-8").replace(words, slip), encoding="utf-8")
    assert record(checkout, tmp_path / "new", 2, only=(PROFILE,)) == 0
    assert compare(recorded, tmp_path / "new") == 1
    shown = capsys.readouterr().out
    assert {slip for slip in PLANTED.values() if slip not in shown} == set()
    for kind in ("push", "mail", "page", "file"):
        assert f"== {PROFILE}.record {kind}" in shown
