"""A keeper's day in a real browser, on a phone and a computer, light and dark."""

import re
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Route

from tests.browser.conftest import EACH_DISPLAY, KINDS, Device, device
from tests.faults.house import (
    PEOPLE,
    QUIET_MORNINGS,
    SITE,
    TWO_COOPS,
    WINTER,
    household,
)
from tests.unhurried import unhurried
from tests.web.front import Front, free_port, front, link_of
from tests.web.test_pages import said

pytestmark = pytest.mark.browser

AXE = Axe()
SERIOUS = {"serious", "critical"}


@pytest.mark.parametrize(("display", "script"), KINDS)
def test_a_day_with_a_bird_missing(
    chromium: Browser, pages: Front, display: str, *, script: bool
) -> None:
    with device(chromium, pages, display, script=script) as ana:
        ana.sign_in()
        ana.sees("Lock up at 16:18")

        water = ana.page.get_by_role("button", name=re.compile("^Fill the drinkers"))
        water.click()
        ana.sees("Ana, 12:30")
        assert water.get_attribute("aria-pressed") == "true"
        water.click()
        ana.page.get_by_text("Ana, 12:30").wait_for(state="detached")

        ana.it_is("16:20")
        ana.open("/")
        ana.sees("Lock up now")
        endings = {
            "Found": ("found", "shut", "12 in, 1 of them found since"),
            "Stop looking for tonight": ("stop looking for tonight", "part", "11 of 12 in"),
            "Sleeping elsewhere": ("sleeping elsewhere", "part", "all 11 in"),
            "Yes, dead": ("dead", "part", "all 11 in"),
        }
        for ending, (undone, mood, then) in endings.items():
            ana.shuts(11, "11 of 12 in, door shut" if script else "The door is shut")
            ana.sees("1 missing")
            if ending == "Found":
                ana.sees("hedges and low branches")
            else:
                ana.page.get_by_text("Not found?").click()
            if ending == "Yes, dead":  # it is asked once more
                ana.page.get_by_text("Died", exact=True).click()
            ana.press(ending)
            shut = ana.page.locator(f".card.{mood}")
            shut.wait_for()
            assert f": {then}." in shut.inner_text()
            ana.press(f"Undo “{undone}”")
            ana.sees("1 missing")
            ana.press("Undo: it is not shut")
            ana.sees("Lock up now")
        ana.shuts(12, "All 12 in, door shut" if script else "The door is shut")
        ana.sees(": all 12 in.")
        assert said(pages)[-1] == ("closed", 12, "Ana")


@pytest.mark.parametrize(("display", "script"), KINDS)
def test_subscribe_report_and_look_after_the_others(
    chromium: Browser, pages: Front, display: str, *, script: bool
) -> None:
    with device(chromium, pages, display, script=script) as ana:
        ana.sign_in()
        ana.open("/subscribe")
        ana.sees("A subscribed calendar shows you the times. It does not wake you.")
        address = ana.page.get_by_role("textbox", name="Address of Evenings").input_value()
        assert pages.get(address.removeprefix(pages.url)).status == 200
        ana.page.get_by_text("Other calendars, and alarms").click()
        ana.page.get_by_role("link", name="Show them with an alarm").click()
        with_alarms = ana.page.get_by_role("textbox", name="Address of Evenings").input_value()
        assert "BEGIN:VALARM" in pages.get(with_alarms.removeprefix(pages.url)).text

        ana.open("/add")
        ana.press("Heat")
        ana.sees("Heat on")
        ana.press("Undo")
        ana.sees("took it back")
        ana.page.get_by_text("How hot?").click()
        hottest = ana.page.get_by_label("The hottest it will be")
        hottest.fill("warm")
        ana.press("Note it")
        ana.sees("Type a number, such as 30.")
        assert hottest.input_value() == "warm"

        ana.open("/status")
        ana.sees("Do not rely on the reminders now")  # no watch runs here

        ana.open("/people")
        ana.page.get_by_label("Who").select_option("Kim")
        ana.press("Make a sign-in link")
        link = ana.page.get_by_role("textbox", name="Sign-in link").input_value()
        with device(chromium, pages, display, script=script) as kim:
            kim.open(link.removeprefix(pages.url))
            kim.page.get_by_role("button", name="Sign in as Kim").click()
            kim.sees("Lock up at 16:18")
            ana.open("/people")
            ana.page.get_by_role("link", name=re.compile("^Sign out Kim")).click()
            ana.page.get_by_role("button", name="Yes, sign out").click()
            ana.page.wait_for_url("**/people")
            assert ana.page.get_by_role("link", name=re.compile("^Sign out Kim")).count() == 0
            kim.open("/")
            kim.sees("You are not signed in")
            kim.wrong = [one for one in kim.wrong if "403" not in one]
        if display.startswith("phone"):
            ana.page.get_by_role("link", name="More").click()
            ana.page.get_by_role("link", name=re.compile("^Status")).click()
            ana.page.wait_for_url("**/status")
        ana.wrong = [one for one in ana.wrong if "422" not in one]  # what was typed wrong above


