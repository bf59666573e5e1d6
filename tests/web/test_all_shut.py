"""One press says of several houses that they are shut: each counts by itself."""

import re
from collections.abc import Iterator, Mapping
from html import unescape
from pathlib import Path

import pytest

from tests.faults.house import PEOPLE, QUIET_MORNINGS, SITE, TWO_COOPS, household
from tests.web.front import Front, Reply, front
from tests.web.test_pages import said
from tests.web.test_screens import screen

DAY = "2026-12-21"
BOTH: dict[str, str | list[str]] = {
    "house": ["walnut", "barn"], "day": DAY, "turn-walnut": "0", "turn-barn": "0",
    "expected-walnut": "12", "expected-barn": "8", "do": "all-shut",
}  # fmt: skip
WALNUT = {"coop": "walnut", "day": DAY, "turn": "0", "expected": "12", "do": "shut"}


@pytest.fixture
def yard(tmp_path: Path) -> Iterator[Front]:
    """Two houses at dusk."""
    yield from _yard(tmp_path)


def _yard(folder: Path) -> Iterator[Front]:
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE
    with household(folder, body=body) as house, front(house, published=False) as pages:
        house.set_clock(house.local("16:20"))
        yield pages


def press(pages: Front, other: Mapping[str, str | list[str]] = BOTH) -> Reply:
    return pages.post("/door", {**BOTH, **other}, who="ana")


def notices(reply: Reply) -> str:
    found = re.findall(r'<p class="(?:notice|wrong)"[^>]*>(.*?)</p>', reply.text, re.DOTALL)
    return unescape(re.sub(r"<[^>]+>", "", " ".join(found)))


def test_each_house_is_shut_with_all_its_birds_and_is_opened_by_itself(yard: Front) -> None:
    assert press(yard).headers["location"] == "/"
    assert said(yard) == [("closed", 12, "Ana"), ("closed", 8, "Ana")]
    text = yard.get("/", who="kim").text
    assert text.count("all 12 in") == 1
    assert text.count("all 8 in") == 1
    undo = {"coop": "barn", "day": DAY, "turn": "1", "do": "undo"}
    assert yard.post("/door", undo, who="kim").status == 303
    assert said(yard) == [("closed", 12, "Ana")]
    again = press(yard, {"house": ["walnut"]}).headers["location"]
    assert again == f"/?already=walnut-{DAY}"


def test_of_what_was_overtaken_the_page_says_so_and_the_rest_is_kept(yard: Front) -> None:
    yard.post("/door", WALNUT | {"count": "11"}, who="kim")
    reply = press(yard)
    assert reply.headers["location"] == f"/?overtaken=walnut-{DAY}&do=all-shut"
    assert said(yard) == [("closed", 11, "Kim"), ("closed", 8, "Ana")]
    page = yard.get(reply.headers["location"], who="ana")
    told = notices(page)
    assert "Not all of that counted. Something newer had been said of Walnut." in told
    assert told.count("That did not count: ") == 1
    assert 'data-why="Something newer had been said of Walnut"' in page.text


def test_where_all_of_it_was_overtaken_each_card_says_why(yard: Front) -> None:
    yard.post("/door", WALNUT | {"count": "11"}, who="kim")
    yard.post("/door", {**WALNUT, "coop": "barn", "count": "7"}, who="kim")
    reply = press(yard)
    assert reply.headers["location"] == f"/?overtaken=walnut-{DAY},barn-{DAY}"
    told = notices(yard.get(reply.headers["location"], who="ana"))
    assert told.count("That did not count: ") == 2
    assert "Not all" not in told
    assert len(said(yard)) == 2


@pytest.mark.parametrize(
    ("other", "told"),
    [
        ({"expected-walnut": "soon"}, "Walnut did not count. It was not said how many are in."),
        ({"expected-walnut": ""}, "Walnut did not count. It was not said how many are in."),
        ({"house": ["elm", "barn"]}, 'This page has no door "elm" on Mon 21 Dec'),
    ],
)
def test_what_cannot_be_read_keeps_no_other_house_from_it(
    yard: Front, other: dict[str, str | list[str]], told: str
) -> None:
    reply = press(yard, other)
    assert reply.status == 422
    assert told in notices(reply)
    assert "The rest is saved." in notices(reply)
    assert said(yard) == [("closed", 8, "Ana")]


@pytest.fixture(scope="module")
def still(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """The same houses for all cases in which nothing is kept."""
    yield from _yard(tmp_path_factory.mktemp("yard"))


@pytest.mark.parametrize("other", [{"house": []}, {"day": "2026-12-20"}, {"day": "then"}])
def test_without_a_house_or_of_another_evening_nothing_is_kept(
    still: Front, other: dict[str, str | list[str]]
) -> None:
    reply = press(still, other)
    assert reply.status == 422
    assert "othing was saved" in notices(reply)
    assert said(still) == []


def test_hours_ahead_it_asks_first_of_all_of_them(yard: Front) -> None:
    yard.house.set_clock(yard.house.local("12:30"))
    asked = press(yard)
    assert "In for the night already?" in asked.text
    assert said(yard) == []
    sent = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', asked.text))
    assert yard.post("/door", sent, who="ana").headers["location"] == "/"
    assert said(yard) == [("closed", 12, "Ana"), ("closed", 8, "Ana")]


def test_on_a_shared_screen_one_name_is_chosen_for_all(yard: Front) -> None:
    cookie = screen(yard)
    nobody = yard.post("/door", BOTH, Cookie=cookie)
    assert nobody.status == 422
    assert yard.post("/door", {**BOTH, "by": "kim"}, Cookie=cookie).headers["location"] == "/"
    assert said(yard) == [("closed", 12, "Kim"), ("closed", 8, "Kim")]


def test_a_press_that_waited_on_a_phone_reopens_nothing_and_ends_no_search(yard: Front) -> None:
    yard.post("/door", WALNUT | {"count": "11"}, who="kim")
    yard.post("/door", {**WALNUT, "coop": "barn", "count": "8"}, who="kim")
    yard.post("/door", {**WALNUT, "coop": "barn", "turn": "1", "do": "reopened"}, who="kim")
    at = str(int(yard.house.now.timestamp()) - 600)
    yard.house.set_clock(yard.house.local("16:30"))
    reply = press(yard, {"at": at})
    assert reply.headers["location"] == f"/?overtaken=walnut-{DAY},barn-{DAY}"
    assert len(said(yard)) == 3
