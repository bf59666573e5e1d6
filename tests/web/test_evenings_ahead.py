"""The next fourteen evenings on Today: each with the times of that evening's own lock-up."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.web.evenings_ahead import EVENINGS, evenings_ahead
from tests.faults.house import PEOPLE, SITE, TWO_COOPS, WINTER, household
from tests.web.asked_here import Here, here

DAY = timedelta(days=1)


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Here]:
    """Two houses, of which one shuts by its own clock."""
    apart = TWO_COOPS.replace(
        'name = "Barn"', 'name = "Barn"\nlockup = { not_before = "16:25" }', 1
    )
    with household(tmp_path, body=SITE + apart + PEOPLE) as house:
        yield from here(house)


def test_each_evening_has_the_times_of_its_own_lock_up_and_says_who(two: Here) -> None:
    almanac = two.visit().standing.almanac
    rows = evenings_ahead(almanac, WINTER)
    assert {one.day for one in rows} == {WINTER + number * DAY for number in range(EVENINGS)}
    for one in rows:
        coops = {coop.coop_id: coop for coop in almanac.coops(one.day)}
        coop = coops["barn" if one.houses == "Barn" else "walnut"]
        site = almanac.profile.on(one.day).site
        clock = coop.lock_up.instant.astimezone(site.zone)
        assert one.lock_up.startswith(f"{clock:%H:%M}")
        assert one.who == "Ana"
    # From January on the sun alone decides, and all shut at the same time.
    assert {one.houses for one in rows} == {"Walnut", "Barn", ""}


def test_they_are_worked_out_once_a_day(two: Here) -> None:
    almanac = two.visit().standing.almanac
    assert evenings_ahead(almanac, WINTER) is evenings_ahead(almanac, WINTER)
