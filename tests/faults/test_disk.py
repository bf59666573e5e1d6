"""Faults of disk and journal (FAULTS.md, D): full, locked, read-only, damaged, gone."""

import os
import shutil
import sqlite3
import subprocess
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.journal.fault import JournalFault
from scheduler.journal.on_sqlite import PRAGMAS
from scheduler.journal.store import open_journal
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.messages import own_faults
from scheduler.service.data_place import DataPlace
from scheduler.watch.journal_recovery import COPIES, copy_journal, network_kind, open_checked
from tests.faults.harm import (
    OWN_MOUNTS,
    READ_ONLY,
    locked,
    needs_own_mounts,
    no_larger_files,
    read_only,
    struck,
)
from tests.faults.house import ONE_COOP, QUIET_MORNINGS, ROOT, SITE, TOPIC_SECRET, WINTER, House
from tests.faults.test_process import (
    GUARD_STATUS,
    HEADS_UP,
    MAIL,
    NOW,
    ONLY_MAIL,
    PATIENT,
    Gate,
    deliveries,
    gate,
    ticked,
)
from tests.sinks.push import Reply
from tests.unhurried import UNHURRIED, unhurried

__all__ = ["gate"]  # a fixture
Build = Callable[..., House]
ANA, KIM = f"ana-{TOPIC_SECRET}", f"kim-{TOPIC_SECRET}"
DAMAGED = "Duskfold's records were damaged: say again which doors are shut"
FULL = "database or disk is full"
BROKEN = "disk I/O error"
WINTER_NOON = datetime(2026, 12, 21, 12, tzinfo=UTC)


@pytest.fixture
def small_disk(tmp_path: Path) -> Iterator[Path]:
    """A disk of one megabyte for the data folder."""
    data = tmp_path / "data"
    data.mkdir(mode=0o700)
    mount = ["/usr/bin/mount", "-t", "tmpfs", "-o", "size=1m,mode=700", "tmpfs", str(data)]
    if not Path(mount[0]).exists() or subprocess.run(mount, check=False).returncode:
        pytest.skip("only root can mount a small disk")
    yield data
    subprocess.run(["/usr/bin/umount", "--lazy", str(data)], check=True)


@contextmanager
def no_room(disk: Path) -> Iterator[None]:
    """Not a byte more fits on the disk meanwhile."""
    ballast = disk / "ballast"
    with ballast.open("wb", buffering=0) as file:
        for size in (65536, 4096, 1):
            try:
                while file.write(b"x" * size) == size:
                    pass
            except OSError:
                continue
    yield
    ballast.unlink()


def ticks(house: House, count: int = 3) -> None:
    """Waits for so many more ticks, by the log: a full disk keeps no health file."""
    done = house.log.count("executed successfully")
    house.wait(lambda: house.log.count("executed successfully") >= done + count, "no ticks")


def reminded(house: House) -> list[str]:
    """What rang on Ana's phone, but that the disk takes nothing, which is told once at most."""
    shown = house.phone("ana")
    assert shown.count(own_faults.not_written().title) <= 1
    return [one for one in shown if one != own_faults.not_written().title]


def told_from_memory(house: House) -> None:
    """The evening to the latest, without a record: each message once, whatever the ticks do."""
    house.set_clock(house.local("16:19"))
    house.wait(lambda: NOW in house.phone("ana"), "not told from memory")
    ticks(house)
    house.set_clock(house.local("16:34"))
    house.push.wait_shown(KIM, 1)
    house.smtp.accepted.wait(1)
    ticks(house)


def written_up(house: House) -> None:
    """What was told from memory stands in the journal, once the journal can be written again."""
    house.settle()
    assert deliveries(house, "now") == [("sent", 1, 1)]
    assert [state for state, _, _ in deliveries(house, "next")] == ["sent"] * 2
    assert reminded(house)[:2] == [HEADS_UP, NOW]
    assert len(reminded(house)) == 3  # `again` was never told: she is called as well
    assert len(house.phone("kim")) == 1
    assert len(house.mails()) == 1
    house.wait(lambda: house.faults == [], "health does not recover")


