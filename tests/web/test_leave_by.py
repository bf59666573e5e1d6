"""Today says when to leave for a house that is a way off, and whose the evening is."""

import html
from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.faults.house import ONE_COOP, PEOPLE, SITE, TWO_COOPS, household
from tests.web.front import Front, front

FAR = 'name = "Walnut"\ngetting_there = 14'
WEEK = '[duty]\nmonday = "Kim"\n'


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[Front]:
    """A house at 12:30 on a Monday, which is Kim's."""
    body = SITE + TWO_COOPS.replace('name = "Walnut"', FAR) + PEOPLE + WEEK
    with household(tmp_path, body=body) as house, front(house, published=False) as served:
        yield served


def today(pages: Front) -> str:
    return html.unescape(pages.get("/", who="ana").text)


def test_today_says_when_to_leave_until_it_is_dark_and_whose_evening_it_is(pages: Front) -> None:
    noon = today(pages)
    assert noon.count("Leave by 16:04.") == 1, "of the house that is a way off alone"
    assert noon.count("<bdi>Kim</bdi> is on duty.") == 2
    pages.house.set_clock(pages.house.local("16:19"))
    assert "Leave by" not in today(pages)


def test_where_the_way_takes_no_time_today_says_nothing_of_it(tmp_path: Path) -> None:
    body = SITE + ONE_COOP + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        shown = today(pages)
    assert "Lock up at 16:18" in shown
    assert "Leave by" not in shown
    assert "<bdi>Ana</bdi> is on duty." in shown
