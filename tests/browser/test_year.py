"""The year's times in a browser: by the slider and its keys, by touch, and without a script."""

import pytest
from playwright.sync_api import Browser, Locator

from tests.browser.conftest import Device, device
from tests.unhurried import unhurried
from tests.web.front import Front

pytestmark = pytest.mark.browser

DATES = ("2026-12-01", "2027-03-28", "2027-06-21", "2027-10-31", "2027-11-30")


def reading(ana: Device) -> str:
    return ana.page.locator("#reading").inner_text()


def says(slider: Locator) -> str:
    return slider.get_attribute("aria-valuetext") or ""


def test_each_arrow_moves_a_day_and_the_script_says_what_the_server_says(
    chromium: Browser, pages: Front
) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.open("/year")
        slider = ana.page.get_by_role("slider")
        assert says(slider).startswith("Monday 21 December: lock up 16:18")
        slider.focus()
        ana.page.keyboard.press("ArrowRight")
        assert says(slider).startswith("Tuesday 22 December: lock up 16:19")
        assert "Tuesday 22 December" in reading(ana)
        assert ana.page.locator("#on").input_value() == "2026-12-22"
        for date in DATES:
            ana.open(f"/year?on={date}")
            slider = ana.page.get_by_role("slider")
            served, said, place = reading(ana), says(slider), line_of(ana)
            # There and back, so that the script has written all of it itself.
            slider.focus()
            back, again = ("Right", "Left") if date == DATES[0] else ("Left", "Right")
            ana.page.keyboard.press(f"Arrow{back}")
            assert reading(ana) != served
            ana.page.keyboard.press(f"Arrow{again}")
            assert (reading(ana), says(slider)) == (served, said)
            assert line_of(ana) == pytest.approx(place, abs=0.1)


def line_of(ana: Device) -> float:
    """How far down the picture the line is, on the screen."""
    return float(
        ana.page.evaluate(
            """() => {
                const [line, year] = [".chosen path", "svg.year"].map((one) =>
                    document.querySelector(one).getBoundingClientRect());
                return line.top - year.top;
            }"""
        )
    )


def test_a_tap_moves_the_line_and_so_does_its_grip(chromium: Browser, pages: Front) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.open("/year")
        picture = ana.page.locator("svg.year").first
        before = reading(ana)
        picture.scroll_into_view_if_needed()
        box = picture.bounding_box()
        assert box
        picture.tap(position={"x": 120, "y": box["height"] / 2})
        tapped = reading(ana)
        assert tapped != before
        assert line_of(ana) == pytest.approx(box["height"] / 2, abs=2)
        ana.page.locator(".chosen .reach").scroll_into_view_if_needed()
        grip = ana.page.locator(".chosen .reach").bounding_box()
        assert grip
        assert grip["height"] >= 46
        x, y = grip["x"] + grip["width"] / 2, grip["y"] + grip["height"] / 2
        ana.page.mouse.move(x, y)
        ana.page.mouse.down()
        ana.page.mouse.move(x, y - 60, steps=4)
        assert reading(ana) != tapped
        ana.page.mouse.up()
        moved = reading(ana)
        ana.page.mouse.move(x, y - 120)
        assert reading(ana) == moved, "it has been let go"


@unhurried
def test_without_a_script_a_form_asks_for_the_date(chromium: Browser, pages: Front) -> None:
    with device(chromium, pages, script=False) as ana:
        ana.sign_in()
        ana.open("/year")
        assert not ana.page.locator("#through").is_visible()
        ana.page.get_by_label("Date", exact=True).fill("2027-06-21")
        ana.page.get_by_role("button", name="Show").click()
        assert "Monday 21 June" in reading(ana)


@unhurried
def test_a_job_ticked_on_week_keeps_the_week_and_the_focus(chromium: Browser, pages: Front) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.open("/week?from=2026-12-22")
        job = ana.page.get_by_role("button", name="Stir the bedding").first
        at = job.get_attribute("id")
        for pressed in ("true", "false"):
            job.click()
            ana.page.locator(f"#{at}[aria-pressed={pressed}]").wait_for()
            assert ana.focused() == at
            assert ana.page.url.endswith("/week?from=2026-12-22")
        ana.page.locator(".agenda summary", has_text="more").first.click()
        folded = ana.page.locator("details .job").first
        at = folded.get_attribute("id")
        for pressed in ("true", "false"):
            ana.page.locator(f"#{at}").click()
            ana.page.locator(f"#{at}[aria-pressed={pressed}]").wait_for()
            assert ana.focused() == at, "its list stays unfolded"
