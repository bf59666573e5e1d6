"""The evenings around an instant: as they were when they began, else as planned now."""

import json
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta
from pathlib import Path

import pytest
from sqlalchemy import select, update

from scheduler.cares.door_fold import door as door_state
from scheduler.cares.records import Records, Report, Spell
from scheduler.journal import deliveries, tables
from scheduler.messages.reminders import reminder
from scheduler.service.almanac import Almanac
from scheduler.service.evenings_around import nights
from tests.alerts.orchard import (
    ANA,
    BOTH,
    HAZEL,
    KEY,
    SINCE,
    SITE,
    TEXT,
    WALNUT,
    WINTER,
    almanac,
    at,
    household,
    night_of,
)
from tests.service.desk import Desk, desk

DAY = timedelta(days=1)


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Desk]:
    """Two houses that share an evening."""
    with desk(tmp_path, SITE + WALNUT + HAZEL + ANA) as opened:
        yield opened


def test_today_and_the_two_days_before(house: Desk) -> None:
    found = house.nights(at("16:00"))
    assert [night.evening.day for night in found] == [WINTER - 2 * DAY, WINTER - DAY, WINTER]
    assert all(night.rows == () for night in found)
    assert {night.watched_since for night in found} == {SINCE}
    assert [night.noon for night in found] == [
        house.days.noon(night.evening.day) for night in found
    ]


def test_each_evening_has_its_own_rows_and_states(house: Desk) -> None:
    house.go(at("16:19"))
    house.say("closed", "16:20", 11, coop="walnut")
    *_, last = house.nights(at("16:21"))
    assert {row.key.day for row in last.rows} == {WINTER}
    assert {coop: state.state for coop, state in last.states.items()} == {
        "walnut": "searching", "hazel": "open",
    }  # fmt: skip


def test_a_begun_evening_stays_and_a_new_house_gets_one_of_its_own(house: Desk) -> None:
    house.go(at("16:19"))
    third = HAZEL.replace("Hazel", "Rowan").replace("hazel", "rowan").replace("Bantams", "Old")
    house.days = almanac(SITE + third + WALNUT.replace("= 12", "= 9") + HAZEL + ANA)
    with house.journal.reading() as connection:
        found = nights(house.days, connection, at("16:20"))
    here = [night.evening for night in found if night.evening.day == WINTER]
    assert [[(door.coop_id, door.birds) for door in evening.doors] for evening in here] == [
        [("walnut", 12), ("hazel", 6)],
        [("rowan", 6)],
    ]
    assert {evening.subject_id for evening in here} == {"hazel", "rowan"}


def test_an_evening_that_an_older_program_began_takes_its_number_from_the_profile(
    house: Desk,
) -> None:
    house.go(at("16:19"))
    table = tables.evening
    with house.journal.writing() as writing:
        mine = table.c.day == WINTER
        [kept] = writing.connection.execute(select(table).where(mine)).all()
        snapshot = json.loads(kept.snapshot)
        for one in snapshot["doors"]:
            assert one.pop("flock") == one["birds"]
            one["birds"] -= 2  # that were away when it began
        old = update(table).where(mine).values(snapshot=json.dumps(snapshot))
        writing.connection.execute(old)
    *_, last = house.nights(at("16:20"))
    assert [(one.birds, one.profile_birds) for one in last.evening.doors] == [(10, 12), (4, 6)]
    assert {coop: state.expected for coop, state in last.states.items()} == {
        "walnut": 12, "hazel": 6,
    }  # fmt: skip


def test_an_evening_is_kept_only_from_its_first_reminder_on(house: Desk) -> None:
    with house.journal.reading() as connection:
        assert deliveries.evenings(connection, "orchard", WINTER) == ()
    house.go(at("12:00"))
    with house.journal.reading() as connection:
        assert deliveries.evenings(connection, "orchard", WINTER) == ()
    house.go(at("15:49"))
    with house.journal.reading() as connection:
        assert len(deliveries.evenings(connection, "orchard", WINTER)) == 1


@pytest.mark.parametrize(
    ("clock", "evening"),
    [
        ("12:00", WINTER),
        ("23:59", WINTER),
        ("+00:01", WINTER),
        ("+08:34:06", WINTER),
        ("+08:34:07", WINTER + DAY),
    ],
)
def test_which_evening_a_moment_means(clock: str, evening: date) -> None:
    assert almanac().evening_of(at(clock)) == evening


def test_a_flock_that_arrives_tomorrow_is_not_counted_tonight() -> None:
    new = '[[flock]]\nname = "New"\ncoop = "walnut"\nhens = 3\narrived = 2026-12-22\n'
    days = almanac(TEXT + new)
    assert [days.birds_in("walnut", WINTER + n * DAY) for n in (0, 1)] == [12, 15]
    assert days.planned(WINTER, ())[0].doors[0].birds == 12


def test_a_predator_brings_the_lock_up_forward() -> None:
    records = Records(reports=(Report(kind="predator", spell=Spell(first=WINTER)),))
    watched = Almanac(household=household(), records=records, ways=BOTH, key=KEY)
    (earlier,), (usual,) = watched.planned(WINTER, ()), almanac().planned(WINTER, ())
    assert earlier.lock_up < usual.lock_up
    assert earlier.steps[1].at == earlier.lock_up


def test_k7_the_night_s_messages_let_nobody_out_who_stays_in_by_order() -> None:
    order = Report(kind="order", spell=Spell(first=WINTER))
    kept = Almanac(household=household(), records=Records(reports=(order,)), ways=BOTH, key=KEY)
    (evening,), (usual,) = kept.planned(WINTER, ()), almanac().planned(WINTER, ())
    titles = []
    for one in (evening, usual):
        states = {door.coop_id: door_state((), door.coop_id, WINTER, 12) for door in one.doors}
        dawn = next(step for step in one.steps if step.kind == "dawn")
        titles.append(reminder(night_of(one, states), dawn, "ana").title)
    assert titles == [
        "Never confirmed shut: Walnut, 12 hens. Look and count: they stay in",
        "Never confirmed shut: Walnut, 12 hens. Count, then let out at 08:34",
    ]


@dataclass(frozen=True, slots=True)
class Broken:
    """Records that one house's day cannot be worked out with: an adapter that raises."""

    def weather_on(self, day: date) -> None:
        """Nothing was decided."""

    def predator(self, grade: str, day: date) -> bool:
        """Raises on the last day."""
        del grade
        if day > WINTER:
            raise ZeroDivisionError
        return False

    def of(self, kind: str, day: date) -> tuple[()]:
        """Nothing."""
        del kind, day
        return ()


def test_p9_a_day_that_cannot_be_worked_out_raises_nothing(tmp_path: Path) -> None:
    with desk(tmp_path) as house:
        broken = Broken()
        house.days = Almanac(household=household(), records=broken, ways=BOTH, key=KEY)  # type: ignore[arg-type] # stands in for records
        assert house.days.planned(WINTER, ()) == ()
        assert house.days.quarantined == {"walnut"}
        assert house.days.planned(WINTER - DAY, ()) != ()
        assert house.days.evening_of(at("+12:00")) >= WINTER
        house.nights(at("+12:00"))


def test_a_house_without_a_plan_stays_so_in_an_almanac_of_the_same_reports() -> None:
    one = almanac(TEXT)
    one.quarantined.add("walnut")
    assert replace(one, watched_since=at("12:00")).quarantined == {"walnut"}