def test_the_message_at_dusk_is_answered_on_the_phone_that_it_rings(
    chromium: Browser, tmp_path: Path
) -> None:
    with household(tmp_path) as house:
        house.set_clock(house.local("16:00"))
        port = free_port()
        base = f"http://hens.test:{port}"
        pages = front(house, watched=True, port=port, base_url=base)
        with pages as served, device(chromium, served, "phone dark") as phone:
            phone.sign_in("kim")  # by plain http on a name of the home network
            phone.open("/status")
            phone.sees("You can rely on the reminders")
            phone.press("Send me a test message")
            phone.sees("Push: sent.")
            phone.sees("Mail: sent.")
            house.forget()  # a test is no reminder
            phone.it_is("16:19")
            house.settle()
            *_, alert = house.phone_events("ana")
            assert "Lock up at 16:18" in alert.text
            link = str(alert.said["click"])
            assert link.startswith(f"{base}/evening/2026-12-21/")
            phone.context.clear_cookies()  # the message rings on a phone that is not signed in
            phone.page.goto(link)
            phone.sees("You are answering as Ana")
            phone.shuts(11)
            phone.sees("1 missing")
            house.settle()
            missing = house.phone_events("ana")[-1]
            assert "1 of 12 missing: Walnut" in str(missing.said["title"])
            assert "open this message and say how it ended" in missing.text
            assert missing.said["click"] == link
            phone.press("Found")
            phone.sees("12 in")
            phone.it_is("16:50")
            house.settle()
            assert [kind for kind, *_ in said(served)] == ["closed", "found"]
            assert not [title for title in house.phone("kim") if "overdue" in title.lower()]


def test_a_wrong_count_stays_in_the_field_and_no_count_is_not_sent(
    chromium: Browser, pages: Front
) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.it_is("16:20")
        ana.open("/")
        count = ana.page.get_by_label("How many are in?")
        ana.shuts("")
        assert count.evaluate("one => one.validity.valueMissing")
        count.evaluate("one => one.removeAttribute('max')")
        ana.shuts(1234567)
        ana.sees('"1234567" is not a number of birds.')
        assert count.input_value() == "1234567"
        assert ana.focused() == count.get_attribute("id")
        assert said(pages) == []
        ana.wrong = [one for one in ana.wrong if "422" not in one]


