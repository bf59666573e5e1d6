"""The door card on paper: one page of A4 and of Letter, from the equator to the far north."""

import re
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import device
from tests.faults.house import PEOPLE, QUIET_MORNINGS, SITE, TWO_COOPS, household
from tests.unhurried import unhurried
from tests.web.front import free_port, front

pytestmark = pytest.mark.browser

LONG = "Mother's old hen house behind the big walnut tree, on the far side of the stream"
FORMATS = ("A4", "Letter")
PLACES = {
    "equator": ("0.5", "36.8", "Africa/Nairobi", "other"),
    "home": ("51.5", "-0.1", "Europe/London", "UK"),
    "far north": ("69.6", "18.9", "Europe/Oslo", "other"),
    "few rows, twelve hours": ("40.0", "-86.1", "America/Indiana/Indianapolis", "US"),
    "some rows, twelve hours": ("48.5", "-123.0", "America/Vancouver", "US"),
    "many rows, twelve hours": ("61.2", "-149.9", "America/Anchorage", "US"),
}


def body_of(place: str) -> str:
    latitude, longitude, zone, region = PLACES[place]
    site = SITE.replace("51.5", latitude).replace("-0.1", longitude)
    site = site.replace("Europe/London", zone).replace('"UK"', f'"{region}"')
    people = PEOPLE.replace('"Kim"', f'"{LONG}"') + "".join(
        f'[[person]]\nname = "Somebody {number}"\nmail = "a{number}@example.org"\n'
        for number in range(4)
    )
    houses = TWO_COOPS.replace('name = "Walnut"', f'id = "walnut"\nname = "{LONG}"')
    houses += "".join(f'[[coop]]\nid = "{one}"\nname = "{one}{LONG[1:]}"\n' for one in "pq")
    houses += "".join(
        f'[[flock]]\nid = "{one}"\nname = "{one}"\ncoop = "{one}"\nhens = 100\n' for one in "pq"
    )
    return site + houses + QUIET_MORNINGS + people


def page_count(pdf: bytes) -> int:
    """PDF 32000-1, 7.7.3: each page is an object of the type Page; the tree's nodes are Pages."""
    return len(re.findall(rb"/Type\s*/Page\b", pdf))


@unhurried
@pytest.mark.parametrize("place", PLACES)
def test_the_card_is_one_page_of_a4_and_of_letter(
    chromium: Browser, tmp_path: Path, place: str
) -> None:
    port = free_port()
    base = f"http://hens.test:{port}"
    with (
        household(tmp_path, body=body_of(place)) as house,
        front(house, published=False, base_url=base, port=port) as pages,
        device(chromium, pages) as ana,
    ):
        ana.sign_in()
        ana.open("/week")
        assert page_count(ana.page.pdf(format="A4")) > 1, "else nothing is counted"
        ana.open("/card")
        for paper in FORMATS:
            assert page_count(ana.page.pdf(format=paper)) == 1, (place, paper)
        ana.page.emulate_media(media="print")
        ana.page.set_viewport_size({"width": 718, "height": 979})  # Letter within its margins
        cut = ana.page.evaluate(
            """() => [...document.querySelectorAll(".door-card footer, .how-exact, .door-card li")]
                .filter((one) => one.scrollHeight > one.clientHeight + 1)
                .map((one) => one.textContent)"""
        )
        assert cut == [], "what stands on the card is not cut off"
        # Else the browser makes the whole page smaller when it prints.
        assert ana.page.evaluate("document.documentElement.scrollWidth") == 718
        close = ana.page.evaluate(
            """() => [...document.querySelectorAll(".door-card tbody tr > *:not(:last-child)")]
                .map((one) => { const range = document.createRange(); range.selectNodeContents(one);
                  const next = document.createRange();
                  next.selectNodeContents(one.nextElementSibling);
                  return next.getBoundingClientRect().left - range.getBoundingClientRect().right; })
                .filter((gap) => gap < 5)"""
        )
        assert close == [], "times stand apart from one another"
        seen = ana.page.locator("body > *:visible, main > *:visible")
        assert seen.evaluate_all("all => all.map(one => one.localName)") == ["main", "article"]


@unhurried
def test_the_button_prints_and_is_not_there_without_scripts(
    chromium: Browser, tmp_path: Path
) -> None:
    with household(tmp_path) as house, front(house, published=False) as pages:
        with device(chromium, pages) as ana:
            ana.sign_in()
            ana.open("/card")
            ana.page.evaluate("window.print = () => { document.title = 'printed' }")
            ana.page.get_by_role("button", name="Print").click()
            assert ana.page.title() == "printed"
        with device(chromium, pages, script=False) as ana:
            ana.sign_in()
            ana.open("/card")
            assert ana.page.get_by_role("button", name="Print").count() == 0
            ana.sees("Count them")
