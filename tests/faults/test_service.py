"""What the running service does besides reminding: heartbeat, supervisor, copies, profiles."""

import socket
import sqlite3
from collections.abc import Callable
from pathlib import Path

from scheduler.journal.memos import last_accepted
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.watch.journal_recovery import COPIES
from tests.faults.house import House
from tests.unhurried import unhurried

Build = Callable[..., House]


@unhurried
def test_the_heartbeat_comes_after_a_complete_tick_and_stops_with_the_journal(
    build: Build,
) -> None:
    house = build()
    house.environment["DUSKFOLD_HEARTBEAT_URL"] = f"{house.push.url}/beat-of-q7w2"
    house.start()
    house.wait(lambda: _beats(house) == 1, "no heartbeat")
    held = sqlite3.connect(house.data / JOURNAL_NAME, isolation_level=None)
    held.execute("BEGIN EXCLUSIVE")
    try:
        house.set_clock(house.local("16:18:30"))
        house.wait(lambda: house.pulse and house.pulse.fault, "the fault was not told")
        assert _beats(house) == 1
    finally:
        held.rollback()
        held.close()
    house.settle()


def _beats(house: House) -> int:
    return sum(asked.path == "/beat-of-q7w2" for asked in house.push.asked.all())


def test_the_supervisor_hears_ready_alive_and_stopping(build: Build, tmp_path: Path) -> None:
    # The protocol of sd_notify(3).
    with socket.socket(socket.AF_UNIX, socket.SOCK_DGRAM) as ear:
        address = str(tmp_path / "notify")
        ear.bind(address)
        ear.settimeout(10)
        house = build(environment={"NOTIFY_SOCKET": address})
        house.start()
        heard = {ear.recv(100) for _ in range(3)}
        assert heard == {b"READY=1", b"WATCHDOG=1"}
        assert house.stop() == 0
        while (said := ear.recv(100)) == b"WATCHDOG=1":
            pass
        assert said == b"STOPPING=1"


def test_health_forgets_the_running_service_within_its_time(build: Build) -> None:
    house = build(still_s=1.0)
    house.start()
    house.wait(lambda: house.faults == [], "health stays bad")
    house.kill()
    house.wait(lambda: house.faults, "health stayed good", timeout_s=5)
    assert any("have not been heard from" in fault for fault in house.faults)


def test_health_knows_at_once_of_a_service_that_was_asked_to_stop(house: House) -> None:
    house.start()
    house.wait(lambda: house.faults == [], "health stays bad")
    house.stop()
    assert any("They were stopped on" in fault for fault in house.faults)


def test_the_profile_in_force_is_written_down_with_its_number(house: House) -> None:
    house.start()
    with house.journal() as journal, journal.reading() as connection:
        assert last_accepted(connection) == (1, house.profile_path.read_text())
    house.write_profile(house.body.replace("hens = 12", "hens = 11"))
    house.wait(lambda: house.pulse and house.pulse.profile_number == 2, "it was not taken over")
    with house.journal() as journal, journal.reading() as connection:
        assert last_accepted(connection) == (2, house.profile_path.read_text())
    house.stop()
    house.start()
    assert house.pulse
    assert house.pulse.profile_number == 2


def test_what_is_kept_can_be_read_by_its_owner_alone(house: House) -> None:
    house.start()
    for path in house.data.iterdir():
        if path.name in {JOURNAL_NAME, "signing.key", *COPIES}:
            assert path.stat().st_mode & 0o077 == 0, path.name
