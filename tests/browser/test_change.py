"""The profile changed in a real browser: a house, somebody on another phone, an alert, put back."""

import re

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import KINDS, Device, device
from tests.browser.test_browser import checked
from tests.unhurried import unhurried
from tests.web.front import Front

pytestmark = pytest.mark.browser


def unfold(one: Device, title: str) -> None:
    """Opens the card of that title."""
    one.page.locator("details.fold > summary").filter(has_text=title).first.click()


def keep(one: Device, *, script: bool) -> None:
    """Reads what it would change, and keeps it."""
    one.sees("This will change")
    if script:  # axe-core never answers without it
        checked(one, "this will change")
    one.press("Keep it")
    one.sees("It is kept.")


@unhurried
@pytest.mark.parametrize(("display", "script"), KINDS)
def test_a_house_somebody_an_alert_and_everything_put_back(
    chromium: Browser, pages: Front, display: str, *, script: bool
) -> None:
    with device(chromium, pages, display, script=script) as ana:
        ana.sign_in()
        ana.open("/change")
        ana.page.get_by_role("link", name="Change it here from now on").click()
        ana.press("Yes, take it over")
        before = (pages.house.data / "duskfold.toml").read_text()

        ana.page.locator("main").get_by_role("link", name=re.compile("^Alerts")).click()
        ana.page.get_by_label("First message before lock-up").fill("45")
        ana.page.get_by_role("button", name="Change it …").first.click()
        ana.sees("15:33 first message to Ana")
        keep(ana, script=script)

        ana.open("/change/house")
        unfold(ana, "Add a house")
        ana.page.get_by_label("What you call the house").last.fill("Elm")
        ana.page.get_by_label("What you call these birds").fill("Pearls")
        ana.page.get_by_label("Hens").last.fill("3")
        ana.page.get_by_role("button", name="Go on …").last.click()
        ana.sees("Added: Elm")
        keep(ana, script=script)
        ana.open("/change/birds")
        ana.sees("Pearls")

        with device(chromium, pages, display, script=script) as kim:
            kim.sign_in("kim")
            kim.open("/change/people")
            unfold(kim, "Add somebody")
            kim.page.get_by_label("Name", exact=True).last.fill("Mo")
            kim.page.get_by_label("Email address").last.fill("mo")
            kim.page.get_by_role("button", name="Go on …").click()
            kim.sees('"mo" cannot be used')
            assert kim.page.get_by_label("Name", exact=True).last.input_value() == "Mo"
            kim.page.get_by_label("Email address").last.fill("mo@example.org")
            kim.page.get_by_role("button", name="Go on …").click()
            keep(kim, script=script)
            kim.page.get_by_role("link", name="Make a sign-in link").click()
            kim.page.get_by_label("Who").select_option("Mo")
            kim.wrong = [one for one in kim.wrong if "422" not in one]

        ana.open("/change/versions")
        ana.page.get_by_role("link", name=re.compile("^Back to how it was after this")).last.click()
        ana.sees("Taken away: Elm")
        ana.press("Yes, put it back")
        assert (pages.house.data / "duskfold.toml").read_text() == before


@unhurried
@pytest.mark.parametrize("path", ["/change/house", "/change/alerts", "/change/jobs"])
def test_at_twice_the_letters_nothing_is_cut_off(
    chromium: Browser, pages: Front, path: str
) -> None:
    with device(chromium, pages, "phone light") as ana:
        ana.sign_in()
        ana.open(path)
        ana.page.evaluate("document.documentElement.style.fontSize = '200%'")
        ana.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
        assert not ana.page.evaluate("document.documentElement.scrollWidth > innerWidth")
