"""A name from right to left leaves the sentence around it in its order: it stands in <bdi>."""

from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path

import pytest

from tests.faults.house import SITE, household
from tests.unhurried import unhurried
from tests.web.front import PAGES, Front, front, link_of

# Invented, of a site, two houses, two flocks, two people.
SITE_NAME, HOUSES, FLOCKS, PEOPLE = "בוסתן", ("אגוז", "אסם"), ("מרגניות", "חומות"), ("נועה", "תמר")
NAMES = (SITE_NAME, *HOUSES, *FLOCKS, *PEOPLE)
BODY = (
    SITE.replace('"Orchard"', f'"{SITE_NAME}"\nid = "orchard"')
    + "".join(
        f'[[coop]]\nname = "{house}"\nid = "{coop_id}"\n'
        f'[[flock]]\nname = "{flock}"\nid = "{coop_id}-flock"\ncoop = "{coop_id}"\nhens = 12\n'
        for house, flock, coop_id in zip(HOUSES, FLOCKS, ("walnut", "barn"), strict=True)
    )
    + "".join(
        f'[[person]]\nname = "{name}"\nid = "{who}"\npush = "{{push}}/{who}-{{secret}}"\n'
        for name, who in zip(PEOPLE, ("ana", "kim"), strict=True)
    )
)
SHOWN = (*PAGES, "/why/water", "/nonsense", "/door")
PLAIN = {"title", "option", "script", "style"}  # these hold text alone, no elements


class Bare(HTMLParser):
    """The texts in which a name stands outside <bdi>."""

    def __init__(self) -> None:
        super().__init__()
        self.open: list[str] = []
        self.found: list[str] = []
        self.isolated: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:  # noqa: ARG002 - the parser's own
        self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        while self.open and self.open.pop() != tag:
            pass

    def handle_data(self, data: str) -> None:
        names = {name for name in NAMES if name in data}
        if "bdi" in self.open:
            self.isolated |= names
        elif names and not PLAIN & set(self.open):
            self.found.append(" ".join(data.split()))


@pytest.fixture
def foreign(tmp_path: Path) -> Iterator[Front]:
    """Pages of a household whose every name runs from right to left."""
    with household(tmp_path, body=BODY) as house, front(house, published=False) as pages:
        yield pages


def bare_in(text: str) -> tuple[list[str], set[str]]:
    """Where names stand bare, and which stand isolated."""
    page = Bare()
    page.feed(text)
    return page.found, page.isolated


@unhurried
def test_p14_every_name_stands_in_bdi_on_every_page(foreign: Front) -> None:
    pages, day = foreign, "2026-12-21"
    pages.house.set_clock(pages.house.local("16:20"))
    link = link_of(pages, subject="barn")
    answers = {
        "early": pages.get("/", who="ana"),
        "sign in": pages.get(pages.invitation("kim")),
        "invited": pages.post("/people/invite", {"person": "kim"}, who="ana"),
        "no count": pages.post(
            "/door",
            {"coop": "walnut", "day": day, "turn": "0", "count": "x", "do": "shut"},
            who="ana",
        ),
        "no house": pages.post("/door", {"coop": "none", "day": day, "do": "shut"}, who="ana"),
        "stranger": pages.get("/"),
        "stranger, lost": pages.get("/nonsense"),
    }
    pages.post("/add", {"kind": "predator"}, who="ana")
    medicine = {"kind": "medicine", "coop": "walnut", "words": "Wormer A"}
    assert pages.post("/birds", medicine, who="ana").status == 303
    assert pages.post("/birds", {"kind": "broody", "coop": "barn"}, who="ana").status == 303
    pages.house.say(count=10, coop="walnut", who=PEOPLE[0])
    answers |= {path: pages.get(path, who="ana") for path in SHOWN} | {"link": pages.get(link)}
    wrong, seen = {}, set()
    for which, answer in answers.items():
        bare, isolated = bare_in(answer.text)
        seen |= isolated
        if bare:
            wrong[which] = bare
    assert not wrong
    assert seen >= {SITE_NAME, *HOUSES, *PEOPLE}
