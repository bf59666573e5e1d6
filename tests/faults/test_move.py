"""S7 of FAULTS.md: a household that moves, in one process on a driven clock."""

from collections.abc import Iterable, Sequence
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from scheduler.alerts.reminded_evening import CalledStep, Evening
from tests.cares.moves import moving
from tests.faults.driven import DAY, MINUTE, Driven, driven, memory_folder
from tests.unhurried import UNHURRIED, unhurried

__all__ = ["memory_folder"]

AROUND = 3 if UNHURRIED else 1  # evenings before the move and after it
BETWEEN = timedelta(minutes=80)
ON = date(2027, 3, 28)  # in Europe the clocks go forward that night
MOVES = [
    pytest.param("Berlin", "New York", ON, id="west"),
    pytest.param("Auckland", "Honolulu", ON, id="the-date-twice", marks=unhurried),
    pytest.param("Honolulu", "Auckland", ON, id="hardly-a-date", marks=unhurried),
    pytest.param("London", "Tromso", date(2027, 6, 21), id="to-the-midnight-sun", marks=unhurried),
]


def _evenings(house: Driven, on: date) -> list[Evening]:
    found = []
    for day in (on + number * DAY for number in range(-AROUND, AROUND + 1)):
        [evening] = house.evenings(day)
        found.append(evening)
    return found


def _looks(evenings: Sequence[Evening], steps: Iterable[CalledStep]) -> list[datetime]:
    """Each step, each brief at the place of its day, each let-out, and now and then between."""
    looks = {step.at for step in steps} | {one.let_out + MINUTE for one in evenings}
    for one in evenings:
        looks.add(datetime.combine(one.day, time(7), ZoneInfo(one.zone)).astimezone(UTC))
        looks |= {one.lock_up + number * BETWEEN for number in range(-9, 9) if UNHURRIED}
    return sorted(looks)


def _steps(evening: Evening) -> list[CalledStep]:
    """All of them; in haste none of those that come again every hour of the night."""
    return [step for step in evening.steps if UNHURRIED or step.kind not in {"everybody", "hourly"}]


@pytest.mark.parametrize(("before", "after", "on"), MOVES)
def test_s7_each_evening_around_a_move_is_reminded_of_once(
    memory_folder: Path, before: str, after: str, on: date
) -> None:
    begins = datetime.combine(on - (AROUND + 1) * DAY, time(12), UTC)
    with driven(memory_folder, moving(before, after, on), begins) as house:
        house.at(begins)
        evenings = _evenings(house, on)
        seen, restarted = [], False
        steps = [(evening, step) for evening in evenings for step in _steps(evening)]
        for at in _looks(evenings, [step for _, step in steps]):
            house.at(at)
            seen.append(house.running.household.today(at))
            if at.date() == on and not restarted:
                restarted = True
                house.stop()  # a restart on the day of the move changes nothing
                house.start()
        assert seen == sorted(seen)
        assert _evenings(house, on) == evenings
        told = {one.outgoing.message_id: one.at for one in house.messages()}
        assert len(told) == len(house.messages()), "something was told twice"
        keys = {house.key_of(message_id): at for message_id, at in told.items()}
        by_step = {(key.day, str(key.step)): at for key, at in keys.items() if key}
        for evening, step in steps:
            assert by_step.get((evening.day, str(step.name))) == step.at, (evening.day, step)
        assert {evening.day for evening in evenings} <= {
            day for day, step in by_step if step == "brief"
        }


def test_s7_the_last_evening_at_the_old_place_runs_past_midnight_as_it_began(
    memory_folder: Path,
) -> None:
    with driven(
        memory_folder, moving("Berlin", "New York", ON), datetime(2027, 3, 26, 9, tzinfo=UTC)
    ) as house:
        [last] = house.evenings(ON - DAY)
        for step in last.steps:
            house.at(step.at)
            if step.kind == "again":
                house.write_profile(moving("Berlin", "London", ON))
        assert house.running.almanac.profile.site.zone.key == "Europe/London"  # type: ignore[attr-defined] # a ZoneInfo
        told = [house.key_of(one.outgoing.message_id) for one in house.messages()]
        steps = {str(key.step) for key in told if key and key.day == ON - DAY}
        assert {str(step.name) for step in last.steps} <= steps
        nights = {
            one.evening.day: one
            for one in house.running._seen.nights(  # noqa: SLF001 - what the tick saw
                house.running.almanac, house.clock.at
            )
        }
        assert nights[ON - DAY].evening.steps == last.steps
        assert str(nights[ON - DAY].zone) == "Europe/Berlin"
        assert timedelta() < last.let_out - last.lock_up
