"""Today under a thumb: how many taps, by keyboard, without reception, past midnight, on paper."""

from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator

from tests.browser.conftest import Device, device
from tests.browser.scenes import SCENES, beat, staged
from tests.faults.house import WINTER
from tests.unhurried import unhurried
from tests.web.front import PAGES, Front
from tests.web.test_pages import said

pytestmark = pytest.mark.browser

_COVERED = """() => {
    const one = document.activeElement;
    if (!one.closest("main")) return "";
    const { left, top, width, height } = one.getBoundingClientRect();
    const y = Math.min(Math.max(top + height / 2, 1), innerHeight - 1);
    const there = document.elementFromPoint(Math.max(left + Math.min(width / 2, 40), 1), y);
    const over = there?.closest("nav.bar, .dock");
    return over && !over.contains(one) ? one.outerHTML.slice(0, 120) : "";
}"""


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Front]:
    """Two houses at half past twelve, with reminders that run."""
    with staged(tmp_path, SCENES["noon"]) as pages:
        yield pages


class Taps:
    """Somebody's thumb, and how often it has tapped since Today was opened."""

    def __init__(self, mine: Device, clock: str) -> None:
        self._mine = mine
        self.count = 0
        mine.it_is(clock)
        beat(mine.pages.house)
        mine.open("/")

    def on(self, target: Locator) -> None:
        """One tap on what is there to be seen, unscrolled or scrolled to."""
        target.scroll_into_view_if_needed()
        target.tap()
        self.count += 1


def test_what_is_said_most_takes_one_tap(chromium: Browser, pages: Front) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        button = ana.page.get_by_role

        egg = Taps(ana, "13:00")
        egg.on(button("button", name="Add 9 eggs"))
        ana.sees("9 eggs today")
        assert egg.count == 1
        undo = Taps(ana, "13:01")
        undo.on(button("button", name="Undo 9 eggs"))
        button("button", name="Undo 9 eggs").wait_for(state="detached")
        assert undo.count == 1

        job = Taps(ana, "13:02")
        job.on(ana.page.locator("#job-water-walnut-2026-12-21-1"))
        ana.sees("Ana, 13:02")
        assert job.count == 1

        tomorrow = Taps(ana, "13:03")
        tomorrow.on(ana.page.get_by_text("The next 14 evenings"))
        ana.sees("Tue 22 Dec")
        assert tomorrow.count == 1

        frost = Taps(ana, "13:04")
        frost.on(ana.page.locator("nav.bar").get_by_role("link", name="Add"))
        frost.on(button("button", name="Frost"))
        ana.sees("Frost")
        ana.page.wait_for_url("**/add**")
        assert frost.count == 2
        assert pages.house.rows("SELECT kind FROM report") == [("frost",)]

        short = Taps(ana, "16:20")
        short.on(button("button", name="One fewer"))
        short.on(button("button", name="11 of 12 in, door shut"))
        ana.sees("1 missing")
        assert short.count == 2
        back = Taps(ana, "16:21")
        back.on(button("button", name="Undo: it is not shut"))
        ana.sees("Lock up now")
        assert back.count == 1

        whole = Taps(ana, "16:22")
        whole.on(button("button", name="All 12 in, door shut"))
        ana.sees(": all 12 in.")
        assert whole.count == 1
        assert said(pages)[-1] == ("closed", 12, "Ana")


def test_nothing_more_is_said_once_the_jobs_of_the_evening_are_done_as_well(
    chromium: Browser, pages: Front
) -> None:
    with device(chromium, pages) as ana:
        pages.house.set_clock(pages.house.local("16:30"))
        pages.house.say(count=12, who="Kim")
        ana.sign_in()
        nothing = ana.page.get_by_text("Nothing more tonight.")
        for job in ("Collect the eggs", "Shut the feed away"):
            assert nothing.count() == 0
            ana.page.get_by_role("button", name=job).click()
            ana.page.get_by_role("button", name=job, pressed=True).wait_for()
        nothing.wait_for()