def test_the_button_says_what_it_will_do(chromium: Browser, pages: Front) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.it_is("15:48")
        ana.open("/")
        at_the_thumb = ana.page.evaluate(
            """() => {
                const button = document.querySelector(".closing button.good");
                const bar = document.querySelector("nav.bar").getBoundingClientRect();
                const { top, bottom } = button.getBoundingClientRect();
                return top > innerHeight / 2 && bottom < bar.top;
            }"""
        )
        assert at_the_thumb, "in the lower half from half an hour before the lock-up, unscrolled"
        ana.it_is("16:20")
        ana.open("/")
        shut = ana.page.locator(".closing button.good")
        uncounted = ana.page.get_by_role("button", name="Door shut, not counted")
        fewer, more = (
            ana.page.get_by_role("button", name=f"One {way}") for way in ("fewer", "more")
        )
        assert shut.inner_text() == "All 12 in, door shut"
        fewer.click()
        fewer.click()
        assert shut.inner_text() == "10 of 12 in, door shut"
        assert uncounted.is_disabled(), "what was counted is not lost beside another button"
        for _ in range(3):
            more.click()
        assert shut.inner_text() == "13 in, door shut"
        fewer.click()
        assert uncounted.is_enabled()
        fewer.click()
        shut.click()
        ana.sees("1 missing")
        assert said(pages) == [("closed", 11, "Ana")]
        assert ana.focused() == "door-walnut-2026-12-21"


def test_where_nothing_is_expected_the_button_says_that_none_is_in(
    chromium: Browser, pages: Front
) -> None:
    with device(chromium, pages) as ana:
        pages.house.say(count=0, evening=WINTER - timedelta(days=1))
        ana.sign_in()
        ana.it_is("16:20")
        ana.open("/")
        assert ana.page.locator(".closing button.good").inner_text() == "None in, door shut"


def test_the_focus_goes_back_to_the_line_and_never_lies_behind_the_bar(
    chromium: Browser, pages: Front
) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.page.get_by_role("button", name=re.compile("^Fill the drinkers")).click()
        ana.sees("Ana, 12:30")
        assert ana.focused() == "job-water-walnut-2026-12-21-1"
        for _ in range(12):
            ana.page.keyboard.press("Tab")
            below = ana.page.evaluate(
                "document.activeElement.getBoundingClientRect().bottom"
                " - document.querySelector('nav.bar').getBoundingClientRect().top"
            )
            on_the_page = ana.page.evaluate("!!document.activeElement.closest('main')")
            assert below <= 0 or not on_the_page, ana.focused()


@pytest.mark.parametrize(
    ("width", "height"),
    [(320, 256), *(pytest.param(*one, marks=unhurried) for one in ((195, 422), (640, 400)))],
)
def test_enlarged_twice_or_more_the_bar_covers_nothing(
    chromium: Browser, pages: Front, width: int, height: int
) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.it_is("16:20")
        ana.page.set_viewport_size({"width": width, "height": height})
        ana.open("/")
        for _ in range(12):
            ana.page.keyboard.press("Tab")
            covered = ana.page.evaluate(
                """() => {
                    const one = document.activeElement.getBoundingClientRect();
                    const x = one.left + one.width / 2, y = one.bottom - 3;
                    const there = document.elementFromPoint(x, Math.min(y, innerHeight - 1));
                    const inside = document.activeElement.closest("main");
                    return inside && there && there.closest("nav.bar") ? "covered" : "";
                }"""
            )
            assert covered == "", ana.focused()
        ana.page.evaluate("scrollTo(0, document.body.scrollHeight)")
        bar = ana.page.evaluate("document.querySelector('nav.bar').getBoundingClientRect().bottom")
        assert bar <= 0, "it has gone up with the page"


def test_a_page_of_a_server_that_is_gone_says_of_when_it_is(
    chromium: Browser, pages: Front
) -> None:
    with device(chromium, pages, worker=False) as ana:
        ana.context.clock.install(time=pages.house.now)
        ana.sign_in()
        clock = ana.page.locator("#clock")
        assert clock.inner_text() == "12:30"
        ana.page.route("**/*", lambda route: route.abort())
        ana.page.clock.run_for(60_000)
        assert clock.inner_text() == "12:31", "the clock in the head goes on"
        ana.page.clock.run_for(121_000)
        ana.sees("Offline, as of 12:30. What you press is kept, and sent later.")
        assert clock.is_hidden()
        ana.page.unroute("**/*")
        ana.page.clock.run_for(31_000)
        ana.page.locator("#stale").wait_for(state="hidden")
        ana.wrong = [one for one in ana.wrong if "ERR_FAILED" not in one]


