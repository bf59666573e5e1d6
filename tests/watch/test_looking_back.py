"""Evenings that are over: of those that nobody was told of, people hear afterwards, once."""

from collections.abc import Iterator
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from scheduler.alerts.delivery import Delivery
from scheduler.journal import closings, deliveries, memos
from scheduler.watch.looking_back import look_back
from tests.alerts.orchard import ANA, BEN, SITE, WALNUT, WINTER, almanac, at
from tests.service.desk import Desk, desk
from tests.told import words

DAY = timedelta(days=1)


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Desk]:
    """A desk that has looked back at noon."""
    with desk(tmp_path) as opened:
        look(opened, at("12:00"))
        yield opened


def look(house: Desk, now: datetime, *, send: bool = True) -> list[Delivery]:
    """One look back; what is to be told is written down, and sent unless nothing gets through."""
    with house.journal.writing() as writing:
        connection = writing.connection
        said = closings.closings(connection, "orchard")
        found = list(look_back(house.days, connection, said, now))
        deliveries.add(connection, found)
    if send:
        house.go(now)
    return found


def titles(found: list[Delivery]) -> set[str]:
    return {words(one).title for one in found}


def test_the_first_look_says_nothing(tmp_path: Path) -> None:
    with desk(tmp_path) as house:
        assert look(house, at("12:00")) == []
        assert look(house, at("12:15")) == []


def test_p13_one_evening_missed(house: Desk) -> None:
    found = look(house, at("+12:00"))
    assert titles(found) == {"No reminder went out on the evening of Mon 21 Dec"}
    assert [one.key.person_id for one in found] == ["ana", "ben", "cleo"]
    assert look(house, at("+12:15")) == []


def test_five_years_at_once(house: Desk) -> None:
    # F6: one report, whatever the backlog.
    found = look(house, at("12:00") + 1826 * DAY)
    assert titles(found) == {"No reminders went out on 1,826 evenings since Mon 21 Dec"}
    assert len(found) == 3


def test_k6_evenings_without_birds_are_no_silent_ones(house: Desk) -> None:
    coming = WALNUT.replace("hens = 12", "hens = 12\narrived = 2027-03-01")
    house.days = almanac(SITE + coming + ANA)
    assert look(house, at("12:00") + 60 * DAY) == []
    [told] = titles(look(house, at("12:00") + 71 * DAY))
    assert told == "No reminder went out on the evening of Mon 1 Mar"


def test_an_evening_that_was_told_of_is_not_reported(house: Desk) -> None:
    house.go(at("16:19"))
    assert look(house, at("+12:00")) == []


def test_a_heads_up_alone_is_no_reminder(house: Desk) -> None:
    house.go(at("15:49"))
    assert titles(look(house, at("+12:00"))) == {
        "No reminder went out on the evening of Mon 21 Dec"
    }


def test_an_evening_that_was_shut_without_a_reminder_is_not_reported(house: Desk) -> None:
    house.say("closed", "16:00", 12)
    assert look(house, at("+12:00")) == []


def test_the_evening_under_way_is_not_over(house: Desk) -> None:
    assert look(house, at("20:00")) == []
    assert look(house, at("+08:00")) == []


def test_a_report_that_reached_nobody_is_taken_into_the_next(house: Desk) -> None:
    look(house, at("+12:00"), send=False)
    found = look(house, at("+12:00") + DAY)
    assert titles(found) == {"No reminders went out on 2 evenings since Mon 21 Dec"}
    assert {one.key.day for one in found} == {WINTER + DAY}


def test_a7_a_report_that_reached_nobody_for_a_day_is_told_again(house: Desk) -> None:
    assert len(look(house, at("+12:00"), send=False)) == 3
    house.say("closed", "+16:00", 12)
    with house.journal.writing() as writing:
        deliveries.expire(writing.connection, "orchard", at("+12:00") + DAY)
    found = look(house, at("+12:00") + DAY, send=False)
    assert titles(found) == {"No reminder went out on the evening of Mon 21 Dec"}
    assert {str(one.key.step) for one in found} == {"missed-2"}
    assert len(house.go(at("+12:05") + DAY)) == 3
    assert look(house, at("+12:10") + DAY) == []


def test_a7_it_is_tried_at_once_where_there_is_another_address(house: Desk) -> None:
    look(house, at("+12:00"), send=False)
    house.days = almanac(SITE + WALNUT + ANA.replace("/ana", "/new") + BEN)
    found = look(house, at("+12:15"))
    assert [(str(one.key.step), one.key.person_id) for one in found] == [
        ("missed-2", "ana"), ("missed-2", "ben"),
    ]  # fmt: skip


def test_a7_a_report_that_an_earlier_version_gave_up_long_ago_is_not_dug_out(house: Desk) -> None:
    with house.journal.writing() as writing:
        memos.note(writing.connection, "orchard", "reported-missed", "2026-10-01 2026-10-02 2")
    house.go(at("16:19"))
    assert look(house, at("+12:00")) == []


def test_a1_an_evening_with_nobody_to_tell_is_silent_and_is_told_once_somebody_is_there(
    house: Desk,
) -> None:
    house.days = almanac(SITE + WALNUT)
    assert look(house, at("+12:00")) == []
    assert look(house, at("+12:00") + DAY) == []
    house.days = almanac(SITE + WALNUT + BEN)
    found = look(house, at("+12:15") + DAY)
    assert titles(found) == {"No reminders went out on 2 evenings since Mon 21 Dec"}
    assert [one.key.person_id for one in found] == ["ben"]
