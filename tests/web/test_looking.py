"""Who looks for missing birds, on Today, by a link, on a shared screen and in the diary."""

import re

import pytest

from tests.web.front import Front, link_of
from tests.web.test_screens import screen

SHORT = {
    "coop": "walnut", "day": "2026-12-21", "turn": "0", "expected": "12", "count": "11",
    "do": "shut",
}  # fmt: skip
LOOKING = {
    "search": "walnut", "day": "2026-12-21", "card": "walnut-2026-12-21", "do": "looking"
}  # fmt: skip
BACK = LOOKING | {"do": "not-looking"}


@pytest.fixture
def searched(pages: Front) -> Front:
    pages.house.set_clock(pages.house.local("16:20"))
    pages.post("/door", SHORT, who="ana")
    return pages


def line(pages: Front, who: str) -> str:
    """What the card says of whoever looks."""
    text = pages.get("/", who=who).text
    return "".join(re.findall(r"<p class=\"looking\">(.*?)</p>", text))


def offered(text: str) -> list[tuple[str, ...]]:
    found = re.finditer(r'name="do" value="((?:not-)?looking)">([^<]+)<', text)
    return [one.groups() for one in found]


def test_others_read_who_looks_and_each_takes_it_back(searched: Front) -> None:
    pages = searched
    assert line(pages, "ana") == ""
    assert offered(pages.get("/", who="kim").text) == [("looking", "I’m looking")]
    assert pages.post("/door", LOOKING, who="kim").headers["location"] == "/"
    assert line(pages, "ana") == "Kim is looking."
    assert line(pages, "kim") == "You are looking."
    assert offered(pages.get("/", who="ana").text) == [("looking", "I’m looking too")]
    assert offered(pages.get("/", who="kim").text) == [("not-looking", "Undo “I’m looking”")]
    pages.post("/door", LOOKING, who="ana")
    assert line(pages, "ana") == "You and Kim are looking."
    pages.post("/door", BACK, who="kim")
    assert line(pages, "kim") == "Ana is looking."
    again = pages.post("/door", BACK, who="kim").headers["location"]
    assert again == "/?already=walnut-2026-12-21"


def test_it_keeps_nobody_from_saying_that_the_bird_is_found(searched: Front) -> None:
    pages = searched
    seen = pages.get("/", who="ana").text
    pages.post("/door", LOOKING, who="kim")
    assert re.findall('name="turn" value="1"', seen) == re.findall(
        'name="turn" value="1"', pages.get("/", who="ana").text
    )
    found = SHORT | {"turn": "1", "count": "1", "do": "found"}
    assert pages.post("/door", found, who="ana").headers["location"] == "/"
    assert line(pages, "ana") == ""
    late = pages.post("/door", LOOKING, who="ana").headers["location"]
    assert late == "/?overtaken=walnut-2026-12-21"
    assert "That did not count: " in pages.get(late, who="ana").text


def test_by_a_link_and_on_a_shared_screen_it_is_said_as_well(searched: Front) -> None:
    pages = searched
    link = link_of(pages, "kim")
    assert ("looking", "I’m looking") in offered(pages.get(link).text)
    assert pages.post(link, LOOKING).headers["location"] == link
    assert ">You are looking.<" in pages.get(link).text
    assert line(pages, "ana") == "Kim is looking."
    cookie = screen(pages)
    shown = pages.get("/", Cookie=cookie).text
    assert [what for what, _ in offered(shown)] == ["looking", "not-looking"]
    assert pages.post("/door", LOOKING | {"by": "ana"}, Cookie=cookie).status == 303
    assert pages.post("/door", BACK | {"by": "kim"}, Cookie=cookie).status == 303
    assert line(pages, "kim") == "Ana is looking."


def test_the_diary_has_it_in_words_and_takes_it_back(searched: Front) -> None:
    pages = searched
    pages.post("/door", LOOKING, who="kim")
    for path in ("/diary", "/diary?kind=birds", "/diary?kind=doors", "/diary?house=walnut"):
        text = pages.get(path, who="ana").text
        assert "Walnut: looking for the missing birds" in text, path
    assert "looking for the missing" not in pages.get("/diary?kind=eggs", who="ana").text
    assert re.search(
        r"2026-12-21,looking,walnut,,Kim,.*Walnut: looking for the missing birds",
        pages.get("/diary.csv", who="ana").text,
    )
    text = pages.get("/diary?kind=birds", who="ana").text
    [number] = set(re.findall(r'name="entry" value="(\d+)"', text))
    undo = {"entry": number, "do": "take-back"}
    assert pages.post("/diary/change", undo, who="ana").status == 303
    assert line(pages, "kim") == ""
