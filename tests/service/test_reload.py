"""A changed profile: taken over when it is whole and right (F2, F3 of FAULTS.md)."""

from datetime import UTC, datetime
from pathlib import Path

import pytest

from scheduler.journal import memos
from scheduler.journal.store import open_journal
from scheduler.service.household.open_profile import Household
from scheduler.service.household.reload import ProfileFile, last_accepted
from tests.alerts.orchard import TEXT

NOW = datetime(2026, 12, 21, 16, 18, tzinfo=UTC)
OTHER = TEXT.replace("hens = 12", "hens = 11")


@pytest.fixture
def file(tmp_path: Path) -> ProfileFile:
    """A profile that was opened."""
    followed = ProfileFile(tmp_path / "duskfold.toml")
    followed.path.write_text(TEXT)
    assert isinstance(followed.open(NOW), Household)
    return followed


def hens(found: object) -> int:
    assert isinstance(found, Household), found
    return found.profile.flock[0].hens


def test_unchanged_it_is_not_read_again(file: ProfileFile) -> None:
    assert [file.changed(NOW) for _ in range(3)] == [None] * 3


def test_a_changed_one_is_taken_over_at_the_second_look_and_once(file: ProfileFile) -> None:
    file.path.write_text(OTHER)
    assert file.changed(NOW) is None
    assert hens(file.changed(NOW)) == 11
    assert file.changed(NOW) is None


def test_f3_half_of_one_is_never_read(file: ProfileFile) -> None:
    half = len(OTHER) // 2
    with file.path.open("w") as writer:
        writer.write(OTHER[:half])
        writer.flush()
        assert file.changed(NOW) is None
        writer.write(OTHER[half:])
        writer.flush()
        assert file.changed(NOW) is None
    assert hens(file.changed(NOW)) == 11


def test_one_that_keeps_changing_is_waited_for(file: ProfileFile) -> None:
    for number in range(5):
        file.path.write_text(f"{OTHER}# {'x' * number}\n")
        assert file.changed(NOW) is None
    assert hens(file.changed(NOW)) == 11


def test_one_put_in_place_by_rename_is_noticed_with_the_same_size(file: ProfileFile) -> None:
    draft = file.path.with_name("draft")
    draft.write_text(OTHER)
    draft.replace(file.path)
    assert file.changed(NOW) is None
    assert hens(file.changed(NOW)) == 11


def test_f2_every_problem_of_a_bad_one_is_told_once(file: ProfileFile) -> None:
    file.path.write_text(TEXT.replace("hens = 12", 'hens = "many"').replace("51.5", "91"))
    assert file.changed(NOW) is None
    problems = file.changed(NOW)
    assert isinstance(problems, tuple)
    assert [problem.key[-1] for problem in problems] == ["latitude", "hens"]
    assert file.changed(NOW) is None


def test_one_that_is_gone_changes_nothing_and_may_come_back(file: ProfileFile) -> None:
    file.path.unlink()
    assert [file.changed(NOW) for _ in range(3)] == [None] * 3
    file.path.write_text(OTHER)
    assert file.changed(NOW) is None
    assert hens(file.changed(NOW)) == 11


def test_a_missing_profile_is_a_fault_at_the_start(tmp_path: Path) -> None:
    with pytest.raises(FileNotFoundError):
        ProfileFile(tmp_path / "gone.toml").open(NOW)


def test_f4_the_last_accepted_one_comes_back_from_the_journal(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    assert last_accepted(journal, NOW) is None
    for text in (TEXT, OTHER):
        with journal.writing() as writing:
            memos.accept(writing.connection, "orchard", text, NOW)
    assert hens(last_accepted(journal, NOW)) == 11
    journal.close()