def test_what_was_typed_and_opened_elsewhere_is_still_there_after_a_tap(
    chromium: Browser, two: Front
) -> None:
    with device(chromium, two) as ana:
        ana.sign_in()
        barn = ana.page.locator("#count-egg-form-barn")
        barn.fill("4")
        ana.page.get_by_text("The next 14 evenings").click()
        ana.press("Add 9 eggs")
        ana.sees("9 eggs today")
        assert barn.input_value() == "4"
        ana.sees("Tue 22 Dec")
        ana.page.get_by_role("button", name="Add 4 eggs").wait_for()


def test_a_second_tap_in_a_row_does_nothing(chromium: Browser, two: Front) -> None:
    with device(chromium, two) as ana:
        ana.sign_in()
        ana.page.get_by_role("button", name="Add 9 eggs").dblclick()
        ana.sees("9 eggs today")
        water = ana.page.locator("#job-water-walnut-2026-12-21-1")
        water.dblclick()
        ana.sees("Ana, 12:30")
        assert water.get_attribute("aria-pressed") == "true"
        assert ana.page.get_by_text("18 eggs today").count() == 0


def test_while_each_house_is_counted_no_button_shuts_them_all(
    chromium: Browser, two: Front
) -> None:
    with device(chromium, two) as ana:
        ana.sign_in()
        ana.it_is("15:50")
        beat(two.house)
        ana.open("/")
        both = ana.page.get_by_role("button", name="12 and 8 in, both doors shut")
        assert both.is_visible()
        ana.page.get_by_text("Count each house").click()
        both.wait_for(state="hidden")


def test_two_who_look_and_one_who_finds(chromium: Browser, two: Front) -> None:
    with device(chromium, two) as ana, device(chromium, two) as kim:
        two.house.set_clock(two.house.local("16:30"))
        two.house.say(count=10, coop="walnut", who="Kim")
        two.house.say(count=8, coop="barn", who="Kim")
        for somebody, name in ((ana, "ana"), (kim, "kim")):
            somebody.sign_in(name)
            somebody.it_is("16:31")
        beat(two.house)
        ana.open("/")
        ana.press("I\N{RIGHT SINGLE QUOTATION MARK}m looking")
        kim.open("/")
        kim.sees("Ana is looking")
        kim.press("I\N{RIGHT SINGLE QUOTATION MARK}m looking too")
        kim.sees("You and Ana are looking")
        kim.press("Found one")
        kim.sees("1 missing")
        kim.press("Found")
        kim.sees("All shut")


def test_what_another_says_at_dusk_is_there_within_the_minute_and_folds_stay_open(
    chromium: Browser, two: Front
) -> None:
    with device(chromium, two, worker=False) as kim:
        two.house.set_clock(two.house.local("16:40"))
        for coop, birds in (("walnut", 12), ("barn", 8)):
            two.house.say(count=birds, coop=coop, who="Ana")
        beat(two.house)
        kim.context.clock.install(time=two.house.now)
        kim.sign_in("kim")
        kim.sees("All shut")
        kim.page.get_by_text("The next 14 evenings").click()
        kim.sees("Tue 22 Dec")
        two.house.say("reopened", coop="barn", who="Ana")
        kim.page.clock.run_for(46_000)
        kim.sees("1 of 2 still to shut")
        kim.sees("Tue 22 Dec")


def test_by_keyboard_nothing_that_has_the_focus_lies_behind_what_is_docked(
    chromium: Browser, two: Front
) -> None:
    with device(chromium, two) as ana:
        ana.sign_in()
        ana.it_is("16:20")
        beat(two.house)
        ana.open("/")
        order = []
        for _ in range(45):
            ana.page.keyboard.press("Tab")
            assert ana.page.evaluate(_COVERED) == ""
            order.append(ana.page.evaluate("document.activeElement.textContent.trim()"))
        assert "12 and 8 in, both doors shut" in order
        water = ana.page.locator("#job-water-walnut-2026-12-21-1")
        water.focus()
        ana.page.keyboard.press("Enter")
        ana.sees("Ana, 16:20")
        assert ana.focused() == "job-water-walnut-2026-12-21-1"
        assert ana.page.evaluate(_COVERED) == ""


