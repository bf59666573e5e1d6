"""The journal at boot: D7, D8 and D11 of FAULTS.md."""

import os
from collections.abc import Callable
from datetime import UTC, datetime
from pathlib import Path

import pytest

from scheduler.journal import memos
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal, open_journal
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.service.data_place import DataPlace
from scheduler.watch.journal_recovery import COPIES, copy_journal, network_kind, open_checked

NOW = datetime(2026, 12, 21, 16, 18, tzinfo=UTC)
LOCAL = "/dev/sda1 / ext4 rw 0 0\n"


def noted(journal: Journal, value: str) -> None:
    with journal.writing() as writing:
        memos.note(writing.connection, "orchard", "what", value)


def recalled(journal: Journal) -> str | None:
    with journal.reading() as connection:
        return memos.recall(connection, "orchard", "what")


def made(folder: Path, *copies: str) -> Path:
    """A journal with copies of earlier states, the newest last."""
    path = folder / JOURNAL_NAME
    journal = open_journal(path)
    for number, name in enumerate(copies):
        noted(journal, f"copy {number}")
        copy_journal(journal, folder, name)
        os.utime(folder / name, (number, number))
    noted(journal, "now")
    journal.close()
    return path


def first_page(path: Path) -> None:
    with path.open("r+b") as file:
        file.seek(100)
        file.write(b"\xa5" * 3996)


def header(path: Path) -> None:
    with path.open("r+b") as file:
        file.write(b"no database here")


