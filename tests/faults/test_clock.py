"""C1–C11 of reliability.md §17: clocks that are behind, ahead, set, and zones that change.

On the house's day: `now` 16:18:29, `next` 16:33:40.
"""

import os
import subprocess
import sys
from collections.abc import Callable
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import apscheduler.schedulers.base as metronome_clock
import pytest

from scheduler.alerts.ladder import ladder
from scheduler.journal.store import open_journal
from scheduler.light.sun import HalfDay
from scheduler.light.wall import first_in
from scheduler.profile.values import Reminders
from scheduler.service.metronome import Metronome
from scheduler.service.publish import Request, publish
from tests.faults.house import House
from tests.sinks.waiting import PATIENCE_S

Build = Callable[..., House]
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
NEXT = "Nobody says it is shut: Walnut, 12 hens, due 16:33"
UNKNOWN = "Duskfold does not know what time it is: watch the door yourself"
HOUR = timedelta(hours=1)


def trust(house: House) -> str:
    assert house.pulse
    return house.pulse.trust


def next_tick(house: House) -> None:
    seen = house.pulse
    house.wait(lambda: house.pulse != seen, "no tick")


@pytest.mark.parametrize("wrong", [datetime(1970, 1, 1, 0, 5, tzinfo=UTC), None], ids=str)
def test_c1_a_clock_that_is_behind_is_not_believed(house: House, wrong: datetime | None) -> None:
    house.start()
    house.at("16:19")
    assert house.phone("ana") == [NOW]
    house.stop()
    over = "SELECT count(*) FROM delivery WHERE state IN ('dead', 'missed')"
    before = house.rows(over)
    right = house.now
    house.set_clock(wrong or right - timedelta(days=30))
    house.start()
    house.settle()
    assert trust(house) == "untrusted"
    assert house.phone("ana")[1:] == [UNKNOWN]
    assert any("clock of this machine is wrong" in fault for fault in house.faults)
    assert house.rows(over) == before
    house.set_clock(right + timedelta(minutes=15), wall_only=True)
    house.settle()
    assert trust(house) == "trusted"
    assert house.faults == []
    assert house.phone("kim") == [UNKNOWN, NEXT]


def test_c1_a_door_can_be_shut_while_the_time_is_unknown(house: House) -> None:
    house.start()
    house.at("16:19")
    house.stop()
    right = house.now
    house.set_clock(right - timedelta(days=30))
    house.start()
    assert trust(house) == "untrusted"
    house.say(count=12, evening=house.now.date())
    assert house.rows("SELECT count(*) FROM closing") == [(1,)]
    house.set_clock(right, wall_only=True)
    house.say(count=12)
    house.at("16:35")
    assert house.phone("kim") == [UNKNOWN]


def test_c1_a_synchronised_clock_is_believed_below_the_floor(house: House) -> None:
    house.start()
    house.at("16:19")
    house.stop()
    # What was remembered came from a wrong time; the network says what is right.
    house.set_clock(house.local("12:30", date(2026, 12, 20)), synchronised=True)
    house.start()
    assert trust(house) == "trusted"


def test_c2_booted_in_2098_then_set_right(house: House) -> None:
    right = house.local("15:40")
    house.set_clock(datetime(2098, 6, 1, 12, tzinfo=UTC))
    house.start()
    house.settle()
    assert trust(house) == "doubtful"
    first = house.rows("SELECT min(day), max(day) FROM delivery WHERE operation = 'send'")[0]
    house.set_clock(right, wall_only=True)
    house.settle()
    assert trust(house) == "trusted"
    house.at("15:50")
    house.at("16:19")
    assert NOW in house.phone("ana")
    beyond = "SELECT count(*) FROM delivery WHERE day > '2026-12-21' AND day NOT LIKE '2098-%'"
    assert house.rows(beyond) == [(0,)]
    assert all(day is None or day.startswith("2098-") for day in first)
    expired = (
        "SELECT count(*) FROM delivery WHERE day LIKE '2026-%' AND state IN ('dead', 'missed')"
    )
    assert house.rows(expired) == [(0,)]


