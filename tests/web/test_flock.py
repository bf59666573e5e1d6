"""Flock: the birds with what comes next for them, and what their houses are short of."""

import re
from collections.abc import Iterator

import pytest

from tests.faults.house import PEOPLE, QUIET_MORNINGS, SITE, household
from tests.web.front import Front, front

HOUSES = """
[[coop]]
name = "Walnut"
floor = "1.2 m x 1.5 m"
perches = { length = "1.4 m" }
nests = { count = 1 }
[[coop]]
name = "Barn"
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12
hatched = 2025-04-01
[[flock]]
name = "Pearls"
coop = "barn"
young = 6
hatched = 2026-09-20
arrived = 2026-12-12
raised_by = "bought"
"""


@pytest.fixture(scope="module")
def measured(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """A house that is too small for its hens, and one of newcomers that nobody measured."""
    body = (
        'units = "metric"\n' + SITE + "[rounds]\nkeen = true\n" + HOUSES + QUIET_MORNINGS + PEOPLE
    )
    with (
        household(tmp_path_factory.mktemp("house"), body=body) as house,
        front(house, published=False) as served,
    ):
        yield served


def section(page: str, house: str) -> str:
    return page.partition(f'id="house-{house}"')[2].partition("</section>")[0]


def test_each_flock_stands_with_its_age_and_what_comes_next(measured: Front) -> None:
    page = measured.get("/flock", who="ana").text
    barn = section(page, "barn")
    assert "6 young, 13 weeks old" in barn
    # USDA: thirty days apart. From the 12th the 21st is the tenth of them.
    assert "In quarantine: day 10 of 30" in barn
    days = re.findall(r'<span class="when">([^<]+)</span> <span>([^<]+)</span>', barn)
    assert ("10 January", "Open the nests for Pearls, with a dummy egg in each") in days
    assert len(days) == len({title for _, title in days}) <= 4
    assert "12 hens, 1 year old" in section(page, "walnut")
    assert "new feathers" in section(page, "walnut"), "their moult"


def test_what_is_short_stands_first_with_what_to_buy_and_the_way_to_measure(
    measured: Front,
) -> None:
    walnut = section(measured.get("/flock", who="ana").text, "walnut")
    short = re.findall(r"<li><strong>([^<]+)</strong> <span>([^<]+)</span>", walnut)
    assert ("Nests", "1, needs 3") in short
    assert [label for label, _ in short][:2] == ["Indoor floor", "Perch length"]
    assert "2 nests to add" in walnut
    assert 'href="/change/house?open=coop/walnut#card-coop/walnut"' in walnut
    assert "things are not measured yet." in walnut
    assert 'href="/coop?house=walnut"' in walnut


def test_what_is_not_known_is_said_before_that_nothing_is_short(pages: Front) -> None:
    page = pages.get("/flock", who="ana").text
    walnut = section(page, "walnut")
    first, _, rest = walnut.partition(" things are not measured yet, so nobody knows whether")
    assert rest.startswith(" this house is large and safe enough.<")
    assert "short" not in first
    assert walnut.count("not measured yet") == 1
    assert re.search(r'href="/birds"><svg[^>]*><use href="[^"]*#pill"', page)


def test_the_page_of_a_house_has_what_is_short_before_its_table_and_the_unmeasured_folded(
    measured: Front,
) -> None:
    page = measured.get("/coop?house=walnut", who="ana").text
    assert "Barn" not in page.partition("<main")[2].partition("Notes</h2>")[0]
    main = page.partition("<main")[2]
    assert main.index("What is short") < main.index("<table") < main.index("not measured yet")
    assert main.index("not measured yet") < main.index("The sums")
    table = main.partition("<table")[2].partition("</table>")[0]
    assert "unknown" not in table
    assert table.count('class="lacks"') == 3
    assert not re.search(r'class="(?:card overdue|card now|bad)"', main), "no alarm"
    for amount in re.findall(r"(?:have|need)\">([^<]*\d[^<]*)<", table):
        assert " " not in amount.replace(" to ", ""), f"{amount!r} would break"


def test_a_flock_in_which_nothing_is_to_come_has_no_timeline(looked_at: Front) -> None:
    walnut = section(looked_at.get("/flock", who="ana").text, "walnut")
    assert "12 hens" in walnut
    assert 'class="timeline"' not in walnut
    assert "What is short" not in walnut, "nothing was measured"
    assert "Measure this" in walnut
