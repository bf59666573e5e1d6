"""The recorder: the same program twice is no difference, another word is one."""

import json
from pathlib import Path

import pytest

from tests.recorder.__main__ import ROOT, compare, differences, record


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


@pytest.mark.slow
def test_the_same_program_says_the_same_twice(tmp_path: Path) -> None:
    for name in ("first", "second"):
        assert record(ROOT, tmp_path / name, 2, only=("two-coops-three-flocks",)) == 0
    assert compare(tmp_path / "first", tmp_path / "second") == 0
    lines = (tmp_path / "first" / "two-coops-three-flocks.record").read_text().splitlines()
    assert {json.loads(line)[1] for line in lines} >= {"screen", "page", "mail", "push POST"}