def test_a_tap_without_reception_is_kept_and_sent_with_its_time(
    chromium: Browser, pages: Front
) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.it_is("16:25")
        ana.open("/")
        ana.page.evaluate("navigator.serviceWorker.ready")
        ana.page.reload()
        ana.context.set_offline(True)
        ana.page.reload()  # from what the phone has kept
        ana.page.get_by_role("button", name="All 12 in, door shut").click()
        ana.sees("Saved on this phone. It will be sent when you have reception")
        ana.sees("Saved, not sent yet.")
        assert ana.page.locator(".closing button:enabled").count() == 0, "it is pressed once"
        ana.page.get_by_role("button", name="Take it back").click()
        ana.page.get_by_text("Saved, not sent yet.").wait_for(state="detached")
        ana.page.get_by_role("button", name="All 12 in, door shut").click()
        ana.sees("Saved, not sent yet.")
        assert said(pages) == []
        ana.pages.house.set_clock(ana.pages.house.local("18:00"))
        ana.context.set_offline(False)
        ana.sees(": all 12 in.")
        ana.sees("Ana shut the door at 16:25")
        assert said(pages) == [("closed", 12, "Ana")]
        assert ana.page.locator("#kept").is_hidden()
        ana.wrong = [one for one in ana.wrong if "ERR_INTERNET_DISCONNECTED" not in one]


@pytest.mark.parametrize(
    ("region", "pressed"), [("UK", "16:25"), pytest.param("US", "4:25 pm", marks=unhurried)]
)
def test_a_kept_tap_that_was_overtaken_is_told_with_its_reason(
    chromium: Browser, tmp_path: Path, region: str, pressed: str
) -> None:
    body = SITE.replace('region = "UK"', f'region = "{region}"') + TWO_COOPS + PEOPLE
    with (
        household(tmp_path, body=body) as house,
        front(house, published=False) as pages,
        device(chromium, pages, worker=False) as ana,
    ):
        ana.sign_in()
        ana.it_is("16:25")
        ana.open("/")
        ana.page.route("**/door", lambda route: route.abort())
        ana.page.get_by_text("Count each house").click()
        ana.page.get_by_role("button", name="All 12 in, door shut").click()
        tap = f"Walnut: All 12 in, door shut ({pressed})"
        ana.sees(f"Saved on this phone. It will be sent when you have reception: {tap}.")
        house.say(count=10, coop="walnut", who="Kim")
        ana.page.unroute("**/door")
        ana.page.reload()
        why = f"This did not count: {tap}. Kim said at {pressed} that 2 are missing."
        ana.sees(why)
        ana.page.locator(".card.searching").wait_for()
        assert said(pages) == [("closed", 10, "Kim")]
        ana.page.reload()
        ana.sees(why)
        ana.page.get_by_role("button", name="Got it").click()
        ana.page.locator("#kept").wait_for(state="hidden")
        ana.wrong = [one for one in ana.wrong if "ERR_FAILED" not in one]


def test_what_the_phone_keeps_is_never_older_than_the_last_tap(
    chromium: Browser, pages: Front
) -> None:
    with device(chromium, pages) as ana:
        ana.sign_in()
        ana.it_is("16:25")
        ana.open("/")
        ana.page.evaluate("navigator.serviceWorker.ready")
        ana.page.reload()
        ana.shuts(12)
        ana.sees(": all 12 in.")
        ana.page.wait_for_function(
            "async () => (await (await caches.match('/')).text()).includes('Undo: the door')"
        )
        ana.context.set_offline(True)
        ana.page.reload()
        ana.sees(": all 12 in.")
        ana.wrong = [one for one in ana.wrong if "ERR_INTERNET_DISCONNECTED" not in one]


