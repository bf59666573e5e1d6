"""A look, Today and a tap cost no more after ten years, 60,000 entries, than after ten days.

Cost is counted in the steps of SQLite's machine, which no other work on this computer changes.
"""

from collections.abc import Callable
from datetime import datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import event
from sqlalchemy.engine import Engine

from scheduler.cares.closing import Closing
from scheduler.cares.diary.entry import Entry
from scheduler.cares.diary.of_reports import report_as_made
from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.cares.door_fold import door
from scheduler.cares.records import Report, Spell
from scheduler.journal import closings, entries
from scheduler.journal.settling import settle_doors
from scheduler.service.data_place import DataPlace
from scheduler.watch.housekeeping import Housekeeping
from scheduler.web.household_now import Lookout
from tests.conftest import SMALL
from tests.faults.driven import DAY, Driven, driven, memory_folder
from tests.journal.as_said import as_said, keep_closings, keep_ticks, take_back
from tests.unhurried import unhurried

__all__ = ["memory_folder"]
CARES = [*(f"job-{n}" for n in range(13)), "water", "eggs"]
NIGHT = datetime.fromisoformat("2027-01-12T03:30+00:00")
DUSK = datetime.fromisoformat("2027-01-12T16:46+00:00")
TEXT = SMALL + '[[person]]\nname = "Ana"\npush = "https://push.example.net/ana-8c1f9e2b7"\n'


class Steps:
    """What was asked of SQLite since it was last read."""

    def __init__(self) -> None:
        self.taken = 0

    def __call__(self) -> int:
        self.taken += 1
        return 0

    def of(self, work: Callable[[], object]) -> int:
        before = self.taken
        work()
        return self.taken - before


@pytest.fixture
def steps() -> Steps:
    """Counts in every connection that is opened from now on."""
    return Steps()


def costs(folder: Path, steps: Steps, evenings: int) -> dict[str, int]:
    """What a look at dusk, Today and a tap cost after so many evenings on which all came in."""

    def watched(connection: object, _: object) -> None:
        connection.set_progress_handler(steps, 1)  # type: ignore[attr-defined] # of sqlite3

    event.listen(Engine, "connect", watched)
    try:
        with driven(folder, TEXT, NIGHT - timedelta(hours=1)) as house:
            house.tick()
            said(house, evenings)
            assert worked(house, evenings) > 15 * evenings
            ticker = house.running
            Housekeeping(DataPlace(folder)).run(house.journal, ticker.almanac, 1, NIGHT)
            house.clock.go_to(DUSK)
            pages = Lookout(house.profile_path, ticker.place, b"k" * 32)
            return {
                "a look": steps.of(house.tick),
                "today": steps.of(lambda: pages.standing(DUSK)),
                "a tap": steps.of(lambda: house.say("closed", "Ana", count=12)),
            }
    finally:
        event.remove(Engine, "connect", watched)


def said(house: Driven, evenings: int) -> None:
    """Of each of so many evenings that all twelve came in, or that two were found next day."""
    told = []
    for n in range(evenings, 1, -1):  # last night is still to be told of
        day = NIGHT.date() - n * DAY
        at = NIGHT - (n - 0.55) * DAY
        one = Closing(kind="closed", coop_id="walnut", evening=day, at=at, who="Ana", flock=12,
                      count=10 if n % 30 == 9 else 12)  # fmt: skip
        told.append(one)
        if one.count == 10:
            found = Closing(kind="found", coop_id="walnut", evening=day, at=at + 0.6 * DAY,
                            who="Ana", flock=12, count=2)  # fmt: skip
            told.append(found)
    with house.journal.writing() as writing:
        for one in told:
            keep_closings(writing.connection, "orchard", [one], one.at)


def worked(house: Driven, days: int) -> int:
    """Of each of so many days that fifteen jobs were done, now and then a report; all of it."""
    first = NIGHT.date() - days * DAY
    with house.journal.writing() as writing:
        for n in range(days):
            day, at = first + n * DAY, NIGHT - (days - n) * DAY
            keys = [TaskKey(care, "walnut", day) for care in CARES]
            keep_ticks(writing.connection, "orchard", keys, Done(who="Ana", at=at), at)
            if n % 15 == 0:
                spell = Spell(first=day, last=day + DAY)
                made = report_as_made(n // 15 + 1, Report(kind="heat", spell=spell, air_c=38.0))
                entry = Entry(
                    what=made, about="orchard", day=day, who="Ana", said_at=at, happened_at=at
                )
                entries.keep(writing.connection, "orchard", [entry])
        return entries.last_number(writing.connection, "orchard", "job")


def read(house: Driven) -> tuple[Closing, ...]:
    with house.journal.reading() as connection:
        return closings.closings(connection, "orchard")


@unhurried
def test_ten_years_cost_a_look_a_page_and_a_tap_no_more_than_ten_days(
    memory_folder: Path, steps: Steps
) -> None:
    (memory_folder / "days").mkdir()
    (memory_folder / "years").mkdir()
    days = costs(memory_folder / "days", steps, 11)  # ten evenings
    years = costs(memory_folder / "years", steps, 3650)
    for what, cost in days.items():
        assert years[what] <= 1.1 * cost, (what, days, years)


def test_whatever_is_said_of_an_evening_long_ago_is_read_again(memory_folder: Path) -> None:
    with driven(memory_folder, TEXT, NIGHT) as house:
        house.tick()
        said(house, 200)
        everything = read(house)
        settle_doors(house.journal, "orchard", NIGHT.date() - 60 * DAY)
        assert len(read(house)) < 80
        with house.journal.writing() as writing:
            day = NIGHT.date() - 100 * DAY
            known = as_said(writing.connection, "orchard")
            *_, last = (one.entry.number for one in known if one.entry.day == day)
            take_back(writing.connection, "orchard", last, "Ana", NIGHT)
        assert len(read(house)) == len(everything)
        assert read(house) != everything


def test_every_evening_that_is_asked_for_stands_as_by_everything_however_long_ago(
    memory_folder: Path,
) -> None:
    with driven(memory_folder, TEXT, NIGHT) as house:
        house.tick()
        said(house, 60)
        everything = read(house)
        settle_doors(house.journal, "orchard", NIGHT.date() - 15 * DAY)
        for n in range(60):
            evening = NIGHT.date() - n * DAY
            with house.journal.reading() as connection:
                known = closings.closings(connection, "orchard", evening)
            stands = door(known, "walnut", evening, 12)
            assert stands == door(everything, "walnut", evening, 12), evening


def test_without_what_saves_work_everything_is_known_all_the_same(memory_folder: Path) -> None:
    with driven(memory_folder, TEXT, NIGHT) as house:
        house.tick()
        said(house, 200)
        everything = read(house)
        settle_doors(house.journal, "orchard", NIGHT.date() - 60 * DAY)
        with house.journal.writing() as writing:
            writing.connection.exec_driver_sql("DELETE FROM cache_settled")
        assert read(house) == everything
