"""A phone that rings: the real worker in Chromium, from the first press to the shut door."""

import json
import os
import shutil
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from scheduler.alerts.phone import Subscription
from scheduler.machine.phone_key import phone_key
from scheduler.machine.signing_key import signing_key
from scheduler.service.people import phones
from scheduler.tokens.receipt import Receipt
from scheduler.wording.messages.ways_out import WaysOut
from tests.browser.conftest import Device, device
from tests.browser.desktop import desktop
from tests.browser.over_tls import NAME, tls_before
from tests.browser.phone import AUTH, ENDPOINT, P256DH, Phone, message
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, household
from tests.sinks import push_service
from tests.unhurried import unhurried
from tests.web.front import Front, free_port, front, served_at
from tests.web.test_pages import said

pytestmark = pytest.mark.browser


@dataclass
class Rung:
    """Ana's phone before pages and reminders, and the push service that it is reached by."""

    pages: Front
    phone: Phone
    browser: push_service.Phone
    handed: int = 0

    def gets(self, text: str) -> str:
        """Hands what comes over the push service to the worker until it shows that."""
        while True:
            found = self.browser.got.wait(self.handed + 1)
            got = found[self.handed]
            self.handed += 1
            self.phone.receives(got.text.decode())
            if text in f"{got.notification['title']} {got.notification['body']}":
                return str(got.notification["title"])


@pytest.fixture
def rung(chromium: Browser, tmp_path: Path) -> Iterator[Rung]:
    """The whole way over https, with the reminders running."""
    port = free_port()
    with (
        household(tmp_path) as house,
        served_at(house) as service,
        tls_before(house.authority, port) as tls,
        chromium.browser_type.launch(
            executable_path=shutil.which("chromium"),
            args=[
                "--no-sandbox",
                f"--host-resolver-rules=MAP {NAME} 127.0.0.1",
                f"--ignore-certificate-errors-spki-list={tls.trusted}",
            ],
        ) as trusting,
    ):
        pages_of = front(
            house, watched=True, push_services=(service.host,), base_url=tls.url, port=port
        )
        with pages_of as pages, device(trusting, pages, "phone light") as ana:
            browser = service.phone()
            key = phone_key(house.data, {}).public
            yield Rung(pages, Phone(ana, browser.subscription(key)), browser)


@unhurried
def test_a_phone_is_set_up_tried_and_then_ends_the_evening(rung: Rung) -> None:
    ana, phone, house = rung.phone.device, rung.phone, rung.pages.house
    ana.sign_in()
    phone.awake()
    ana.open("/phone")
    ana.page.get_by_role("button", name="Alert this phone").click()
    ana.sees("Did it ring?")
    rung.gets("test")
    ana.page.get_by_role("button", name="Yes, it rang").click()
    ana.sees("Now try it as at night")
    ana.page.get_by_role("button", name="Do Not Disturb is on: test again").click()
    ana.sees("Did it ring with Do Not Disturb on?")
    rung.gets("test")
    ana.page.get_by_role("button", name="Shown, but silent").click()
    ana.sees("Do Not Disturb keeps it silent")
    house.forget()  # a test is no reminder
    ana.open("/people")
    ana.sees("Rang on 21 December, stays silent while Do Not Disturb is on.")
    house.wait(lambda: house.rows("SELECT 1 FROM phone WHERE arrived_at IS NOT NULL"), "no receipt")
    phone.it_is("16:19")
    rung.gets("Walnut")
    phone.press("Walnut", 0)
    phone.shows("Duskfold knows: shut at 16:19.")
    assert said(rung.pages) == [("closed", 12, "Ana")]
    # Set up with another key, as after a lost one: the page sees to it, and asks nothing.
    ana.page.evaluate("localStorage.setItem('subscribed', btoa('another'))")
    ana.open("/")
    house.wait(
        lambda: house.rows("SELECT 1 FROM phone WHERE ended_why = 'taken over'"), "not renewed"
    )
    ana.open("/phone")
    ana.page.get_by_role("link", name="Remove").click()
    ana.sees("It will not ring at dusk any more.")
    ana.page.get_by_role("button", name="Yes, stop alerting it").click()
    ana.page.get_by_role("button", name="Alert this phone").wait_for()


@pytest.fixture
def phone(chromium: Browser, pages: Front) -> Iterator[Phone]:
    """Ana's phone, signed in, with its worker awake at twenty past four."""
    with device(chromium, pages, "phone light") as ana:
        mine = Phone(ana)
        ana.sign_in()
        mine.awake()
        mine.it_is("16:20")
        yield mine