def test_c3_an_hour_forward_across_dusk_alerts_at_once_and_once(house: House) -> None:
    house.start()
    house.at("15:30")
    house.set_clock(house.local("16:30"), wall_only=True)
    house.settle()
    told = house.phone("ana")
    assert [title for title in told if title.startswith("Lock up")] == [
        "Lock up, not confirmed yet: Walnut, 12 hens, by 16:33"
    ]
    house.at("16:32")
    assert house.phone("ana") == told
    assert house.log.count("clock.stepped way=forward") == 1


def test_c4_an_hour_back_sends_nothing_twice_and_goes_on(house: House) -> None:
    house.start()
    house.at("15:50")
    house.at("16:19")
    told = house.phone("ana")
    house.set_clock(house.local("15:19"), wall_only=True)
    house.settle()
    for clock in ("15:48:30", "16:18:40"):
        house.at(clock)
        assert house.phone("ana") == told
    house.at("16:27")
    assert len(house.phone("ana")) == len(told) + 1
    house.at("16:34")
    assert house.phone("kim") == [NEXT]


def test_c4_the_beat_is_pulled_when_the_metronome_s_clock_was_set_back(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    # reliability.md L4: an interval job waits as long as the clock was set back.
    import threading  # noqa: PLC0415 - of this test alone

    beats = threading.Semaphore(0)
    metronome = Metronome(beats.release, lambda: None, period_s=0.05)
    metronome.start()
    try:
        assert beats.acquire(timeout=PATIENCE_S)

        class Behind(datetime):
            """The scheduler module's clock, an hour behind."""

            @classmethod
            def now(cls, tz: object = None) -> datetime:  # type: ignore[override] # datetime's own
                return datetime.now(UTC).astimezone(tz) - HOUR  # type: ignore[arg-type] # as above

        monkeypatch.setattr(metronome_clock, "datetime", Behind)
        while beats.acquire(timeout=0.5):
            pass
        # It stands still now. Pulled to a time that this clock has passed, it beats again.
        metronome._beat.modify(next_run_time=Behind.now(UTC))  # noqa: SLF001 - what beat_now does, by the clock above
        assert beats.acquire(timeout=PATIENCE_S)
    finally:
        monkeypatch.undo()
        metronome.stop()


def test_c5_a_clock_that_swings_repeats_nothing_and_fills_no_log(house: House) -> None:
    house.start()
    house.at("16:19")
    base, told = house.now, house.phone("ana")
    for number in range(50):
        swing = timedelta(minutes=5 if number % 2 else -5)
        house.set_clock(base + swing, wall_only=True)
        next_tick(house)
    house.set_clock(base, wall_only=True)
    house.settle()
    assert [title for title in house.phone("ana") if title == NOW] == [NOW]
    assert len(house.phone("ana")) - len(told) <= 1  # at 16:24 the half-way reminder may be due
    assert house.log.count("clock.stepped way=forward") == 1
    assert house.log.count("clock.stepped way=back") == 1
    house.at("16:34")
    assert house.phone("kim") == [NEXT]


def test_c6_a_slow_drift_is_no_step(house: House) -> None:
    house.start()
    for _ in range(20):
        house.set_clock(house.now + timedelta(milliseconds=400), wall_only=True)
        next_tick(house)
    house.at("16:19")
    assert house.phone("ana")[-1] == NOW
    assert "clock.stepped" not in house.log


@pytest.mark.parametrize(
    ("zone", "day", "wall", "expected"),
    [
        # The clock jumps from 22:00 to 23:00, from 00:00 to 01:00: the first instant after the gap.
        ("Pacific/Easter", date(2026, 9, 5), "22:30", "23:00"),
        ("America/Nuuk", date(2026, 3, 28), "23:30", "00:00"),
        ("Asia/Beirut", date(2026, 3, 28), "00:30", "01:00"),
        ("Africa/Cairo", date(2026, 4, 23), "00:30", "01:00"),
    ],
)
def test_c7_a_bound_in_the_gap_means_the_first_instant_after_it(
    zone: str, day: date, wall: str, expected: str
) -> None:
    # The zones of reliability.md L23, dates from tzdata.
    local = ZoneInfo(zone)
    noon = datetime(day.year, day.month, day.day, 12, tzinfo=local).astimezone(UTC)
    half = HalfDay(noon, noon + timedelta(hours=16))
    at = datetime.strptime(wall, "%H:%M").time()  # noqa: DTZ007 - a time of day has no zone
    found = first_in(half, at, local)
    assert found is not None
    assert f"{found.astimezone(local):%H:%M}" == expected


def test_c8_a_bedtime_that_the_clock_shows_twice_comes_once() -> None:
    # Pacific/Easter, 4 April 2026: from 22:00 back to 21:00 (tzdata).
    zone = ZoneInfo("Pacific/Easter")
    lock_up = datetime(2026, 4, 4, 18, 30, tzinfo=zone).astimezone(UTC)
    let_out = datetime(2026, 4, 5, 7, 0, tzinfo=zone).astimezone(UTC)
    bedtime = first_in(HalfDay(lock_up - 6 * HOUR, let_out), time(21, 30), zone)
    steps = ladder(
        Reminders(),
        lock_up=lock_up,
        latest=lock_up + timedelta(minutes=15),
        bedtime=bedtime,
        let_out=let_out,
    )
    assert [step.kind for step in steps].count("bedtime") == 1
    assert len({step.name for step in steps}) == len(steps)
    assert sorted(step.at for step in steps) == [step.at for step in steps]


def test_c9_another_zone_on_the_day_keeps_the_slot_and_alerts_once(house: House) -> None:
    house.start()
    house.at("16:19")
    told = house.phone("ana")
    house.write_profile(house.body.replace("Europe/London", "Europe/Lisbon"))
    house.wait(lambda: house.pulse and house.pulse.profile_number == 2, "it was not taken over")
    house.at("16:20")
    assert house.phone("ana") == told
    journal = open_journal(house.folder / "feeds.sqlite3")
    try:
        london = publish(journal, house.household(), Request(), house.now)
        house.write_profile(house.body.replace("Europe/Lisbon", "Europe/Madrid"))
        sequences = {uid: one.sequence for uid, one in journal.revisions("orchard").items()}
        publish(journal, house.household(), Request(), house.now + HOUR)
        after = {uid: one.sequence for uid, one in journal.revisions("orchard").items()}
    finally:
        journal.close()
    assert london
    moved = [uid for uid in sequences if uid in after and after[uid] != sequences[uid]]
    assert moved
    assert all(after[uid] > sequences[uid] for uid in moved)


def test_c10_the_system_s_zone_data_is_not_asked(tmp_path: Path) -> None:
    # The program brings its own (tzdata), so the system's may be missing or old.
    done = subprocess.run(
        [sys.executable, "-m", "scheduler", "-p", "config/annotated.toml", "today", "--json"],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "PYTHONTZPATH": str(tmp_path), "TZDIR": str(tmp_path)},
    )
    assert done.returncode == 0, done.stderr
    assert '"lockup"' in done.stdout


def test_c11_the_process_s_own_zone_changes_nothing(tmp_path: Path) -> None:
    said = set()
    for zone in ("UTC", "Pacific/Apia", "America/Nuuk", "Pacific/Easter"):
        out = tmp_path / zone.replace("/", "-")
        done = subprocess.run(
            [
                *(sys.executable, "-m", "scheduler", "-p", "config/annotated.toml", "feed"),
                *("--out", str(out), "--from", "2026-12-21", "--data", str(tmp_path / "data")),
            ],
            capture_output=True,
            text=True,
            check=False,
            env={**os.environ, "TZ": zone},
        )
        assert done.returncode == 0, done.stderr
        said.add((out / "all.ics").read_bytes())
    assert len(said) == 1
