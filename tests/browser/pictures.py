"""The README's pictures, made by the browser of the tests: `python -m tests.browser.pictures`."""

import shutil
from pathlib import Path
from tempfile import TemporaryDirectory

from playwright.sync_api import Browser, sync_playwright

from tests.browser.scenes import Scene, staged
from tests.faults.house import LONDON, PEOPLE, QUIET_MORNINGS, ROOT, TWO_COOPS
from tests.web.front import Front

FOLDER = ROOT / "deploy" / "pictures"
MOST_BYTES = 150_000
TODAY, YEAR = "today-at-dusk.jpg", "year.jpg"
WIDE, HIGH = 390, 844
QUINCE_LANE = """
[site]
name = "Quince Lane"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
"""
DUSK = Scene(
    body=QUINCE_LANE + TWO_COOPS + QUIET_MORNINGS + PEOPLE, zone=LONDON, clock="15:52"
)  # fmt: skip


def make(browser: Browser, folder: Path) -> list[Path]:
    """Today half an hour before lock-up and the year, as a phone in daylight shows them."""
    with TemporaryDirectory() as place, staged(Path(place), DUSK) as pages:
        return [
            _taken(browser, pages, "/", folder / TODAY),
            _taken(browser, pages, "/year", folder / YEAR),
        ]


def _taken(browser: Browser, pages: Front, path: str, to: Path) -> Path:
    context = browser.new_context(
        viewport={"width": WIDE, "height": HIGH}, device_scale_factor=2, service_workers="block"
    )
    context.clock.set_system_time(pages.house.now)
    name, _, value = pages.cookie("ana").partition("=")
    context.add_cookies([{"name": name, "value": value, "url": pages.url}])
    page = context.new_page()
    page.goto(pages.url + path)
    page.screenshot(path=str(to), type="jpeg", quality=85)
    context.close()
    return to


def main() -> None:
    """Makes both anew; says how large they are."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--no-sandbox"]
        )
        for path in make(browser, FOLDER):
            print(f"{path}: {path.stat().st_size} bytes")
        browser.close()


if __name__ == "__main__":
    main()