def cut(path: Path) -> None:
    os.truncate(path, path.stat().st_size // 2)


def emptied(path: Path) -> None:
    os.truncate(path, 0)


HARM = [first_page, header, cut]


def test_a_sound_journal_is_opened_as_it_is(tmp_path: Path) -> None:
    made(tmp_path)
    opened = open_checked(DataPlace(tmp_path), NOW, LOCAL)
    assert (recalled(opened.journal), opened.recovered) == ("now", "")
    opened.journal.close()
    assert [path.name for path in tmp_path.iterdir()] == [JOURNAL_NAME]


def test_a_first_start_makes_one(tmp_path: Path) -> None:
    opened = open_checked(DataPlace(tmp_path), NOW, LOCAL)
    assert (recalled(opened.journal), opened.recovered) == (None, "")
    opened.journal.close()


@pytest.mark.parametrize("harm", [*HARM, emptied])
def test_d7_a_damaged_one_is_kept_aside_and_the_newest_copy_used(
    tmp_path: Path, harm: Callable[[Path], None]
) -> None:
    path = made(tmp_path, *COPIES)
    harm(path)
    damaged = path.read_bytes()
    opened = open_checked(DataPlace(tmp_path), NOW, LOCAL)
    assert (recalled(opened.journal), opened.recovered) == ("copy 1", "copy")
    opened.journal.close()
    assert (tmp_path / f"{JOURNAL_NAME}.damaged-20261221T161800Z").read_bytes() == damaged
    again = open_checked(DataPlace(tmp_path), NOW, LOCAL)
    assert again.recovered == ""
    again.journal.close()


@pytest.mark.parametrize("harm", HARM)
def test_d7_a_damaged_copy_is_passed_over(tmp_path: Path, harm: Callable[[Path], None]) -> None:
    path = made(tmp_path, *COPIES)
    harm(path)
    header(tmp_path / COPIES[1])
    opened = open_checked(DataPlace(tmp_path), NOW, LOCAL)
    assert (recalled(opened.journal), opened.recovered) == ("copy 0", "copy")
    opened.journal.close()


def test_d7_without_a_copy_it_begins_empty(tmp_path: Path) -> None:
    header(made(tmp_path))
    opened = open_checked(DataPlace(tmp_path), NOW, LOCAL)
    assert (recalled(opened.journal), opened.recovered) == (None, "empty")
    opened.journal.close()


@pytest.mark.parametrize("name", ["a#b", "a?b", "a%41b", "a b ü"])
def test_d7_whatever_the_folder_is_called(tmp_path: Path, name: str) -> None:
    folder = tmp_path / name
    folder.mkdir()
    header(made(folder))
    opened = open_checked(DataPlace(folder), NOW, LOCAL)
    assert opened.recovered == "empty"
    opened.journal.close()


def test_d8_a_newer_journal_is_refused_and_not_called_damaged(tmp_path: Path) -> None:
    path = made(tmp_path)
    journal = open_journal(path)
    with journal.writing() as writing:
        writing.connection.exec_driver_sql("UPDATE schema SET version = 99, min_reader = 98")
    journal.close()
    before = path.read_bytes()
    with pytest.raises(JournalFault, match="newer Duskfold"):
        open_checked(DataPlace(tmp_path), NOW, LOCAL)
    assert path.read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == [JOURNAL_NAME]


def test_a_copy_takes_the_place_of_the_one_before(tmp_path: Path) -> None:
    path = made(tmp_path, COPIES[0])
    (tmp_path / f".{COPIES[0]}").write_bytes(b"left by a crash")
    journal = open_journal(path)
    copy_journal(journal, tmp_path, COPIES[0])
    journal.close()
    copied = open_journal(tmp_path / COPIES[0])
    assert recalled(copied) == "now"
    copied.close()
    assert sorted(one.name for one in tmp_path.iterdir()) == sorted([JOURNAL_NAME, COPIES[0]])


# D11: network file systems


@pytest.mark.parametrize(
    ("line", "kind"),
    [
        ("server:/x {} nfs rw 0 0", "nfs"),
        ("server:/x {} nfs4 rw 0 0", "nfs4"),
        ("//server/x {} cifs rw 0 0", "cifs"),
        ("server:/x {} fuse.sshfs rw 0 0", "fuse.sshfs"),
        ("/dev/sdb1 {} ext4 rw 0 0", ""),
        ("tmpfs {} tmpfs rw 0 0", ""),
        ("overlay {} overlay rw 0 0", ""),
        ("short {}", ""),
    ],
)
def test_d11_the_kind_of_mount_decides(tmp_path: Path, line: str, kind: str) -> None:
    path = tmp_path / JOURNAL_NAME
    assert network_kind(path, LOCAL + line.format(tmp_path) + "\n") == kind
    assert network_kind(path, LOCAL + line.format("/elsewhere") + "\n") == ""


def test_d11_the_nearest_mount_counts(tmp_path: Path) -> None:
    inner = tmp_path / "inner"
    mounts = f"s:/x {tmp_path} nfs4 rw 0 0\n/dev/sdb1 {inner} ext4 rw 0 0\n{LOCAL}"
    assert network_kind(tmp_path / JOURNAL_NAME, mounts) == "nfs4"
    assert network_kind(inner / JOURNAL_NAME, mounts) == ""
    beside = Path(f"{tmp_path}-beside") / JOURNAL_NAME
    assert network_kind(beside, mounts) == ""


def test_d11_the_later_of_two_mounts_on_one_place_counts(tmp_path: Path) -> None:
    mounts = f"/dev/sdb1 {tmp_path} ext4 rw 0 0\ns:/x {tmp_path} nfs rw 0 0\n"
    assert network_kind(tmp_path / JOURNAL_NAME, mounts) == "nfs"


def test_d11_a_place_with_a_blank_in_its_name(tmp_path: Path) -> None:
    folder = tmp_path / "the hens"
    line = f"s:/x {folder} nfs rw 0 0".replace("the hens", "the\\040hens")
    assert network_kind(folder / JOURNAL_NAME, LOCAL + line) == "nfs"


def test_d11_the_start_is_refused_and_nothing_made(tmp_path: Path) -> None:
    mounts = f"{LOCAL}server:/hens {tmp_path} nfs4 rw 0 0\n"
    with pytest.raises(JournalFault, match=r"network file system \(nfs4\).*disk of this machine"):
        open_checked(DataPlace(tmp_path), NOW, mounts)
    assert list(tmp_path.iterdir()) == []
