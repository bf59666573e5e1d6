"""Birds that come to a house or leave it: the door expects them from that evening on."""

from collections.abc import Iterator
from dataclasses import replace

import pytest

from scheduler.profile.who_may import Voice
from scheduler.service.diary import Refused
from scheduler.service.doors.say import say
from scheduler.service.doors.statement import Kept, Statement
from scheduler.service.doors.undo import take_back
from tests.alerts.orchard import TEXT, at
from tests.service.desk import Desk, desk
from tests.service.test_door import TWO, kept, refused


@pytest.fixture
def house(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Desk]:
    with desk(tmp_path_factory.mktemp("orchard"), TEXT) as opened:
        yield opened


def expected(answer: object) -> list[int]:
    assert isinstance(answer, Kept), answer
    return [state.expected for state in answer.states]


def test_so_many_more_belong_in_from_that_evening_on_until_the_profile_knows(house: Desk) -> None:
    assert expected(house.say("arrived", "12:00", 3)) == [15]
    assert expected(house.say("sold", "12:05", 2)) == [13]
    assert expected(house.say("dead", "12:10", 1)) == [12]
    assert kept(house.say("closed", "16:20", 12)).states[0].is_all_in
    [night] = house.nights(at("+16:20"))[-1:]
    assert [state.expected for state in night.states.values()] == [12]
    [more] = night.states.values()
    assert (more.come, more.gone, more.flock) == (1, 1, 12)


def test_what_was_said_of_them_is_taken_back(house: Desk) -> None:
    house.say("hatched", "12:00", 6)
    back = take_back(house.journal, house.days, Statement(kind="undone", who="Ben"), at("12:10"))
    assert expected(back) == [12]


def test_whoever_may_not_say_so_does_not_take_it_back(house: Desk) -> None:
    house.say("sold", "12:00", 2)
    undo = Statement(kind="undone", who="Kim", voice=Voice(kind="link"))
    answer = take_back(house.journal, house.days, undo, at("12:10"))
    assert isinstance(answer, Refused)
    assert "Sign in for everything else" in answer.question
    arrived = replace(undo, kind="arrived", count=3)
    assert isinstance(say(house.journal, house.days, arrived, at("12:10")), Refused)


def test_how_many_it_can_be_is_asked(house: Desk) -> None:
    assert "no number" in refused(house.say("arrived", "12:00")).found
    assert refused(house.say("arrived", "12:00", 501)).accepted == "1 to 500"
    assert refused(house.say("sold", "12:00", 13)).accepted == "1 to 12"
    house.say("closed", "16:20", 10)
    assert refused(house.say("sold", "16:21", 11)).accepted == "1 to 10", "two are missing"


def test_birds_that_move_are_expected_where_they_went_and_taken_back_together(
    tmp_path_factory: pytest.TempPathFactory,
) -> None:
    with desk(tmp_path_factory.mktemp("two"), TWO) as house:
        moved = Statement(kind="moved-out", coop="walnut", to="hazel", count=2, who="Ana")
        answer = say(house.journal, house.days, moved, at("12:00"))
        assert isinstance(answer, Kept)
        before = dict(zip(answer.names, answer.expected, strict=True))
        after = dict(zip(answer.names, expected(answer), strict=True))
        assert {name: after[name] - before[name] for name in after} == {"Walnut": -2, "Hazel": 2}
        for wrong in (replace(moved, to="walnut"), replace(moved, coop=None)):
            assert isinstance(say(house.journal, house.days, wrong, at("12:01")), Refused)
        undo = Statement(kind="undone", who="Ben")
        for meant in (undo, replace(undo, coop="walnut"), replace(undo, coop="hazel")):
            back = take_back(house.journal, house.days, meant, at("12:10"))
            assert isinstance(back, Kept)
            assert dict(zip(back.names, expected(back), strict=True)) == before
            assert isinstance(say(house.journal, house.days, moved, at("12:11")), Kept)


def test_nobody_moves_within_one_house(house: Desk) -> None:
    moved = Statement(kind="moved-out", to="walnut", count=2, who="Ana")
    answer = refused(say(house.journal, house.days, moved, at("12:00")))
    assert "They already live there" in answer.question
    assert house.closings() == ()


def test_a_house_whose_birds_are_all_sold_has_no_door_to_shut(house: Desk) -> None:
    house.say("sold", "12:00", 12)
    assert house.go(at("16:19")) == ["empty ana push"], "told once, and nothing more"
    house.say("arrived", "+12:00", 4)
    assert any(one.startswith("now") for one in house.go(at("+16:19")))