def test_a_press_on_the_message_confirms_the_evening(phone: Phone, pages: Front) -> None:
    kept = add_phone(pages)
    receipt = Receipt(site_id="orchard", phone_id=kept, message_id="b" * 32)
    told = receipt.text(signing_key(pages.house.data, {}))
    phone.receives(message(pages, "Walnut: lock up now", number=1, receipt=told))
    shown = phone.shows("Walnut: lock up now")
    assert shown["buttons"] == ["All 12 in, door shut", "Shut, not counted"]
    pages.house.wait(
        lambda: pages.house.rows("SELECT 1 FROM phone WHERE arrived_at IS NOT NULL"),
        "no receipt came",
    )
    phone.press("Walnut: lock up now", 0)
    shown = phone.shows("Duskfold knows: shut at 16:20.")
    assert (shown["title"], shown["silent"], shown["buttons"]) == ("All 12 in, door shut", True, [])
    assert said(pages) == [("closed", 12, "Ana")]


@unhurried
def test_an_answer_waits_for_reception_and_goes_out_with_its_time(
    phone: Phone, pages: Front
) -> None:
    phone.receives(message(pages, "Walnut: lock up now", number=1))
    phone.shows("Walnut: lock up now")
    phone.device.context.set_offline(True)
    phone.press("Walnut: lock up now", 0)
    assert phone.shows("Not yet told to Duskfold.")["buttons"] == []
    phone.it_is("16:30")
    phone.receives(message(pages, "Walnut: still open", number=2))
    waits = phone.shows("You said shut at 16:20. Not told yet: no reception.")
    assert (waits["title"], waits["silent"]) == ("All 12 in, door shut", True)
    assert said(pages) == []
    phone.has_reception()
    phone.shows("Duskfold knows: shut at 16:20.")
    assert said(pages) == [("closed", 12, "Ana")]
    [[at]] = pages.house.rows("SELECT at FROM closing")
    assert at == int(pages.house.local("16:20").timestamp())


@unhurried
def test_news_is_loud_while_an_answer_waits_and_one_that_is_overtaken_does_not_count(
    phone: Phone, pages: Front
) -> None:
    phone.receives(message(pages, "Walnut: lock up now", number=1))
    phone.shows("Walnut: lock up now")
    phone.device.context.set_offline(True)
    phone.press("Walnut: lock up now", 0)
    phone.shows("Not yet told to Duskfold.")
    phone.it_is("16:25")
    pages.house.say(count=10)
    missing = json.loads(message(pages, "2 of 12 missing: Walnut", number=2))
    missing["notification"]["data"]["answers"] = []
    phone.receives(json.dumps(missing))
    assert phone.shows("2 of 12 missing: Walnut")["silent"] is False
    phone.has_reception()
    phone.is_told()
    assert phone.shows("2 of 12 missing: Walnut")["silent"] is False
    assert said(pages) == [("closed", 10, "Nan")]


@unhurried
def test_an_answer_that_does_not_count_is_said_not_to(phone: Phone, pages: Front) -> None:
    phone.receives(message(pages, "Walnut: lock up now", number=1))
    phone.shows("Walnut: lock up now")
    phone.device.context.set_offline(True)
    phone.press("Walnut: lock up now", 0)
    phone.shows("Not yet told to Duskfold.")
    phone.it_is("16:25")
    pages.house.say(count=10)
    phone.has_reception()
    phone.shows("That did not count: something else was said since.")


@unhurried
def test_the_page_sends_what_waited_when_it_is_opened(phone: Phone, pages: Front) -> None:
    phone.receives(message(pages, "Walnut: lock up now", number=1))
    phone.shows("Walnut: lock up now")
    phone.device.context.set_offline(True)
    phone.press("Walnut: lock up now", 1)
    phone.shows("Not yet told to Duskfold.")
    phone.device.context.set_offline(False)
    phone.device.open("/")
    phone.shows("Duskfold knows: shut at 16:20.")
    assert said(pages) == [("closed", None, "Ana")]
    phone.device.sees("not counted")


@unhurried
def test_an_older_message_never_takes_the_place_of_a_newer_one(phone: Phone, pages: Front) -> None:
    phone.receives(message(pages, "Walnut: still open", number=2))
    assert phone.shows("Walnut: still open")["silent"] is False
    phone.receives(message(pages, "Walnut: lock up now", number=1))
    for _ in range(100):
        if phone.shown[0]["silent"]:
            break
        phone.device.page.wait_for_timeout(20)
    shown = phone.shows("Walnut: still open")
    assert (shown["silent"], len(shown["buttons"])) == (True, 2)
    phone.receives(message(pages, "Walnut: shut 16:26 by Kim", number=3, silent=True))
    assert phone.shows("Walnut: shut 16:26 by Kim")["buttons"] == []