@unhurried
def test_taps_wait_in_their_order_and_a_refused_one_is_told_until_it_was_seen(
    chromium: Browser, tmp_path: Path
) -> None:
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE
    with (
        household(tmp_path, body=body) as house,
        front(house, published=False) as pages,
        device(chromium, pages, worker=False) as ana,  # what passes a worker cannot be held up
    ):
        ana.sign_in()
        ana.it_is("16:25")
        ana.open("/")

        def never_answers(_: Route) -> None: ...  # bars, but no data

        ana.page.route("**/door", never_answers)
        ana.page.get_by_text("Count each house").click()
        ana.page.get_by_role("button", name="All 12 in, door shut").click()
        ana.page.get_by_role("button", name="All 8 in, door shut").click()
        kept = "JSON.parse(localStorage.getItem('duskfold-kept')).length"
        assert ana.page.evaluate(kept) == 2, "kept before it is sent"
        ana.page.unroute("**/door")
        ana.page.reload()
        ana.sees("All shut")
        assert said(pages) == [("closed", 12, "Ana"), ("closed", 8, "Ana")]
        assert ana.page.evaluate(kept) == 0

        # What the pages refuse is shown until somebody has seen it, whatever is loaded meanwhile.
        ana.context.clear_cookies()
        ana.page.evaluate(
            "localStorage.setItem('duskfold-kept', JSON.stringify([{id: '1', action: '/door', "
            "fields: [['do', 'all-in']], at: 1797870000, what: 'Walnut: shut'}]))"
        )
        ana.page.reload()
        ana.sees("This did not count: Walnut: shut")
        ana.page.reload()
        ana.sees("This did not count: Walnut: shut")
        ana.page.get_by_role("button", name="Got it").click()
        ana.page.locator("#kept").wait_for(state="hidden")
        ana.wrong = [one for one in ana.wrong if "403" not in one]


def test_today_prints_as_a_list_to_tick(chromium: Browser, pages: Front) -> None:
    with device(chromium, pages, "phone dark") as ana:
        ana.sign_in()
        ana.it_is("16:20")
        ana.open("/")
        ana.page.emulate_media(media="print", color_scheme="dark")
        assert ana.page.locator(".job .box").first.is_visible()
        assert ana.page.get_by_text("Fill the drinkers and check the water").is_visible()
        for hidden in (".closing", "nav.bar", ".undo", "button.big", "button.link"):
            assert ana.page.locator(f"{hidden}:visible").count() == 0, hidden
        paper, ink = ana.page.evaluate(
            "['background-color', 'color'].map(one => getComputedStyle(document.body)[one])"
        )
        assert (paper, ink) == ("rgba(0, 0, 0, 0)", "rgb(0, 0, 0)"), "dark ink on paper"


@unhurried
def test_two_houses_are_shut_one_by_one(chromium: Browser, tmp_path: Path) -> None:
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE
    with (
        household(tmp_path, body=body) as house,
        front(house, published=False) as pages,
        device(chromium, pages) as ana,
    ):
        ana.sign_in()
        ana.it_is("16:20")
        ana.open("/")
        ana.page.get_by_text("Count each house").click()
        ana.press("All 8 in, door shut")
        ana.sees("1 of 2 still to shut")
        ana.press("All 12 in, door shut")
        ana.sees("All shut")
        assert said(pages) == [("closed", 8, "Ana"), ("closed", 12, "Ana")]


def test_two_houses_are_shut_with_one_press(chromium: Browser, tmp_path: Path) -> None:
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE
    with (
        household(tmp_path, body=body) as house,
        front(house, published=False) as pages,
        device(chromium, pages) as ana,
    ):
        ana.sign_in()
        ana.it_is("16:20")
        ana.open("/")
        ana.sees("2 of 2 still to shut")
        ana.press("12 and 8 in, both doors shut")
        ana.sees("All shut")
        assert sorted(said(pages)) == [("closed", 8, "Ana"), ("closed", 12, "Ana")]


# -- accessibility and layout -----------------------------------------------------------------