@pytest.mark.kernel
@unhurried
def test_d1_the_disk_is_full(small_disk: Path, build: Build) -> None:
    house = build(still_s=1.0)
    house.start()
    house.at("15:50")
    with no_room(small_disk):
        told_from_memory(house)
        house.wait(lambda: house.faults, "health does not know")
    written_up(house)


@pytest.mark.kernel
@pytest.mark.parametrize(("error", "reason"), [("ENOSPC", FULL), ("EIO", BROKEN)])
@unhurried
def test_d1_d3_no_page_can_be_written(build: Build, error: str, reason: str) -> None:
    house = build(still_s=1.0)
    house.start()
    house.at("15:50")
    with struck(house, "pwrite64", f"error={error}:when=1+"):
        told_from_memory(house)
        house.wait(lambda: reason in " ".join(house.faults), "health does not know")
    assert f"reason={reason}" in house.log
    assert house.log.count("journal.fault") <= 2, "the log is flooded"
    written_up(house)


@pytest.mark.kernel
@unhurried
def test_d1_the_disk_is_full_at_boot(small_disk: Path, build: Build) -> None:
    house = build(still_s=1.0)
    house.start()
    house.at("15:00")
    assert house.stop() == 0
    house.day = WINTER + timedelta(days=1)
    house.set_clock(house.local("16:22"))
    with no_room(small_disk):
        house.start(ready=False)
        house.wait(lambda: any("Lock up now" in one for one in house.phone("ana")), "not told")
        ticks(house)
        house.wait(lambda: house.faults, "health does not know")
    house.settle()
    report = "No reminder went out on the evening of Mon 21 Dec"
    assert sorted(reminded(house)) == sorted([NOW.replace("16:33", "16:34"), report])
    assert house.phone("kim") == [report]


@pytest.mark.kernel
def test_d1_a_message_from_memory_that_fails_is_tried_again(build: Build) -> None:
    house = build(still_s=1.0)
    house.start()
    house.at("15:50")
    with struck(house, "pwrite64", "error=ENOSPC:when=1+"):
        house.push.script(Reply(status=503))
        house.set_clock(house.local("16:19"))
        house.wait(lambda: "channel=push outcome=transient" in house.log, "not tried")
        house.set_clock(house.local("16:19:20"))
        house.wait(lambda: NOW in house.phone("ana"), "not tried again")
    house.settle()
    assert reminded(house) == [HEADS_UP, NOW]


@pytest.mark.kernel
@unhurried
def test_a12_on_a_full_disk_the_same_people_are_told_with_the_same_pauses(build: Build) -> None:
    house = build()
    house.start()
    house.at("15:50")
    house.smtp.script("AUTH", "535 5.7.8 wrong password", always=True)
    with struck(house, "pwrite64", "error=ENOSPC:when=1+"):
        for clock in ("16:19", "16:27", "16:34", "16:44", "16:59", "17:14", "18:14", "19:14"):
            house.set_clock(house.local(clock))
            ticks(house, 5)
    still = "Still not confirmed shut: Walnut, 12 hens, due 16:33"
    assert house.phone("ana").count(still) == 2
    assert house.phone("kim").count(still) == 0, "not on duty"
    alarm = "Is the door shut? Walnut, 12 hens, due 16:33"
    for who in ("ana", "kim"):
        told = house.phone(who)
        assert (told.count(alarm), told.count("IS THE DOOR SHUT?" + alarm[17:])) == (1, 2)
    tried = house.log.count("delivery.from_memory channel=mail outcome=misconfigured")
    assert 1 <= tried <= 8, "a wrong password is tried again and again"
    house.smtp.heal()
    house.settle()
    house.wait(lambda: house.faults == [], "health does not recover")


