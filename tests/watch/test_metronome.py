"""The beat goes on: ticks never overlap, and the guard sees to it that they come."""

import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import UTC, datetime, timedelta

import pytest

from scheduler.machine.clock import Readings
from scheduler.watch.metronome import Guard, Metronome
from tests.sinks.waiting import PATIENCE_S, Collected

NOW = datetime(2026, 12, 21, 16, 18, tzinfo=UTC)
PERIOD_S = 0.02
LONG_S = 3600.0
BEFORE = Readings(wall=NOW, boot_s=1000.0, monotonic_s=1000.0)
HOUR = timedelta(hours=1)
STILL_S = 0.09  # the guard looks every hundredth of a second
LOOKS = 5


def nothing() -> None:
    """No housekeeping."""


@contextmanager
def beating(metronome: Metronome) -> Iterator[Metronome]:
    """A metronome that beats and is stopped at the end."""
    metronome.start()
    try:
        yield metronome
    finally:
        metronome.stop()


# The metronome


def test_it_beats_again_and_again() -> None:
    ticks: Collected[int] = Collected()
    with beating(Metronome(lambda: ticks.add(1), nothing, period_s=PERIOD_S)):
        ticks.wait(5)


def test_the_next_beat_can_be_pulled_to_now() -> None:
    ticks: Collected[int] = Collected()
    with beating(Metronome(lambda: ticks.add(1), nothing, period_s=LONG_S)) as metronome:
        assert ticks.all() == []
        for count in (1, 2, 3):
            metronome.beat_now()
            ticks.wait(count)


def test_a_tick_that_raises_does_not_end_the_beat() -> None:
    ticks: Collected[int] = Collected()

    def tick() -> None:
        ticks.add(1)
        raise ZeroDivisionError

    with beating(Metronome(tick, nothing, period_s=PERIOD_S)):
        ticks.wait(3)


def test_a_slow_tick_is_never_overtaken_by_the_next() -> None:
    begun: Collected[int] = Collected()
    free = threading.Event()
    now_running: list[int] = []
    most: list[int] = []

    def tick() -> None:
        now_running.append(1)
        most.append(len(now_running))
        begun.add(1)
        free.wait(PATIENCE_S)
        now_running.pop()

    with beating(Metronome(tick, nothing, period_s=PERIOD_S)) as metronome:
        begun.wait()
        for _ in range(5):
            metronome.beat_now()
        free.set()
        begun.wait(3)
    assert max(most) == 1


def test_housekeeping_that_takes_long_holds_up_no_tick() -> None:
    ticks: Collected[int] = Collected()
    keeping, free = threading.Event(), threading.Event()

    def housekeeping() -> None:
        keeping.set()
        free.wait(PATIENCE_S)

    with beating(Metronome(lambda: ticks.add(1), housekeeping, period_s=PERIOD_S)) as metronome:
        job = metronome._scheduler.get_job("housekeeping")  # noqa: SLF001 - it comes in five minutes
        job.modify(next_run_time=datetime.now(UTC))
        assert keeping.wait(PATIENCE_S)
        ticks.wait(len(ticks.all()) + 5)
        free.set()


def test_a_stop_waits_for_the_tick_under_way() -> None:
    begun, free, ended = threading.Event(), threading.Event(), threading.Event()

    def tick() -> None:
        begun.set()
        free.wait(PATIENCE_S)
        ended.set()

    metronome = Metronome(tick, nothing, period_s=PERIOD_S)
    metronome.start()
    assert begun.wait(PATIENCE_S)
    stopping = threading.Thread(target=metronome.stop)
    stopping.start()
    stopping.join(0.1)  # it must still be waiting
    assert stopping.is_alive()
    free.set()
    stopping.join(PATIENCE_S)
    assert not stopping.is_alive()
    assert ended.is_set()


# The guard


@dataclass
class Machine:
    """Clocks that a test drives, and what the guard does about them."""

    readings: Readings = BEFORE
    reads: Collected[Readings] = field(default_factory=Collected)
    begun_s: float = 1000.0
    complete_s: float = 1000.0
    pulled: Collected[str] = field(default_factory=Collected)
    died: Collected[str] = field(default_factory=Collected)

    def read(self) -> Readings:
        """What they show now."""
        self.reads.add(self.readings)
        return self.readings

    def go(self, wall: timedelta = timedelta(), boot_s: float = 0, awake_s: float = 0) -> None:
        """Moves each clock on by so much."""
        was = self.readings
        self.readings = replace(
            was,
            wall=was.wall + wall,
            boot_s=was.boot_s + boot_s,
            monotonic_s=was.monotonic_s + awake_s,
        )

    def looked(self) -> None:
        """Waits until the guard has looked several times more."""
        self.reads.wait(len(self.reads.all()) + LOOKS)


@pytest.fixture
def machine() -> Iterator[Machine]:
    """A machine whose guard has begun to look."""
    driven = Machine()
    guard = Guard(
        driven,
        still_s=STILL_S,
        incomplete_s=2 * STILL_S,
        begun_s=lambda: driven.begun_s,
        complete_s=lambda: driven.complete_s,
        beat_now=lambda: driven.pulled.add("pulled"),
        die=driven.died.add,
    )
    guard.start()
    driven.looked()
    yield driven
    guard.stop()
    assert not any(thread.name == "duskfold-guard" for thread in threading.enumerate())


def test_while_ticks_come_the_guard_does_nothing(machine: Machine) -> None:
    for _ in range(10):
        second = machine.readings.monotonic_s + 1
        machine.begun_s = machine.complete_s = second
        machine.go(timedelta(seconds=1), 1, 1)
        machine.looked()
    assert machine.died.all() == machine.pulled.all() == []


def test_the_guard_ends_a_process_whose_tick_stands_still(machine: Machine) -> None:
    machine.go(timedelta(seconds=0.08), 0.08, 0.08)
    machine.looked()
    assert machine.died.all() == []
    machine.go(timedelta(seconds=0.02), 0.02, 0.02)
    assert machine.died.wait()[0] == "the tick stands still"


def test_the_guard_ends_a_process_whose_ticks_are_never_complete(machine: Machine) -> None:
    machine.begun_s += 0.2
    machine.go(timedelta(seconds=0.2), 0.2, 0.2)
    assert machine.died.wait()[0] == "no tick was complete for too long"


def test_a_tick_that_stands_still_is_not_excused_by_a_clock_that_was_set(machine: Machine) -> None:
    machine.go(-HOUR, 0.1, 0.1)
    assert machine.died.wait()[0] == "the tick stands still"


@pytest.mark.parametrize("by", [HOUR, -HOUR, timedelta(seconds=2.1)])
def test_after_the_clock_was_set_the_beat_is_pulled_once(machine: Machine, by: timedelta) -> None:
    machine.go(by)
    machine.pulled.wait()
    machine.looked()
    assert machine.pulled.all() == ["pulled"]
    assert machine.died.all() == []


def test_c6_a_small_correction_pulls_nothing(machine: Machine) -> None:
    machine.go(timedelta(seconds=1.9))
    machine.looked()
    assert machine.pulled.all() == []


def test_p12_a_machine_that_slept_is_neither_set_nor_standing_still(machine: Machine) -> None:
    machine.go(3 * HOUR, boot_s=3 * 3600)
    machine.looked()
    assert machine.pulled.all() == machine.died.all() == []
