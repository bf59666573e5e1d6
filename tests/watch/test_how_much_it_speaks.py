"""How many messages a household of four gets in a week: counted on a driven year.

A message is one step to one person, over however many ways. The limits are what people put up with
before they mute a thing (common practice, no source).
"""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from pathlib import Path

import pytest

from scheduler.cares.records import Report, Spell
from scheduler.service.reports import report
from scheduler.watch.site_messages import next_note
from tests.conftest import SMALL
from tests.faults.driven import DAY, MINUTE, Arrived, Driven, driven, memory_folder
from tests.unhurried import UNHURRIED, unhurried

__all__ = ["memory_folder"]
pytestmark = [pytest.mark.slow, unhurried]

PEOPLE = ("Ana", "Bo", "Cy", "Di")
PROFILE = SMALL + "".join(
    f'[[person]]\nname = "{name}"\npush = "https://push.example.net/{name.lower()}-8c1f9e2b77aa"\n'
    f'mail = "{name.lower()}@example.org"\n'
    for name in PEOPLE
)
PROFILE += '[mail]\nhost = "mail.example.net"\nfrom = "hens@example.net"\n'
FIRST = date(2027, 1, 4)  # a Monday
BEGINS = time(12, 1)  # after the morning's brief, so that a week has seven
WEEKS = 52 if UNHURRIED else 6


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What one person heard in a week: every message, and the loud ones of them."""

    all: int
    loud: int


def week_of(house: Driven, since: int) -> dict[str, Heard]:
    """What everybody heard since then; the same step over two ways is one message."""
    once: dict[tuple[object, ...], Arrived] = {}
    for one in house.messages()[since:]:
        key = house.key_of(one.outgoing.message_id)
        assert key is not None
        step = (key.person_id, key.subject_id, key.day, str(key.step), key.opening)
        once.setdefault(step, one)
    every = Counter(one.outgoing.person_name for one in once.values())
    loud = Counter(one.outgoing.person_name for one in once.values() if one.loud)
    return {name: Heard(all=every[name], loud=loud[name]) for name in PEOPLE}


def instants(house: Driven, day: date) -> Iterator[datetime]:
    """All that can be due from noon of that date to the next one's."""
    begins = datetime.combine(day, BEGINS, UTC)
    yield from (step.at for evening in house.evenings(day) for step in evening.steps)
    at = begins
    while (at := next_note(house.running.almanac, at)) < begins + DAY:
        yield at


def pass_evening(house: Driven, day: date, *, count: int | None = 12) -> None:
    """A day on which Ana shuts the door two minutes after the lock-up; `None`: nobody does."""
    [evening] = house.evenings(day)
    shut_at = evening.lock_up + 2 * MINUTE
    found_at = shut_at + 50 * MINUTE
    said: set[str] = set()
    late = {found_at, found_at + 10 * MINUTE}  # and whatever a search asks for until then
    for at in sorted({*instants(house, day), shut_at, shut_at + 20 * MINUTE, *late}):
        house.at(at)
        if count is not None and at >= shut_at and "closed" not in said:
            said.add("closed")
            house.say("closed", "Ana", count=count)
            house.at(at + MINUTE / 4)
        if count is not None and count < 12 and at >= found_at and "found" not in said:
            said.add("found")
            house.say("found", "Ana")
            house.at(at + MINUTE / 4)


def test_a_normal_week_is_one_loud_message_an_evening_to_whoever_is_on_duty(
    memory_folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    heard: list[dict[str, Heard]] = []
    with driven(memory_folder, PROFILE, datetime.combine(FIRST, BEGINS, UTC)) as house:
        since = len(house.messages())
        for number in range(7 * WEEKS):
            pass_evening(house, FIRST + number * DAY)
            if number % 7 == 6:
                heard.append(week_of(house, since))
                since = len(house.messages())
    with capsys.disabled():
        print(f"\nnormal weeks: {Counter(map(str, heard)).most_common(4)}")
    for number, week in enumerate(heard):
        assert week["Ana"].all <= 21, (number, week)
        assert week["Ana"].loud <= 7, (number, week)
        assert week["Bo"].all <= 2, (number, week)
        assert week["Bo"].loud == 0, (number, week)
        assert week["Cy"].all == week["Di"].all == 0, (number, week)


def bad_week(folder: Path, monday: date) -> dict[str, Heard]:
    """One unconfirmed night, one search, and three hot days that are told of on the first."""
    with driven(folder, PROFILE, datetime.combine(monday, BEGINS, UTC)) as house:
        for number in range(7):
            day = monday + number * DAY
            if number == 2:
                house.at(datetime.combine(day, time(12, 1), UTC))
                told = Report(kind="heat", spell=Spell(first=day, last=day + 2 * DAY), air_c=36.0)
                report.make(house.journal, house.running.site_id, told, house.clock.at)
                house.at(house.clock.at + MINUTE / 4)
            pass_evening(house, day, count={1: None, 5: 11}.get(number, 12))
        return week_of(house, 0)


# In winter, when nobody has a heat wave, nights are long and tell more: what it comes to is written
# here as it was counted, for nobody to add to it unnoticed.
WINTERS = [(1, 39, 22)] if UNHURRIED else []


@pytest.mark.parametrize(
    ("month", "most", "most_loud"), [*((n, 35, 20) for n in (6, 7, 8)), *WINTERS]
)
def test_a_bad_week_stays_bearable(
    memory_folder: Path, month: int, most: int, most_loud: int, capsys: pytest.CaptureFixture[str]
) -> None:
    monday = date(2027, month, 8)
    heard = bad_week(memory_folder, monday - timedelta(days=monday.weekday()))
    with capsys.disabled():
        print(f"\nbad week in month {month}: {heard}")
    assert heard["Ana"].all <= most
    assert heard["Ana"].loud <= most_loud
    assert heard["Bo"].all <= 12
    assert heard["Bo"].loud <= 7
    assert heard["Cy"].all <= 5
    assert heard["Di"].all <= 5
