"""Can the time of day be believed? C1, C2, C4, C5 and C6 of FAULTS.md."""

import logging
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta

import pytest

from scheduler.machine.clock import Readings, SystemClock
from scheduler.machine.clock_trust import BUILT, Judgement, Trust, Watchfulness

NOW = datetime(2026, 12, 21, 16, 18, tzinfo=UTC)
TICK_S = 15.0
DAY = timedelta(days=1)
SECOND = timedelta(seconds=1)
HOUR = timedelta(hours=1)


@dataclass(slots=True)
class Machine:
    """A machine's clocks, judged at every tick."""

    wall: datetime
    synchronised: bool = False
    boot_s: float = 100.0
    judging: Watchfulness = field(default_factory=lambda: Watchfulness(floor=NOW - DAY))

    def tick(self, *, set_by: timedelta = timedelta(), after_s: float = TICK_S) -> Judgement:
        """So many seconds later, the clock set by that much meanwhile."""
        self.boot_s += after_s
        self.wall += after_s * SECOND + set_by
        return self.judging.judge(
            Readings(
                wall=self.wall, boot_s=self.boot_s, monotonic_s=self.boot_s,
                synchronised=self.synchronised,
            )
        )  # fmt: skip


def trusted(*, stepped: bool = False, back: bool = False) -> Judgement:
    return Judgement(trust="trusted", stepped=stepped, back=back)


def test_an_ordinary_clock_is_trusted_and_raises_the_floor() -> None:
    machine = Machine(NOW)
    assert machine.tick() == trusted()
    assert machine.judging.floor == machine.wall - HOUR
    assert machine.tick(after_s=7200) == trusted()
    assert machine.judging.floor == machine.wall - HOUR


@pytest.mark.parametrize("wall", [datetime(1970, 1, 1, tzinfo=UTC), NOW - 30 * DAY])
def test_c1_below_the_floor_it_is_not_and_once_set_right_it_is_in_one_tick(wall: datetime) -> None:
    machine = Machine(wall)
    floor = machine.judging.floor
    assert [machine.tick().trust for _ in range(3)] == ["untrusted"] * 3
    assert machine.judging.floor == floor
    assert machine.tick(set_by=NOW - machine.wall) == trusted(stepped=True)


def test_c2_years_ahead_it_is_doubtful_and_is_not_remembered() -> None:
    machine = Machine(datetime(2098, 1, 1, tzinfo=UTC))
    floor = machine.judging.floor
    assert [machine.tick().trust for _ in range(3)] == ["doubtful"] * 3
    assert machine.judging.floor == floor
    assert machine.tick(set_by=NOW - machine.wall) == trusted(stepped=True, back=True)
    assert machine.tick() == trusted()


def test_a5_far_ahead_it_stays_doubtful_until_it_is_synchronised() -> None:
    machine = Machine(NOW + 365 * DAY)
    seen: list[Trust] = [machine.tick(after_s=3600).trust for _ in range(100)]
    assert seen == ["doubtful"] * 100
    machine.synchronised = True
    assert machine.tick() == trusted()


def test_a5_far_ahead_it_is_believed_once_somebody_agrees() -> None:
    machine = Machine(NOW + 365 * DAY)
    assert machine.tick().trust == "doubtful"
    machine.judging.agree(machine.wall, machine.wall)
    assert machine.tick() == trusted()
    assert machine.judging.floor == machine.wall - HOUR


def test_a5_what_was_agreed_ends_when_the_clock_is_set_back() -> None:
    machine = Machine(NOW + 365 * DAY)
    machine.tick()
    machine.judging.agree(machine.wall, machine.wall)
    machine.tick()
    assert machine.tick(set_by=-365 * DAY) == trusted(stepped=True, back=True)
    assert machine.tick(set_by=365 * DAY).trust == "doubtful"


@pytest.mark.parametrize(("hours", "trust"), [(12, "trusted"), (35, "trusted"), (38, "doubtful")])
def test_a5_off_for_a_night_and_a_day_is_no_reason_for_doubt(hours: int, trust: Trust) -> None:
    # The floor lies an hour below what was believed.
    machine = Machine(NOW, judging=Watchfulness(floor=NOW - HOUR))
    machine.wall += hours * HOUR
    assert machine.tick().trust == trust


def test_a5_set_far_forward_while_it_runs_it_is_doubtful() -> None:
    machine = Machine(NOW)
    machine.tick()
    judged = machine.tick(set_by=365 * DAY)
    assert judged == Judgement(trust="doubtful", stepped=True)


def test_a5_a_first_start_has_nothing_to_be_held_against() -> None:
    assert Machine(BUILT + 390 * DAY, judging=Watchfulness()).tick() == trusted()
    assert Machine(BUILT + 410 * DAY, judging=Watchfulness()).tick().trust == "doubtful"