@unhurried
def test_an_altered_answer_is_not_taken_and_the_phone_says_so(phone: Phone, pages: Front) -> None:
    altered = message(pages, "Walnut: lock up now", number=1).replace("all-in=12", "all-in=11")
    phone.receives(altered)
    phone.shows("Walnut: lock up now")
    phone.press("Walnut: lock up now", 0)
    phone.shows("Not yet told to Duskfold. Tap to say it on the page.")
    assert said(pages) == []


@unhurried
@pytest.mark.parametrize("pushed", ["no json", "{}", '{"notification": {"title": "Hens"}}'])
def test_whatever_is_pushed_something_is_shown(phone: Phone, pushed: str) -> None:
    phone.receives(pushed)
    phone.shows("Hens" if "Hens" in pushed else "Duskfold")


def add_phone(pages: Front, who: str = "ana") -> str:
    """The id of a phone of that person's, of the session that is newest."""
    sessions = pages.house.rows("SELECT person_id, id_hash FROM session ORDER BY made_at")
    session = dict(sessions)[who]
    given = Subscription(endpoint=ENDPOINT, p256dh=P256DH, auth=AUTH, key_id="k")
    with pages.house.journal() as journal:
        made = phones.add(
            journal,
            "orchard",
            person_id=who,
            session=session,
            label="Android, Chrome",
            subscription=given,
            now=pages.house.now,
        )
    return made.id


@pytest.fixture
def plain(chromium: Browser, tmp_path: Path) -> Iterator[Device]:
    """Ana's phone before the pages of a home network: a name, and no https."""
    port = free_port()
    body = SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE.replace('push = "{push}/ana-{secret}"', "")
    with household(tmp_path, body=body) as house:
        pages_of = front(house, watched=True, base_url=f"http://hens.test:{port}", port=port)
        with pages_of as pages, device(chromium, pages, "phone light") as ana:
            ana.sign_in()
            yield ana


@unhurried
def test_without_https_the_push_app_does_it(plain: Device) -> None:
    house = plain.pages.house
    plain.pages.post("/change/take-over", {}, who="ana")
    plain.open("/phone")
    plain.sees("Browsers let a page ring only if it comes over https")
    assert plain.page.get_by_role("button", name="Alert this phone").count() == 0
    plain.page.get_by_label("push server").fill("push server")
    plain.press("Set up the push app")
    plain.sees('"push server" cannot be used.')
    assert plain.page.get_by_label("push server").input_value() == "push server"
    plain.page.get_by_label("push server").fill(house.push.url)
    plain.press("Set up the push app")
    topic = plain.page.get_by_role("textbox", name="Topic").input_value()
    assert len(topic) == len("hens-") + 24
    assert plain.page.get_by_role("img", name="QR code of the topic").is_visible()
    plain.press("Send a test message")
    plain.sees("Push: sent.")
    # The reminders tell the others at the same time that the household was changed.
    tests = [one for one in house.push.events.all() if one.said.get("title") == WaysOut.test()]
    assert [one.topic for one in tests] == [topic]
    house.forget()
    plain.wrong = [one for one in plain.wrong if "422" not in one]


@unhurried
def test_a_trusted_press_wakes_the_worker_and_a_tap_opens_the_evening(
    chromium: Browser, tmp_path: Path, pages: Front
) -> None:
    # A window of its own profile: in another kind Chromium swallows the press.
    with (
        desktop(tmp_path) as desk,
        chromium.browser_type.launch_persistent_context(
            tmp_path / "browser",
            executable_path=shutil.which("chromium"),
            args=["--no-sandbox"],
            env={**os.environ, "DBUS_SESSION_BUS_ADDRESS": desk.address},
        ) as context,
    ):
        ana = Device(pages, context, context.pages[0], pages.url)
        phone = Phone(ana)
        ana.sign_in()
        phone.awake()
        pages.house.set_clock(pages.house.local("16:20"))
        phone.receives(message(pages, "Walnut: lock up now", number=1))
        [shown] = desk.shown.wait()
        assert shown.title == "Walnut: lock up now"
        assert "Shut, not counted" in shown.buttons.values()
        ana.open("/week")  # a window that shows it already would only be put in front
        phone.cdp.send("ServiceWorker.stopAllWorkers")
        desk.press(shown, "All 12 in, door shut")
        told = desk.shown.wait(2)[1]
        assert told.title == "All 12 in, door shut"
        assert said(pages) == [("closed", 12, "Ana")]
        with context.expect_page() as opened:
            desk.press(told, "")
        opened.value.wait_for_url(f"{pages.url}/")
