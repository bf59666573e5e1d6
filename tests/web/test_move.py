"""What the pages say of a move."""

from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.cares.moves import move
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, household
from tests.unhurried import unhurried
from tests.web.front import PAGES, Front, front

ON = date(2026, 12, 23)


@pytest.fixture
def moving(tmp_path: Path) -> Iterator[Front]:
    """The pages of the usual house, which moves to Berlin in two days."""
    with (
        household(
            tmp_path, body=SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE + move("Berlin", ON)
        ) as house,
        front(house, published=False) as pages,
    ):
        yield pages


def test_each_day_has_the_times_of_its_place(moving: Front) -> None:
    today = moving.get("/", who="ana").text
    assert "You move on 23 December: all times are the old place" in today
    week = moving.get("/week", who="ana").text
    lock_ups = [week.index(clock) for clock in ("16:18", "16:22")]
    assert lock_ups == sorted(lock_ups)


@unhurried
def test_every_page_goes_on_before_the_move_and_after_it(moving: Front) -> None:
    for day in (ON - timedelta(days=1), ON, ON + timedelta(days=30)):
        moving.house.set_clock(moving.house.local("12:30", day))
        for path in PAGES:
            assert moving.get(path, who="ana").status == 200, path


def test_from_the_day_on_the_pages_go_by_the_new_clock(moving: Front) -> None:
    moving.house.set_clock(moving.house.local("12:30", ON))
    today = moving.get("/", who="ana").text
    assert "You move today: from now on all times are the new place" in today
    assert "They moved here on 23 December: kept in until 30 December" in today
    assert "Europe/Berlin" in today