@pytest.mark.kernel
@unhurried
def test_d2_the_outcome_cannot_be_written_down(build: Build, gate: Gate) -> None:
    house = build(body=SITE + ONE_COOP + QUIET_MORNINGS + ONLY_MAIL + MAIL, limits=PATIENT)
    house.still_s = 1.0
    house.start()
    house.smtp.on_data = gate.hold
    house.set_clock(house.local("15:50"))
    house.smtp.mails.wait(1)
    with struck(house, "pwrite64", "error=ENOSPC:when=1+"):
        gate.set()
        house.wait(lambda: FULL in " ".join(house.faults), "health does not know")
        house.set_clock(house.local("15:55"))  # the lease has run out
        ticks(house)
    assert deliveries(house, "heads-up", channel="mail") == [("sending", 1, 0)]
    house.settle()
    assert deliveries(house, "heads-up", channel="mail") == [("sent", 1, 0)]
    assert len(house.smtp.mails.all()) == 1
    house.wait(lambda: house.faults == [], "health does not recover")


def test_d3_no_file_may_grow(build: Build) -> None:
    house = build(still_s=1.0)
    house.start()
    house.at("15:50")
    with no_larger_files(house, 16384):
        house.set_clock(house.local("16:19"))
        house.push.wait_shown(ANA, 2)
        house.wait(lambda: BROKEN in " ".join(house.faults), "health does not know")
        ticked(house)
        ticked(house)
    house.settle()
    assert reminded(house) == [HEADS_UP, NOW]
    assert deliveries(house, "now") == [("sent", 1, 1)]
    house.wait(lambda: house.faults == [], "health does not recover")


@unhurried
def test_d4_another_program_locks_the_journal_for_a_minute(house: House) -> None:
    house.start()
    house.at("15:50")
    with locked(house):
        house.set_clock(house.local("16:19"))
        house.push.wait_shown(ANA, 2)  # from memory, once SQLite has waited its five seconds
        house.set_clock(house.local("16:20"))
    house.settle()
    assert reminded(house) == [HEADS_UP, NOW]
    house.wait(lambda: house.faults == [], "health stays bad")
    message = house.phone_events("ana")[-1]
    with locked(house):
        assert house.push.press(message, 0) == 200
    house.wait(lambda: house.rows("SELECT 1 FROM closing"), "the answer was lost")


@unhurried
def test_d5_a_dead_tool_locks_the_journal_for_ever(build: Build) -> None:
    house = build(still_s=12.0, incomplete_s=12.0)  # a look behind a lock takes five seconds
    house.start()
    house.at("15:50")
    with locked(house):
        house.set_clock(house.local("16:19"))
        house.push.wait_shown(ANA, 2)
        house.wait(lambda: "locked" in " ".join(house.faults), "health does not know")
        assert house.ended() == GUARD_STATUS
    house.forget()
    house.start()
    house.settle()
    assert house.phone("ana") == [HEADS_UP, NOW, NOW]  # nobody knows of the one from memory
    _, first, second = house.phone_events("ana")
    assert first.said["sequence_id"] == second.said["sequence_id"]
    house.wait(lambda: house.faults == [], "health stays bad")


@pytest.mark.kernel
@unhurried
def test_d6_a_read_only_disk_at_boot(house: House) -> None:
    needs_own_mounts()
    house.start()
    house.at("15:50")
    house.kill()
    files = _files(house)
    house.wrap = [*OWN_MOUNTS, "sh", "-c", f'{READ_ONLY} && exec "$@"', str(house.data)]
    house.start(ready=False)
    assert house.ended() == 1
    assert f"{house.data} cannot be written to" in house.log
    assert "Traceback" not in house.log
    assert _files(house) == files


@pytest.mark.kernel
@unhurried
def test_d6_the_disk_becomes_read_only(build: Build) -> None:
    needs_own_mounts()
    house = build(still_s=1.0, wrap=[*OWN_MOUNTS])
    house.start()
    house.at("15:50")
    with read_only(house):
        told_from_memory(house)
        house.wait(lambda: house.faults, "health does not know")
    written_up(house)
    assert "Traceback" not in house.log


