"""Several houses said shut with one press: one look at everything, one message of them all."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduler.service.diary import Refused
from scheduler.service.doors.say import say_together
from scheduler.service.doors.statement import (
    AskFirst,
    Kept,
    Overtaken,
    Result,
    Statement,
    Together,
)
from scheduler.service.doors.undo import take_back
from tests.alerts.orchard import HAZEL, TEXT, WINTER, at
from tests.service.desk import Desk, desk

BOTH = TEXT + HAZEL
FLOCKS = {"walnut": 12, "hazel": 6}


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Desk]:
    with desk(tmp_path, BOTH) as found:
        yield found


def together(desk: Desk, clock: str, turn: int = 0) -> dict[str, Result] | AskFirst:
    desk.now = at(clock)
    statements = tuple(
        Statement(
            kind="closed", coop=coop_id, count=birds, who="Ana", evening=WINTER, turn=turn
        )
        for coop_id, birds in FLOCKS.items()
    )  # fmt: skip
    said = Together(evening=WINTER, statements=statements)
    found = say_together(desk.journal, desk.days, said, desk.now)
    if isinstance(found, AskFirst):
        return found
    assert not isinstance(found, Refused), found
    return dict(found)


def called(house: Desk) -> list[str]:
    return [*house.go(at("16:00")), *house.go(at("16:25")), *house.go(at("16:40"))]


def test_whoever_was_called_hears_once_of_both_as_of_two_presses_in_a_row(
    house: Desk, tmp_path: Path
) -> None:
    called(house)
    answers = together(house, "16:41")
    assert isinstance(answers, dict)
    assert {type(one) for one in answers.values()} == {Kept}
    told = house.go(at("16:42"))
    folder = tmp_path / "one-by-one"
    folder.mkdir()
    with desk(folder, BOTH) as other:
        called(other)
        for coop_id, birds in FLOCKS.items():
            other.say("closed", "16:41", birds, coop=coop_id)
        assert other.go(at("16:42")) == told
    assert told
    assert len(told) == len(set(told))


def test_one_that_was_overtaken_keeps_the_other_from_nothing(house: Desk) -> None:
    house.say("closed", "16:30", 5, coop="hazel")
    answers = together(house, "16:31")
    assert isinstance(answers, dict)
    assert isinstance(answers["walnut"], Kept)
    assert isinstance(answers["hazel"], Overtaken)
    assert [(one.coop_id, one.count) for one in house.closings()] == [("hazel", 5), ("walnut", 12)]


def test_each_is_an_entry_that_is_taken_back_alone_and_a_day_s_undo_takes_both(
    house: Desk,
) -> None:
    together(house, "16:31")
    one = Statement(kind="closed", coop="hazel", who="Ben", evening=WINTER, turn=1)
    assert isinstance(take_back(house.journal, house.days, one, at("16:32")), Kept)
    assert [one.kind for one in house.closings()] == ["closed", "undone"]
    house.say("closed", "16:33", 6, coop="hazel")
    every = Statement(kind="closed", coop=None, who="Ben")
    take_back(house.journal, house.days, every, at("16:34"))
    take_back(house.journal, house.days, every, at("16:34"))
    assert {one.kind for one in house.closings()} == {"undone"}


def test_hours_ahead_nothing_is_kept_before_somebody_is_sure(house: Desk) -> None:
    assert isinstance(together(house, "12:30"), AskFirst)
    assert house.closings() == ()