@pytest.mark.parametrize("wall", [NOW + 2000 * DAY, NOW - 10 * DAY])
def test_a_clock_from_the_network_is_believed(wall: datetime) -> None:
    assert Machine(wall, synchronised=True).tick() == trusted()


def test_not_even_the_network_is_believed_before_this_release() -> None:
    assert Machine(BUILT - DAY, synchronised=True).tick().trust == "untrusted"


def test_c4_set_back_while_it_runs_it_is_believed() -> None:
    machine = Machine(NOW)
    machine.tick()
    assert machine.tick(set_by=-3 * HOUR) == trusted(stepped=True, back=True)
    assert machine.tick() == trusted()
    assert machine.judging.floor == machine.wall - HOUR


def test_c4_behind_a_time_that_came_from_the_network_it_is_not_until_somebody_says_so() -> None:
    machine = Machine(NOW, synchronised=True)
    machine.tick()
    machine.synchronised = False
    machine.tick()
    assert machine.tick(set_by=-3 * HOUR).trust == "untrusted"
    assert machine.tick(set_by=3 * HOUR) == trusted(stepped=True)
    machine.tick(set_by=-3 * HOUR)
    assert machine.judging.agree(machine.wall, machine.wall)
    assert machine.tick() == trusted()


def test_c4_the_network_sets_its_own_time_back() -> None:
    machine = Machine(NOW, synchronised=True)
    machine.tick()
    assert machine.tick(set_by=-3 * HOUR) == trusted(stepped=True, back=True)


def test_set_back_past_this_release_it_is_not() -> None:
    machine = Machine(NOW)
    machine.tick()
    judged = machine.tick(set_by=BUILT - DAY - NOW)
    assert judged == Judgement(trust="untrusted", stepped=True, back=True)


def test_c3_set_forward_it_is_a_step() -> None:
    machine = Machine(NOW)
    machine.tick()
    assert machine.tick(set_by=HOUR) == trusted(stepped=True)


def test_c5_of_a_clock_that_swings_each_way_is_told_once_an_hour(
    caplog: pytest.LogCaptureFixture,
) -> None:
    machine = Machine(NOW)
    machine.tick()
    with caplog.at_level(logging.WARNING):
        judged = [machine.tick(set_by=sign * 5 * 60 * SECOND) for sign in [1, -1] * 200]
    swings = [trusted(stepped=True), trusted(stepped=True, back=True)]
    assert judged == swings * 200  # 100 minutes
    ways = [record.getMessage().split()[1] for record in caplog.records]
    assert ways == ["way=forward", "way=back"] * 2


def test_c6_a_slow_drift_and_a_smeared_leap_second_are_no_step() -> None:
    machine = Machine(NOW)
    machine.tick()
    drifted = [machine.tick(set_by=0.0005 * TICK_S * SECOND) for _ in range(2000)]
    assert drifted == [trusted()] * 2000
    assert machine.tick(set_by=-1 * SECOND) == trusted()


def test_a_suspended_machine_has_not_been_set() -> None:
    # P12: wall time and the time since boot go on together.
    machine = Machine(NOW)
    machine.tick()
    assert machine.tick(after_s=3 * 3600) == trusted()
    assert machine.tick(after_s=10 * 86_400) == trusted()


def test_the_machine_s_own_clocks_go_forward() -> None:
    clock = SystemClock()
    first, second = clock.read(), clock.read()
    assert first.wall.tzinfo is UTC
    assert first.boot_s <= second.boot_s
    assert first.monotonic_s <= second.monotonic_s


def test_a_right_clock_behind_a_wrong_last_tick_is_believed_once_somebody_agrees() -> None:
    machine = Machine(NOW, judging=Watchfulness(floor=NOW + 365 * DAY))
    assert machine.tick().trust == "untrusted"
    assert machine.judging.agree(machine.wall, machine.wall)
    assert machine.tick() == trusted()
    assert machine.tick(set_by=365 * DAY).trust == "doubtful"


@pytest.mark.parametrize("ahead", [HOUR, 365 * DAY])
def test_what_was_agreed_in_a_time_to_come_is_void(ahead: timedelta) -> None:
    machine = Machine(NOW)
    assert not machine.judging.agree(NOW + ahead, NOW)
    machine.wall += 2 * DAY
    assert machine.tick().trust == "doubtful"


def test_an_agreement_that_comes_to_lie_ahead_ends_no_doubt() -> None:
    machine = Machine(NOW + 365 * DAY)
    machine.judging.agree(machine.wall, machine.wall)
    machine.wall = NOW + 100 * DAY  # another boot
    assert machine.tick().trust == "doubtful"


def test_nobody_can_agree_to_a_time_before_this_release() -> None:
    machine = Machine(BUILT - DAY)
    assert not machine.judging.agree(machine.wall, machine.wall)
    assert machine.tick().trust == "untrusted"
