"""Which door Today shows first, which houses share a card, and which part of the day it is."""

from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.web.evening_cards import tonight
from scheduler.web.job_lines import MOST_OF_A_WALK, RoundView, written
from scheduler.web.today_order import by_urgency, part_of_day, still_open
from scheduler.web.views import today
from tests.browser.scenes import SCENES
from tests.faults.house import PEOPLE, QUIET_MORNINGS, SITE, TWO_COOPS, WINTER, household
from tests.web.asked_here import Here, here

THREE = TWO_COOPS.replace('name = "Barn"', 'name = "Barn"\n[[coop]]\nname = "Shed"', 1) + (
    '[[flock]]\nname = "Reds"\ncoop = "shed"\nhens = 5\n'
)


@pytest.fixture
def three(tmp_path: Path) -> Iterator[Here]:
    """Three houses with the same times, on the winter's evening."""
    with household(tmp_path, body=SITE + THREE + QUIET_MORNINGS + PEOPLE) as house:
        yield from here(house)


def moods(at: Here) -> list[tuple[str, ...]]:
    """Each group as its mood and the houses in it."""
    groups = by_urgency(tonight(at.visit()), at.house.now)
    return [(one.first.mood, *(card.name for card in one.cards)) for one in groups]


def test_an_open_door_comes_before_a_missing_bird_and_a_shut_one_last(three: Here) -> None:
    three.it_is("16:40")
    three.house.say(count=12, coop="walnut")
    three.house.say(count=6, coop="barn")
    assert moods(three) == [("overdue", "Shed"), ("searching", "Barn"), ("shut", "Walnut")]


def test_who_is_missing_comes_before_a_door_that_is_not_late(three: Here) -> None:
    three.it_is("16:20")
    three.house.say(count=6, coop="barn")
    assert moods(three) == [("searching", "Barn"), ("now", "Walnut", "Shed")]


def test_houses_whose_evening_reads_the_same_share_a_card_until_one_differs(three: Here) -> None:
    three.it_is("12:30")
    assert moods(three) == [("early", "Walnut", "Barn", "Shed")]
    three.it_is("16:20")
    three.house.say(count=8, coop="barn")
    assert moods(three) == [("now", "Walnut", "Shed"), ("shut", "Barn")]


def test_a_house_with_a_bird_missing_since_yesterday_stands_alone(three: Here) -> None:
    three.it_is("16:00")
    three.house.say(count=7, coop="barn", evening=WINTER - timedelta(days=1))
    assert ("early", "Walnut", "Shed") in moods(three)
    assert ("early", "Barn") in moods(three)


@pytest.mark.parametrize(
    ("clock", "part"),
    [("09:00", "morning"), ("12:30", "afternoon"), ("15:47", "afternoon"), ("15:48", "dusk")],
)
def test_dusk_begins_half_an_hour_before_the_first_open_door(
    three: Here, clock: str, part: str
) -> None:
    three.it_is(clock)
    noon = three.visit().standing.almanac.noon(WINTER)
    assert part_of_day(tonight(three.visit()), noon, three.house.now) == part


def test_night_begins_with_the_last_door_and_ends_with_the_let_out(three: Here) -> None:
    noon = datetime(2026, 12, 21, 12, tzinfo=UTC)
    three.it_is("16:20")
    for number, (coop, birds) in enumerate((("walnut", 12), ("barn", 8), ("shed", 5))):
        cards = tonight(three.visit())
        assert (part_of_day(cards, noon, three.house.now), still_open(cards)) == (
            "dusk",
            3 - number,
        )
        three.house.say(count=birds, coop=coop)
    cards = tonight(three.visit())
    assert (part_of_day(cards, noon, three.house.now), still_open(cards)) == ("night", 0)
    three.house.set_clock(three.house.local("09:00", WINTER + timedelta(days=1)))
    tomorrow = tonight(three.visit())
    at_noon = noon + timedelta(days=1)
    assert part_of_day(tomorrow, at_noon, three.house.now) == "morning"


def test_without_a_bird_in_any_house_the_sun_alone_says_which_part_it_is() -> None:
    noon = datetime(2026, 12, 21, 12, tzinfo=UTC)
    assert part_of_day((), noon, noon - timedelta(hours=1)) == "morning"
    assert part_of_day((), noon, noon + timedelta(hours=9)) == "afternoon"


def test_p6_each_job_has_a_box_of_its_own_and_five_that_are_left_are_read_at_once(
    tmp_path: Path,
) -> None:
    scene = SCENES["Sunday with eleven jobs"]
    with household(tmp_path, body=scene.body, day=scene.day) as house:
        made = here(house)
        at = next(made)
        at.it_is("09:10")

        def morning() -> RoundView:
            walks = today.show(at.visit(), at.plans).facts["rounds_now"]
            assert isinstance(walks, list)
            (walk,) = walks
            assert isinstance(walk, RoundView)
            return walk

        before = morning()
        assert all(len({key.care_id for key in line.keys}) == 1 for line in before.lines)
        assert len(before.shown) == MOST_OF_A_WALK
        assert len(before.folded) > 1
        first = written(before.shown[0].keys[0])
        today.ticked(at.visit(job=first, do="done"), at.plans)
        after = morning()
        assert [line.anchor for line in after.lines] == [line.anchor for line in before.lines]
        assert len(after.shown) == MOST_OF_A_WALK + 1, "the sixth comes up beside the one done"
        made.close()