def test_without_reception_today_has_the_next_fourteen_evenings(
    chromium: Browser, two: Front
) -> None:
    with device(chromium, two) as ana:
        ana.sign_in()
        ana.page.evaluate("navigator.serviceWorker.ready")
        ana.page.reload()
        ana.context.set_offline(True)
        ana.page.reload()
        ana.page.get_by_text("The next 14 evenings").click()
        last = WINTER + timedelta(days=13)
        ana.sees(f"{last:%a} {last.day} {last:%b}")
        assert ana.page.locator(".ahead tbody tr").count() == 14
        ana.wrong = [one for one in ana.wrong if "ERR_INTERNET_DISCONNECTED" not in one]


def test_at_midnight_a_card_says_of_which_evening_it_is(chromium: Browser, two: Front) -> None:
    with device(chromium, two, worker=False) as ana:
        two.house.set_clock(two.house.local("23:59"))
        for coop, birds in (("walnut", 12), ("barn", 8)):
            two.house.say(count=birds, coop=coop, who="Kim")
        beat(two.house)
        ana.context.clock.install(time=two.house.now)
        ana.sign_in()
        date = ana.page.locator(".card.shut .house [data-day]")
        assert date.is_hidden()
        ana.page.route("**/*", lambda route: route.abort())
        ana.page.clock.run_for(91_000)
        date.wait_for(state="visible")
        assert date.inner_text() == "Monday 21 December"
        ana.wrong = [one for one in ana.wrong if "ERR_FAILED" not in one]


def test_what_was_read_once_stays_folded_on_that_phone(chromium: Browser, pages: Front) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.it_is("16:20")
        ana.open("/")
        ana.shuts(11)
        ana.sees("hedges and low branches")
        ana.page.get_by_text("Where to look").click()
        ana.page.get_by_text("hedges and low branches").wait_for(state="hidden")
        ana.open("/")
        ana.sees("1 missing")
        assert ana.page.get_by_text("hedges and low branches").is_hidden()


@unhurried
def test_every_page_is_a_sheet_without_anything_to_press(chromium: Browser, two: Front) -> None:
    with device(chromium, two, "phone dark", worker=False) as ana:
        ana.sign_in()
        ana.page.emulate_media(media="print", color_scheme="dark")
        for path in PAGES:
            ana.open(path)
            left = ana.page.evaluate(
                """() => [...document.querySelectorAll("nav.bar, .dock, button:not(.job), .big")]
                    .filter((one) => one.offsetParent).map((one) => one.textContent.trim())"""
            )
            assert left == [], f"{path}: {left}"
            assert len(ana.page.locator("main").inner_text()) > 20, path
            ground = "getComputedStyle(document.body).backgroundColor"
            assert ana.page.evaluate(ground) == "rgba(0, 0, 0, 0)", path


@unhurried
@pytest.mark.parametrize(("width", "height"), [(195, 422), (320, 640)])
def test_p7_with_letters_twice_as_large_no_page_goes_over_its_side(
    chromium: Browser, two: Front, width: int, height: int
) -> None:
    with device(chromium, two, worker=False) as ana:
        ana.sign_in()
        ana.it_is("15:50")
        beat(two.house)
        ana.page.set_viewport_size({"width": width, "height": height})
        for path in PAGES:
            ana.open(path)
            wide = ana.page.evaluate("document.documentElement.scrollWidth - innerWidth")
            assert wide <= 0, f"{path}: {wide} px"
        ana.open("/")
        ana.page.get_by_text("Count each house").click()
        field = ana.page.get_by_label("How many are in?").first
        assert (field.bounding_box() or {"width": 0.0})["width"] >= 40
