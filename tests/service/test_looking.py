"""Somebody says that they look for the birds, too: it reaches the diary, and nothing else."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.journal import closings
from scheduler.profile.who_may import LINK, Voice
from scheduler.service.diary import Refused, Speaker
from scheduler.service.doors.looking import Looks, Search, say_looking, take_looking_back
from scheduler.service.doors.say import say
from scheduler.service.doors.statement import Kept, Statement
from tests.alerts.orchard import WINTER, at
from tests.service.desk import Desk, desk

WALNUT = Search(coop_id="walnut", evening=WINTER)
AGAIN = [at(clock) for clock in ("16:33", "16:45", "17:05", "17:40", "18:30", "20:00", "22:00")]


@pytest.fixture
def house(tmp_path: Path) -> Iterator[Desk]:
    with desk(tmp_path) as found:
        yield found


def by(clock: str, who: str = "Kim", voice: Voice = LINK) -> Speaker:
    return Speaker(who=who, now=at(clock), today=WINTER, voice=voice, person_id=who.lower())


def looks(desk: Desk, clock: str, who: str = "Kim", pressed: str | None = None) -> Looks | Refused:
    pressed_at = at(pressed) if pressed else None
    return say_looking(desk.journal, desk.days, WALNUT, by(clock, who), pressed_at)


def turns(desk: Desk) -> int:
    with desk.journal.reading() as connection:
        return closings.turns(connection, "orchard", WINTER).get(("walnut", WINTER), 0)


def test_it_is_kept_once_while_birds_are_looked_for(house: Desk) -> None:
    assert looks(house, "16:20") == "overtaken"
    house.say("closed", "16:30", 11)
    assert looks(house, "16:31") == "kept"
    assert looks(house, "16:32") == "already"
    assert looks(house, "16:32", "Ana") == "kept"
    assert take_looking_back(house.journal, house.days, WALNUT, by("16:33")) == "kept"
    assert take_looking_back(house.journal, house.days, WALNUT, by("16:33")) == "already"
    assert looks(house, "16:34") == "kept"
    house.say("found", "16:40", 1)
    assert looks(house, "16:41") == "overtaken"
    house.say("closed", "16:50", 11)
    assert looks(house, "16:51") == "kept"  # a search of its own


def test_a_press_that_waited_on_a_phone_is_not_of_a_later_search(house: Desk) -> None:
    house.say("closed", "16:30", 11)
    house.say("found", "16:40", 1)
    house.say("closed", "17:00", 11)
    assert looks(house, "17:10", pressed="16:35") == "overtaken"
    assert looks(house, "17:10", pressed="16:58") == "kept"  # by a clock that is a little behind


def test_it_is_said_of_an_evening_until_the_birds_are_let_out(house: Desk) -> None:
    house.say("closed", "16:30", 11)
    late = Speaker(who="Kim", now=at("16:30") + timedelta(hours=20), today=WINTER, person_id="kim")
    assert say_looking(house.journal, house.days, WALNUT, late) == "overtaken"


@pytest.mark.parametrize("kind", ["found", "closed"])
def test_it_overtakes_nothing_that_others_say(house: Desk, kind: str) -> None:
    house.say("closed", "16:30", 11)
    before = turns(house)
    looks(house, "16:31")
    looks(house, "16:31", "Ana")
    take_looking_back(house.journal, house.days, WALNUT, by("16:32"))
    assert turns(house) == before
    count = 1 if kind == "found" else 12
    result = say(
        house.journal,
        house.days,
        Statement(
            kind="found" if kind == "found" else "closed", coop="walnut", count=count, who="Ana",
            evening=WINTER, turn=before, at=at("16:32"), waited=True,
        ),
        at("16:33"),
    )  # fmt: skip
    assert isinstance(result, Kept)


def test_no_reminder_comes_earlier_later_or_otherwise_by_it(tmp_path: Path) -> None:
    told = []
    for number, is_said in enumerate((False, True)):
        folder = tmp_path / str(number)
        folder.mkdir()
        with desk(folder) as one:
            sent = [one.go(at("16:00")), one.go(at("16:25"))]
            one.say("closed", "16:30", 10)
            for now in AGAIN:
                if is_said:
                    looks(one, f"{now:%H:%M}", "Kim" if now.minute % 2 else "Ana")
                    if now.minute % 10:
                        take_looking_back(one.journal, one.days, WALNUT, by(f"{now:%H:%M}", "Kim"))
                sent.append(one.go(now))
            one.say("found", "22:10", 1)
            sent.append(one.go(at("22:11")))
            told.append((sent, one.rows(), one.closings()))
    assert told[0] == told[1]
    assert any("search" in step for steps in told[0][0] for step in steps)