PATHS = (
    *("/", "/week", "/year", "/add", "/flock", "/coop", "/why/water", "/weather", "/birds"),
    *("/card", "/phone", "/subscribe", "/status", "/people", "/diary", "/begun", "/more", "/about"),
    *("/change", "/change/versions", "/change/jobs-by-day"),
    *(f"/change/{one}" for one in ("birds", "house", "run", "people", "alerts", "jobs", "place")),
    *("/change/weather", "/change/server", "/change/jobs/water"),
)


@pytest.mark.parametrize("display", EACH_DISPLAY)
def test_no_page_has_a_serious_fault_of_accessibility(
    chromium: Browser, pages: Front, display: str
) -> None:
    with device(chromium, pages, display) as ana:
        sign_in = pages.invitation("ana")
        ana.open("/")
        checked(ana, "signed out")
        ana.open(sign_in)
        checked(ana, "sign in")
        ana.sign_in()
        for path in PATHS:
            ana.open(path)
            ana.page.evaluate("document.querySelectorAll('details').forEach(d => d.open = true)")
            checked(ana, path)
        ana.open("/")
        ana.page.get_by_text("Already shut?").click()
        ana.shuts(12)
        checked(ana, "shut hours ahead?")
        for clock in ("16:20", "16:40"):
            ana.it_is(clock)
            ana.open("/")
            checked(ana, clock)
        ana.page.get_by_label("How many are in?").evaluate("one => one.removeAttribute('max')")
        ana.shuts(1234567)
        checked(ana, "a wrong count")
        ana.shuts(11)
        checked(ana, "searching")
        ana.open(link_of(pages))
        checked(ana, "confirm")
        ana.press("Found")
        checked(ana, "shut")
        ana.wrong = [one for one in ana.wrong if "422" not in one and "403" not in one]


def checked(mine: Device, what: str) -> None:
    """Asks axe-core, and whether anything hangs over the side of the screen."""
    found = AXE.run(mine.page).response["violations"]
    bad = [
        f"{one['id']}: {node['target']} {node.get('failureSummary')}"
        for one in found
        if one["impact"] in SERIOUS
        for node in one["nodes"]
    ]
    assert bad == [], f"{what}: {bad}"
    wide = mine.page.evaluate("document.documentElement.scrollWidth - innerWidth")
    assert wide <= 0, f"{what} is {wide} px too wide"
    small = mine.page.evaluate(
        """() => [...document.querySelectorAll("main button, main a.big, main summary")]
            .filter((one) => one.offsetParent && one.getBoundingClientRect().height < 44)
            .map((one) => one.textContent.trim())"""
    )
    assert small == [], f"{what}: too small for a wet thumb: {small}"


@pytest.fixture(autouse=True)
def _no_browser_left(chromium: Browser) -> Iterator[None]:
    yield
    assert chromium.contexts == []


@pytest.mark.parametrize("script", [True, pytest.param(False, marks=unhurried)])
def test_on_a_screen_that_all_share_a_name_is_chosen_for_each_thing(
    chromium: Browser, pages: Front, *, script: bool
) -> None:
    with device(chromium, pages, "phone light", script=script) as kitchen:
        kitchen.open(pages.invitation("screen:Kitchen"))
        kitchen.page.get_by_role("button", name="Sign in as Kitchen").click()
        kitchen.sees("Lock up at 16:18")
        kitchen.it_is("16:20")
        kitchen.open("/")
        water = kitchen.page.locator("form", has_text="Fill the drinkers and check the water")
        water.locator("summary").click()
        assert pages.house.rows("SELECT * FROM done") == []
        water.get_by_role("button", name="Kim").click()
        kitchen.sees("Kim, 16:20")
        door = kitchen.page.locator("form.closing")
        kitchen.shuts(12)  # nobody is chosen: the browser asks
        assert said(pages) == []
        door.get_by_role("group", name="Who shut it?").get_by_label("Ana").check()
        kitchen.shuts(12)
        kitchen.sees("Ana shut the door at 16:20")
        assert said(pages) == [("closed", 12, "Ana")]
        found = AXE.run(kitchen.page).response["violations"] if script else []
        assert [one["id"] for one in found if one["impact"] in SERIOUS] == []
