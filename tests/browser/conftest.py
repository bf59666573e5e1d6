"""A phone and a computer with Debian's Chromium, before the real pages with a driven clock."""

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, Request, sync_playwright

from tests.faults.house import household
from tests.unhurried import unhurried
from tests.web.first_house import FirstHouse
from tests.web.front import Front, front

PHONE = (390, 844)
SMALL_PHONE = (360, 640)
COMPUTER = (1280, 800)
DISPLAYS = {
    "phone light": (PHONE, "light"),
    "phone dark": (PHONE, "dark"),
    "small phone light": (SMALL_PHONE, "light"),
    "small phone dark": (SMALL_PHONE, "dark"),
    "computer light": (COMPUTER, "light"),
    "computer dark": (COMPUTER, "dark"),
}
# A phone in daylight while one works; every display, and a browser without scripts, in CI.
_OTHERS = ("phone dark", "computer light", "computer dark")
EACH_DISPLAY = ["phone light", *(pytest.param(one, marks=unhurried) for one in _OTHERS)]
KINDS = [
    ("phone light", True),
    *(pytest.param(one, True, marks=unhurried) for one in _OTHERS),
    pytest.param("phone light", False, marks=unhurried),
]


@pytest.fixture(scope="session")
def chromium() -> Iterator[Browser]:
    """The browser; `hens.test` is this machine, as a name on a home network would be."""
    path = shutil.which("chromium")
    if path is None:
        pytest.skip("chromium is not installed")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=path,
            args=["--no-sandbox", "--host-resolver-rules=MAP hens.test 127.0.0.1"],
        )
        yield browser
        browser.close()


@dataclass
class Device:
    """Somebody's browser; `wrong` has what a console said and which other hosts were asked."""

    pages: Any  # a Front, or what stands for one before there is a profile
    context: BrowserContext
    page: Page
    base: str
    wrong: list[str] = field(default_factory=list)

    def open(self, path: str) -> None:
        """Goes to a page of ours."""
        self.page.goto(self.base + path)

    def sign_in(self, who: str = "ana") -> None:
        """Scans the code that the command line shows, and presses the button."""
        self.open(self.pages.invitation(who))
        self.page.get_by_role("button", name="Sign in as").click()
        self.page.wait_for_url(f"{self.base}/")

    def press(self, name: str) -> None:
        """Presses the button and waits for the page that follows, loaded or put in its place."""
        self.page.locator("main").evaluate("(main) => { main.dataset.before = '' }")
        self.page.get_by_role("button", name=name, exact=True).click()
        self.page.locator("main:not([data-before])").wait_for()
        self.page.wait_for_load_state()

    def sees(self, text: str) -> None:
        """Waits until the text is to be seen."""
        self.page.locator("main").get_by_text(text).first.wait_for(timeout=10_000)

    def shuts(self, count: int | str, label: str = "") -> None:
        """Puts the count in and presses the one button, which says so."""
        self.page.get_by_label("How many are in?").fill(str(count))
        button = self.page.locator(".closing button.good")
        assert not label or button.inner_text() == label
        button.click()

    def focused(self) -> str:
        """The id of what has the focus."""
        return str(self.page.evaluate("document.activeElement.id"))

    def it_is(self, clock: str) -> None:
        """Moves the clocks of the house and of this device."""
        self.pages.house.set_clock(self.pages.house.local(clock))
        self.context.clock.set_system_time(self.pages.house.now)


@contextmanager
def device(
    browser: Browser,
    pages: Front | FirstHouse,
    display: str = "phone light",
    *,
    script: bool = True,
    worker: bool = True,
) -> Iterator[Device]:
    """A browser of its own, which must have had nothing to complain of when it is closed."""
    (width, height), scheme = DISPLAYS[display]
    context = browser.new_context(
        viewport={"width": width, "height": height},
        color_scheme=scheme,  # type: ignore[arg-type] # light or dark
        java_script_enabled=script,
        service_workers="allow" if worker else "block",
        has_touch=width < COMPUTER[0],
        locale="en-GB",
        timezone_id="Europe/London",
    )
    context.set_default_timeout(10_000)
    context.clock.set_system_time(pages.house.now)
    page = context.new_page()
    mine = Device(pages, context, page, pages.base_url or pages.url)

    def asked(request: Request) -> None:
        if not request.url.startswith((mine.base, "data:")):
            mine.wrong.append(f"asked {request.url}")

    context.on("request", asked)
    page.on("console", lambda said: mine.wrong.append(said.text) if said.type == "error" else None)
    page.on("pageerror", lambda error: mine.wrong.append(str(error)))
    try:
        yield mine
    finally:
        context.close()
    assert mine.wrong == []


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[Front]:
    """The pages and calendars of the usual house, at half past twelve."""
    with household(tmp_path) as house, front(house) as served:
        yield served
