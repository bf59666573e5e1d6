"""A made-up garden in Chromium, whose own clock shows another day."""

import re
import signal
import sys

import pytest
from playwright.sync_api import Browser, expect

from tests.begun import begun
from tests.browser.conftest import PHONE
from tests.web.front import free_port

pytestmark = pytest.mark.browser


def test_a_phone_goes_by_the_clock_of_the_made_up_garden(chromium: Browser) -> None:
    listen = f"127.0.0.1:{free_port()}"
    command = [sys.executable, "-m", "scheduler", "demo", "--date", "2026-12-21", "--at", "16:40"]
    with begun([*command, "--listen", listen]) as process:
        assert process.stdout
        link = next(line.strip() for line in process.stdout if line.startswith("http"))
        assert link.startswith("http://localhost:")  # no cookie of the household's own pages
        with chromium.new_context(viewport={"width": PHONE[0], "height": PHONE[1]}) as context:
            page = context.new_page()
            page.goto(link)
            page.get_by_role("button", name="Sign in as").click()
            expect(page.get_by_role("note")).to_contain_text("This is a made-up garden.")
            door = page.locator("section.card", has_text="Walnut house").first
            expect(door).to_contain_text(re.compile(r"Due\s+in [1-4] min"))
            page.get_by_text("Count each house").click()
            page.get_by_role("button", name="All 9 in, door shut").click()
            expect(page.get_by_role("button", name="All 9 in, door shut")).to_have_count(0)
            page.goto(f"{link.partition('/sign-in')[0]}/diary")
            expect(page.locator("main")).to_contain_text(
                re.compile(
                    r"Evening of Monday 21 December 2026.*?shut, 9 in\s+Robin, 16:4\d", re.DOTALL
                )
            )
        process.send_signal(signal.SIGTERM)
    assert process.returncode == 0
