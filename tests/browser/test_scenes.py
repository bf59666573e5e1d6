"""Today in its scenes, on three screens, light and dark: it says what counts, in one look."""

import os
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from tests.browser.conftest import DISPLAYS, Device, device
from tests.browser.scenes import SCENES, beat, staged
from tests.browser.test_browser import AXE
from tests.unhurried import unhurried

pytestmark = pytest.mark.browser

# A folder for the pictures, to be looked at by whoever has changed how a page looks.
PICTURES = os.environ.get("DUSKFOLD_PICTURES", "")
FIRST = "small phone dark"
PHONES = ("small phone light", "phone light", "phone dark")
COMPUTERS = ("computer light", "computer dark")
# One of each kind of trouble while one works; all of them, on every screen, in CI.
KINDS = (
    "noon",
    "overdue second house",
    "missing two",
    "night",
    "names",
    "watch dead",
    "all birds away",
)
EVERY = [one if one in KINDS else pytest.param(one, marks=unhurried) for one in SCENES]


@pytest.mark.parametrize("name", EVERY)
def test_today_says_what_counts_and_nothing_of_it_is_hard_to_reach(
    chromium: Browser, tmp_path: Path, name: str
) -> None:
    scene = SCENES[name]
    with staged(tmp_path, scene) as pages, device(chromium, pages, FIRST, worker=False) as ana:
        ana.sign_in()
        _says_what_counts(ana, name, FIRST)


@unhurried
@pytest.mark.parametrize("name", SCENES)
def test_so_it_does_on_every_screen_in_the_light_and_in_the_dark(
    chromium: Browser, tmp_path: Path, name: str
) -> None:
    assert {FIRST, *PHONES, *COMPUTERS} == {*DISPLAYS}
    with staged(tmp_path, SCENES[name]) as pages:
        for displays in (PHONES, COMPUTERS):
            with device(chromium, pages, displays[0], worker=False) as ana:
                ana.sign_in()
                for display in displays:
                    (width, height), scheme = DISPLAYS[display]
                    ana.page.set_viewport_size({"width": width, "height": height})
                    ana.page.emulate_media(color_scheme=scheme)  # type: ignore[arg-type] # light or dark
                    if SCENES[name].pulses:
                        beat(pages.house, SCENES[name].trust)
                    ana.open("/")
                    _says_what_counts(ana, name, display)


def _says_what_counts(ana: Device, name: str, display: str) -> None:
    scene = SCENES[name]
    for shown in scene.shows:
        ana.page.get_by_text(shown).first.wait_for()
    text = ana.page.locator("body").inner_text()
    assert [one for one in scene.never if one in text] == [], display
    if PICTURES:
        folder = Path(PICTURES)
        folder.mkdir(parents=True, exist_ok=True)
        ana.page.screenshot(path=str(folder / f"{name}, {display}.png".replace(" ", "-")))
    _is_sound(ana)


def _is_sound(mine: Device) -> None:
    """Nothing for axe-core, nothing beside the screen or said twice, large targets."""
    mine.page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    found = AXE.run(mine.page).response["violations"]
    faults = [f"{one['id']}: {node['target']}" for one in found for node in one["nodes"]]
    assert faults == []
    wide = mine.page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0, f"{wide} px too wide"
    small = mine.page.evaluate(
        """() => [...document.querySelectorAll("main button, main summary, main a, nav a")]
            .filter((one) => one.offsetParent && !one.closest("p") && !one.matches(".skip"))
            .filter((one) => one.getBoundingClientRect().height < 47.5)
            .map((one) => one.textContent.trim())"""
    )
    assert small == [], f"less than 48 px: {small}"
    twice = mine.page.evaluate(
        """() => {
            const told = [...document.querySelectorAll("main p")]
                .filter((one) => one.offsetParent && !one.closest("form, details"))
                .filter((one) => one.textContent.trim().length > 24)
                // Of another house the same may be true.
                .map((one) => [one.closest("section, .of-house")?.querySelector("h2, h3"), one])
                .map((both) => both.map((one) => one?.textContent.trim()).join(": "));
            return told.filter((one, place) => told.indexOf(one) !== place);
        }"""
    )
    assert twice == [], "no line is said twice"
