"""From the printed address to tonight's confirmed lock-up, in a real browser, each tap counted."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator

from tests.browser.conftest import KINDS, Device, device
from tests.browser.test_browser import checked
from tests.unhurried import UNHURRIED, unhurried
from tests.web.first_house import FirstHouse, first_house

pytestmark = pytest.mark.browser

MOST_TAPS = 40
STEPS = 13


@pytest.fixture
def house(tmp_path: Path) -> Iterator[FirstHouse]:
    with first_house(tmp_path) as begun:
        yield begun


@dataclass
class Hand:
    """What somebody does to a phone; every button and every field that is touched is a tap."""

    on: Device
    taps: int = 0
    looks: int = 0
    checks: bool = False

    def tap(self, what: Locator) -> None:
        """One tap."""
        self.taps += 1
        what.click()

    def type(self, label: str, text: str) -> None:
        """A tap into the field, and the text."""
        field = self.on.page.get_by_label(label, exact=True)
        self.tap(field)
        field.fill(text)

    def choose(self, label: str) -> None:
        """A tap on one of several answers."""
        self.tap(self.on.page.locator("label.choice", has_text=label).first)

    def presses(self, button: str) -> None:
        """A tap on the button, and the page that follows; which is looked at."""
        before = self.on.page.url
        self.tap(self.on.page.get_by_role("button", name=button, exact=True))
        self.on.page.wait_for_url(lambda url: url != before)
        self.on.page.wait_for_load_state()
        self.look()

    def look(self) -> None:
        """Whether everybody can use the page."""
        self.looks += 1
        if self.checks:
            checked(self.on, self.on.page.url)


def set_up(hand: Hand, house: FirstHouse) -> None:
    """One house and two people, from the address to the first usual page."""
    hand.on.open(house.key_path())
    hand.look()
    hand.presses("Begin on this device")
    hand.type("Village or town", "51.5, -0.1")
    hand.presses("Next")
    hand.on.sees("Dusk tonight is 16:33.")
    hand.presses("Yes, that is right")
    hand.type("What do you call it?", "Walnut House")
    hand.type("How many minutes does it take you to get there?", "14")
    hand.presses("Next")
    hand.type("Hens", "12")
    hand.presses("Next")
    hand.choose("Yes, safe all round")
    hand.presses("Next")
    hand.type("Your name", "Ana")
    hand.type("Who else?", "Ben")
    hand.presses("Next")
    hand.choose("At home only")
    hand.presses("Next")
    hand.choose("By push")
    hand.type("The app’s push server", house.push.url)
    hand.presses("Next")
    hand.on.sees("nobody can guess it")
    hand.presses("Next")
    hand.choose("By push")
    hand.presses("Next")
    hand.presses("Next")
    day = hand.on.page.get_by_label("Tuesday", exact=True)
    hand.tap(day)
    day.select_option("Ben")
    hand.taps += 1  # in the list that has come up
    hand.presses("Next")
    hand.on.sees("Tonight, lock up at 16:18")
    hand.presses("Yes, begin")


@pytest.mark.parametrize(("display", "script"), KINDS)
def test_from_the_address_to_the_lock_up_of_tonight(
    chromium: Browser, house: FirstHouse, display: str, *, script: bool
) -> None:
    with device(chromium, house, display, script=script) as ana:
        hand = Hand(ana, checks=script and UNHURRIED)
        set_up(hand, house)
        house.remind()
        ana.open("/begun")
        ana.sees("Lock up at 16:18")
        ana.sees("Leave by 16:04")
        hand.tap(ana.page.get_by_role("button", name="Send a test message"))
        ana.page.locator(".tried .yes").wait_for()
        assert hand.looks > STEPS
        assert hand.taps <= MOST_TAPS
        assert [one.name for one in house.household().profile.person] == ["Ana", "Ben"]
        house.it_is("16:20")
        ana.context.clock.set_system_time(house.now)
        ana.open("/")
        ana.shuts(12)
        ana.sees("12 in")


@unhurried
def test_large_letters_leave_nothing_out(chromium: Browser, house: FirstHouse) -> None:
    with device(chromium, house) as ana:
        ana.page.add_init_script(
            "document.addEventListener('DOMContentLoaded', () => {"
            " document.documentElement.style.fontSize = '200%'; })"
        )
        hand = Hand(ana, checks=True)
        set_up(hand, house)
        assert ana.page.url.endswith("/begun")


@unhurried
def test_where_this_is_is_asked_only_where_the_browser_may_say_it(
    chromium: Browser, house: FirstHouse
) -> None:
    with device(chromium, house) as ana:
        ana.context.grant_permissions(["geolocation"])
        ana.context.set_geolocation({"latitude": 51.5, "longitude": -0.1})
        ana.open(house.key_path())
        ana.page.get_by_role("button", name="Begin on this device").click()
        ana.page.get_by_role("button", name="Use where I am now").click()
        ana.sees("Dusk tonight is 16:33.")
    house.cookies.clear()
    with device(chromium, house, script=False) as ana:
        ana.open(house.key_path())
        ana.page.get_by_role("button").click()
        ana.page.wait_for_load_state()
        ana.open("/begin/place")
        assert "only over https" in ana.page.locator("#not-here").inner_text()
        assert not ana.page.get_by_role("button", name="Use where I am now").is_visible()