def _files(house: House) -> dict[str, tuple[int, int]]:
    return {
        path.name: (path.stat().st_size, path.stat().st_mtime_ns) for path in house.data.iterdir()
    }


def _overwrite(path: Path, start: int, octets: bytes) -> None:
    with path.open("r+b") as file:
        file.seek(start)
        file.write(octets)


DAMAGES: dict[str, Callable[[Path], object]] = {
    "page 1": lambda path: _overwrite(path, 100, os.urandom(3996)),
    "header": lambda path: _overwrite(path, 0, b"no database     "),
    "zeros": lambda path: _overwrite(path, 0, bytes(4096)),
    "one page": lambda path: _overwrite(path, path.stat().st_size - 4096, b"\xff" * 4096),
    "free list": lambda path: _overwrite(path, 32, bytes([0, 0, 0, 3, 0, 0, 0, 7])),
    "truncated": lambda path: os.truncate(path, path.stat().st_size // 8192 * 4096),
    "emptied": lambda path: os.truncate(path, 0),
}


COPIED = {"header", "free list", "emptied"}  # the quick run: each damage once


@pytest.mark.parametrize(
    ("damage", "copied"),
    [
        (damage, copied)
        for damage in DAMAGES
        for copied in (False, True)
        # Without a copy an empty file is a new journal.
        if (UNHURRIED and damage != "emptied") or copied == (damage in COPIED)
    ],
)
@unhurried
def test_d7_the_journal_is_damaged_at_boot(house: House, damage: str, copied: bool) -> None:
    house.start()
    house.at("15:50")
    journal = house.data / JOURNAL_NAME
    if copied:
        with house.journal() as opened:
            copy_journal(opened, house.data, COPIES[0])
        (house.data / COPIES[1]).write_bytes(b"a newer copy, which is damaged")
    house.at("16:19")
    evening = house.rows("SELECT snapshot FROM evening")
    house.kill()
    DAMAGES[damage](journal)
    content = journal.read_bytes()
    house.forget()
    house.start()
    house.settle()
    [aside] = house.data.glob(f"{JOURNAL_NAME}.damaged-*")
    assert aside.read_bytes() == content
    assert house.phone("ana")[:2] == [HEADS_UP, NOW]
    assert sorted(house.phone("ana")[2:]) == [DAMAGED, NOW]
    assert house.phone("kim") == [DAMAGED]
    same = [
        event.said["sequence_id"]
        for event in house.phone_events("ana")
        if NOW in event.said.values()
    ]
    assert len(set(same)) == 1
    assert deliveries(house, "heads-up") == ([("sent", 1, 0)] if copied else [("missed", 0, 0)])
    assert house.rows("SELECT snapshot FROM evening") == evening, "O8: another evening"
    house.wait(lambda: house.faults == [], "health stays bad")
    if UNHURRIED or damage == "page 1":
        house.kill()
        house.start()
        house.settle()
        assert house.phone("kim") == [DAMAGED], "told at each start"


@unhurried
def test_d8_a_newer_program_has_written_the_journal(house: House) -> None:
    house.start()
    house.settle()
    house.kill()
    journal = house.data / JOURNAL_NAME
    _write(journal, "UPDATE schema SET version = 99, min_reader = 99")
    content, files = journal.read_bytes(), _files(house)
    house.start(ready=False)
    assert house.ended() == 1
    assert "was written by a newer Duskfold (schema 99" in house.log
    assert journal.read_bytes() == content
    assert _files(house) == files
    _write(journal, "UPDATE schema SET min_reader = 1")  # newer, but we may read it
    house.start()


def _write(journal: Path, statement: str) -> None:
    connection = sqlite3.connect(journal)
    with connection:
        connection.execute(statement)
    connection.close()


@unhurried
def test_d9_the_journal_is_deleted_while_in_use(house: House) -> None:
    house.start()
    house.at("16:19")
    evening = house.rows("SELECT snapshot FROM evening")
    profile = house.rows("SELECT text FROM accepted_profile")
    house.forget()
    (house.data / JOURNAL_NAME).unlink()
    house.push.wait_shown(ANA, 2)
    house.settle()
    assert house.phone("ana").count(NOW) == 2
    first, *others = (event for event in house.phone_events("ana") if NOW in event.said.values())
    assert {event.said["sequence_id"] for event in others} == {first.said["sequence_id"]}
    assert house.rows("SELECT snapshot FROM evening") == evening, "O8: another evening"
    assert house.rows("SELECT text FROM accepted_profile") == profile, "O8: no profile in force"
    assert house.phone("kim") == [DAMAGED], "nobody hears that what was said is forgotten"
    house.wait(lambda: house.faults == [], "health stays bad")
    house.say(count=12)
    house.kill()
    house.profile_path.write_text("no profile")
    house.start()  # by the last one accepted
    house.write_profile(house.body)


@unhurried
def test_d9_another_journal_is_put_in_its_place(house: House) -> None:
    house.start()
    house.at("15:50")
    with house.journal() as opened:
        copy_journal(opened, house.data, COPIES[0])
    house.at("16:19")
    house.say(count=12)
    house.settle()
    house.forget()
    (house.data / COPIES[0]).replace(house.data / JOURNAL_NAME)  # as a keeper restores it
    house.push.wait_shown(ANA, 4)
    house.settle()
    assert house.phone("ana")[-1] == NOW, "an evening that is open again is not told"
    assert house.phone("kim") == []


def test_d10_every_connection_is_durable(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / JOURNAL_NAME)
    connections = [journal.engine.connect() for _ in range(8)]  # more than the pool keeps
    try:
        for connection in connections:
            found = {
                name: connection.exec_driver_sql(f"PRAGMA {name}").scalar_one()
                for name in (*PRAGMAS, "busy_timeout")
            }
            assert found == {
                "journal_mode": "delete",
                "synchronous": 3,
                "foreign_keys": 1,
                "secure_delete": 1,
                "busy_timeout": 5000,
            }
    finally:
        for connection in connections:
            connection.close()
        journal.close()


_COMMITS = """
import sys
from datetime import UTC, datetime
from pathlib import Path
from scheduler.journal import memos
from scheduler.journal.store import open_journal
journal = open_journal(Path(sys.argv[1]))
for number in range(int(sys.argv[2])):
    with journal.writing() as writing:
        memos.note(writing.connection, "site", "number", str(number))
journal.close()
"""


@pytest.mark.kernel
@unhurried
def test_d10_each_commit_syncs_file_journal_and_folder(tmp_path: Path) -> None:
    """EXTRA costs five syncs a commit; FULL, which does not sync the folder, four (L11)."""
    if shutil.which("strace") is None:
        pytest.skip("no strace: apt-get install strace")
    open_journal(tmp_path / JOURNAL_NAME).close()
    counted = []
    for commits in (0, 20):
        report = tmp_path / f"calls-{commits}.txt"
        command = ["strace", "-f", "-qqq", "-e", "trace=fdatasync,fsync", "-o", str(report)]
        script = [sys.executable, "-c", _COMMITS, str(tmp_path / JOURNAL_NAME), str(commits)]
        ran = subprocess.run([*command, *script], check=False, cwd=ROOT, capture_output=True)
        if ran.returncode and b"ptrace" in ran.stderr:
            pytest.skip("strace cannot trace here")
        assert ran.returncode == 0, ran.stderr
        counted.append(report.read_text().count("sync("))
    assert counted[1] - counted[0] >= 5 * 20


@pytest.mark.parametrize(
    "kind",
    ["nfs", "nfs4", "cifs", "smb3", "9p", "ceph", "glusterfs", "fuse.sshfs", "fuse.glusterfs"],
)
def test_d11_a_network_file_system_is_refused(tmp_path: Path, kind: str) -> None:
    mounts = f"/dev/vda / ext4 rw 0 0\nserver:/export {tmp_path} {kind} rw,vers=4.2 0 0\n"
    with pytest.raises(JournalFault, match=f"network file system .{kind}"):
        open_checked(DataPlace(tmp_path), WINTER_NOON, mounts)
    assert list(tmp_path.iterdir()) == []


def test_d11_a_local_disk_on_or_beside_a_network_is_taken(tmp_path: Path) -> None:
    here = tmp_path / "data folder"
    here.mkdir()
    escaped = str(here).replace(" ", "\\040")
    beside = f"/dev/vda / ext4 rw 0 0\nserver:/x {tmp_path}/data nfs4 rw 0 0\n"
    inside = f"server:/x / nfs4 rw 0 0\n/dev/vdb {escaped} ext4 rw 0 0\n"
    over = f"/dev/vdb {escaped} ext4 rw 0 0\nserver:/x {escaped} nfs4 rw 0 0\n"
    assert network_kind(here / JOURNAL_NAME, beside) == ""
    assert network_kind(here / JOURNAL_NAME, inside) == ""
    assert network_kind(here / JOURNAL_NAME, over) == "nfs4"


@unhurried
def test_d11_the_watch_does_not_start_on_a_network(build: Build, tmp_path: Path) -> None:
    table = tmp_path / "mounts"
    table.write_text(f"/dev/vda / ext4 rw 0 0\nserver:/export {tmp_path} nfs4 rw 0 0\n")
    house = build(
        root="tests.faults.broken_root",
        environment={"HARM": "mounts", "HARM_ARGUMENT": str(table)},
    )
    house.start(ready=False)
    assert house.ended() == 1
    assert "lies on a network file system (nfs4)" in house.log
    assert not (house.data / JOURNAL_NAME).exists()


_CLOSED_PIPE = """
import os, sys
unread, end = os.pipe()
os.close(unread)
for number in (1, 2):
    os.dup2(end, number)
os.execv(sys.argv[1], sys.argv[1:])
"""
_UNREAD_PIPE = """
import os, sys
unread, end = os.pipe()
os.set_inheritable(unread, True)
for number in (1, 2):
    os.dup2(end, number)
os.execv(sys.argv[1], sys.argv[1:])
"""


@pytest.mark.parametrize(
    "wrap",
    [
        pytest.param(["sh", "-c", 'exec "$@" >/dev/full 2>&1', "sh"], id="full"),
        pytest.param(["sh", "-c", 'exec "$@" >&- 2>&-', "sh"], id="closed"),
        pytest.param([sys.executable, "-c", _CLOSED_PIPE], id="closed pipe"),
    ],
)
@unhurried
def test_d13_the_log_cannot_be_written(build: Build, wrap: list[str]) -> None:
    house = build(wrap=wrap)
    house.start()
    house.at("15:50")
    house.at("16:19")
    assert house.phone("ana") == [HEADS_UP, NOW]
    house.wait(lambda: house.faults == [], "health stays bad")
    assert house.log == ""
    assert house.stop() in {0, 120}  # 120 is Python's own: its last flush failed


@unhurried
def test_d13_nobody_reads_the_log(build: Build) -> None:
    house = build(wrap=[sys.executable, "-c", _UNREAD_PIPE], still_s=1.0)
    house.start()
    house.at("15:50")
    assert house.process
    fill = os.open(f"/proc/{house.process.pid}/fd/2", os.O_WRONLY | os.O_NONBLOCK)
    with suppress(BlockingIOError):
        while os.write(fill, b"x" * 4096):
            pass
    os.close(fill)
    assert house.ended() == GUARD_STATUS  # not even its last words could be said
    house.wait(lambda: house.faults, "health does not know")
    house.wrap = []
    house.set_clock(house.local("16:19"))
    house.start()
    house.settle()
    assert reminded(house) == [HEADS_UP, NOW]
