"""The page of phones over HTTP: who may do what, what is refused, what workers send home."""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduler.machine.phone_key import phone_key
from scheduler.machine.signing_key import signing_key
from scheduler.service.people.access import code_of
from scheduler.tokens.answer import SignedAnswer
from scheduler.tokens.receipt import Receipt
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, WINTER, household
from tests.sinks.push_service import Phone, PushService
from tests.web.front import Front, front, served_at
from tests.web.test_pages import said
from tests.web.test_roles import ROLES

GOOD = {
    "p256dh": (
        "BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4"
    ),
    "auth": "BTBZMqHH6r4Tts7J_aSIgg",
}
FCM = "https://fcm.googleapis.com/fcm/send/a"
TRICKS = (
    "",
    "/phone",
    "http://fcm.googleapis.com/a",
    "https://fcm.googleapis.com:8443/a",
    "https://ana@fcm.googleapis.com/a",
    "https://fcm.googleapis.com@push.example.net/a",
    "https://fcm.googleapis.com.example.net/a",
    "https://notfcm.googleapis.com/a",
    "https://fcm.googleapis.com\\@127.0.0.1/a",
    "https://127.0.0.1/a",
    "https://[::1]/a",
    "https://localhost/a",
    "https://push.example.net/a",
    "https://fcm.googleapis.com./a",
    "https://fcm.googleapis.com/a b",
    "https://fcm.googleapis.com/\u00e9",
    "https://fcm.googleapis.com/" + "a" * 1024,
    "ftp://fcm.googleapis.com/a",
)
KEYS = ({"p256dh": "BCVx"}, {"p256dh": ""}, {"auth": "a"})


def of_key(pages: Front) -> str:
    """The key that the page hands out."""
    return phone_key(pages.house.data, {}).public


def added(pages: Front, browser: Phone, who: str = "ana") -> str:
    """The id of a phone of that person's, set up as its browser does it."""
    given = browser.subscription(of_key(pages))
    form = {"endpoint": given.endpoint, "p256dh": given.p256dh, "auth": given.auth}
    reply = pages.post("/phone", form | {"key": given.key_id}, who=who)
    assert reply.status == 303, reply.text
    return reply.headers["location"].removeprefix("/phone?ask=")


def kept(pages: Front) -> list[tuple[str, str | None]]:
    """The person of each phone, and why it ended."""
    return [(row[0], row[1]) for row in pages.house.rows("SELECT person_id, ended_why FROM phone")]


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[tuple[Front, PushService]]:
    """Two owners, a member and a sitter, before a push service of the house's own."""
    body = SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE.replace("[mail]", f"{ROLES}[mail]")
    with household(tmp_path, body=body) as house, served_at(house) as service:
        pages_of = front(house, published=False, push_services=(service.host,))
        with pages_of as pages:
            yield pages, service


def test_a_phone_is_rung_as_soon_as_it_is_set_up(shared: tuple[Front, PushService]) -> None:
    pages, service = shared
    browser = service.phone()
    phone_id = added(pages, browser, "jo")
    assert "test" in browser.got.wait()[0].notification["title"]
    page = pages.get(f"/phone?ask={phone_id}", who="jo").text
    assert "Did it ring?" in page
    sent = {"phone": phone_id, "answer": "yes"}
    assert (
        pages.post("/phone/rang", sent, who="jo").headers["location"] == f"/phone?rang={phone_id}"
    )
    assert "Rang on 21 December" in pages.get("/phone", who="jo").text
    assert "Rang on 21 December" in pages.get("/people", who="ana").text
    assert browser.subscription(of_key(pages)).endpoint not in pages.get("/phone", who="jo").text


def test_a_subscription_with_a_trick_is_refused_in_a_sentence(pages: Front) -> None:
    for endpoint in TRICKS:
        form = GOOD | {"endpoint": endpoint, "key": of_key(pages)}
        reply = pages.post("/phone", form, who="ana")
        refused = "This browser cannot be rung: " in reply.text
        assert (reply.status, refused) == (422, True), endpoint
    for wrong in KEYS:
        form = GOOD | {"endpoint": FCM, "key": of_key(pages)} | wrong
        assert pages.post("/phone", form, who="kim").status == 422, wrong
    assert kept(pages) == []


def test_a_page_of_another_key_is_loaded_again_first(pages: Front) -> None:
    reply = pages.post("/phone", GOOD | {"endpoint": FCM, "key": "B" * 87}, who="ana")
    assert (reply.status, "Load it again" in reply.text) == (422, True)


def test_nobody_but_an_owner_sees_to_the_phone_of_another(
    shared: tuple[Front, PushService],
) -> None:
    pages, service = shared
    browser = service.phone()
    phone_id = added(pages, browser, "ana")
    browser.got.wait()
    for who in ("ben", "jo"):
        for path in ("/phone/ring", "/phone/rang", "/phone/end"):
            sent = {"phone": phone_id, "answer": "no"}
            assert pages.post(path, sent, who=who).headers["location"] == "/phone"
        assert "Stop alerting" not in pages.get(f"/phone/end?phone={phone_id}", who=who).text
    assert len(browser.got.all()) == 1
    assert pages.post("/phone/ring", {"phone": phone_id}, who="kim").status == 303
    browser.got.wait(2)
    assert pages.post("/phone/end", {"phone": phone_id}, who="kim").headers["location"] == "/people"
    assert kept(pages) == [("ana", "removed")]


def test_no_shared_screen_rings_and_nobody_from_elsewhere_adds_a_phone(pages: Front) -> None:
    form = GOOD | {"endpoint": FCM, "key": of_key(pages)}
    assert pages.get("/phone", who="screen:Kitchen").status == 403
    assert pages.post("/phone", form, who="screen:Kitchen").status == 403
    assert pages.post("/phone", form).status == 403
    assert pages.post("/phone", form, who="ana", Sec_Fetch_Site="cross-site").status == 403
    assert kept(pages) == []


def test_signing_out_ends_the_phone(shared: tuple[Front, PushService]) -> None:
    pages, service = shared
    added(pages, service.phone(), "kim")
    page = pages.get("/people", who="kim").text
    assert "Phones that ring" in page
    [own] = re.findall(r"session=(\w+)\"[^>]*Sign out Kim", page)
    assert pages.post("/people/end?this", {"session": own}, who="kim").status == 303
    assert "Phones that ring" not in pages.get("/people", who="ana").text


def test_a_key_that_cannot_be_read_is_said_on_the_page(tmp_path: Path) -> None:
    with household(tmp_path) as house:
        house.environment["DUSKFOLD_PHONE_KEY_FILE"] = str(tmp_path / "gone")
        with front(house, published=False) as pages:
            reply = pages.get("/phone", who="ana")
            assert (reply.status, "cannot be read" in reply.text) == (200, True)
            assert "The push app instead" in reply.text


# -- what workers send home -----------------------------------------------------------------------


def answer_of(pages: Front, who: str = "ana", verb: str = "all-in") -> str:
    """What the button of that person's message sends."""
    birds = (12,) if verb == "all-in" else None
    one = SignedAnswer(
        verb=verb,  # type: ignore[arg-type] # one of the three
        site_id="orchard",
        day=WINTER,
        subject_id="walnut",
        opening=0,
        person_id=who,
        birds=birds,
    )
    return one.text(signing_key(pages.house.data, {}))


def test_an_answer_needs_no_session_and_is_taken_as_often_as_it_comes(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:30"))
    at = str(int(pages.house.local("16:20").timestamp()))
    for _ in range(2):
        reply = pages.post("/answer", {"answer": answer_of(pages), "at": at})
        assert (reply.status, reply.body) == (204, b"")
    assert said(pages) == [("closed", 12, "Ana")]
    assert pages.house.rows("SELECT at FROM closing") == [(int(at),)]


def test_an_altered_answer_or_receipt_is_a_miss_without_a_word(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:30"))
    key = signing_key(pages.house.data, {})
    receipt = Receipt(site_id="orchard", phone_id="a" * 16, message_id="b" * 32).text(key)
    other = Receipt(site_id="orchard", phone_id="a" * 16, message_id="c" * 32).text(key)
    altered: tuple[tuple[str, dict[str, str]], ...] = (
        ("/answer", {"answer": answer_of(pages).replace("all-in=12", "all-in=11")}),
        ("/answer", {"answer": answer_of(pages).replace(" ana ", " kim ")}),
        ("/answer", {"answer": receipt}),
        ("/answer", {}),
        ("/arrived", {"receipt": receipt.replace("b" * 32, "c" * 32)}),
        ("/arrived", {"receipt": other[:-43] + receipt[-43:]}),
        ("/arrived", {"receipt": answer_of(pages)}),
        ("/arrived", {}),
    )
    for path, form in altered:
        reply = pages.post(path, form)
        assert (reply.status, reply.body) == (404, b"Not found.\n"), (path, form)
    assert said(pages) == []
    assert pages.post("/arrived", {"receipt": receipt}).status == 204  # of a phone that ended


def test_who_guesses_answers_is_told_to_wait(pages: Front) -> None:
    statuses = [pages.post("/answer", {"answer": f"duskfold {n}"}).status for n in range(22)]
    assert statuses == [404] * 20 + [429] * 2
    assert pages.post("/answer", {"answer": "x" * 9000}).status == 413
    sent = {"answer": answer_of(pages)}
    assert pages.post("/answer", sent, Sec_Fetch_Site="cross-site").status == 403


def test_what_a_phone_has_shown_is_known(shared: tuple[Front, PushService]) -> None:
    pages, service = shared
    browser = service.phone()
    added(pages, browser)
    data = browser.got.wait()[0].notification["data"]
    assert "Last heard from" not in pages.get("/phone", who="ana").text
    assert pages.post("/arrived", {"receipt": data["receipt"]}).status == 204
    assert "Last heard from on 21 December" in pages.get("/phone", who="ana").text


# -- signing in by a code -------------------------------------------------------------------------


def test_a_pasted_link_or_a_short_code_leads_to_the_sign_in(pages: Front) -> None:
    path = pages.invitation("ana")
    code = code_of(path.rpartition("/")[2])
    typed = {
        f"https://hens.example.net{path}": path,
        f"Here it is: {path} ": path,
        code: f"/sign-in/{code}",
        code.lower().replace("-", " "): f"/sign-in/{code}",
    }
    for link, there in typed.items():
        reply = pages.post("/sign-in", {"link": link})
        assert (reply.status, reply.headers["location"]) == (303, there), link
    assert "Sign in as" in pages.get(f"/sign-in/{code}").text
    cookie = pages.post(f"/sign-in/{code}", {}).headers["set-cookie"]
    assert cookie.startswith("duskfold=")
    assert pages.get(path).status == 404  # used up, however it is called


def test_a_wrong_code_is_said_beside_the_field_and_guessing_is_slow(pages: Front) -> None:
    code = code_of(pages.invitation("ana").rpartition("/")[2])
    reply = pages.post("/sign-in", {"link": "<b>ABCD-1234"})
    assert reply.status == 422
    assert "No sign-in link has that code" in reply.text
    assert 'value="&lt;b&gt;ABCD-1234"' in reply.text
    tries = [pages.post("/sign-in", {"link": f"ABCD-{n:04}"}).status for n in range(19)]
    assert tries == [422] * 19
    assert pages.post("/sign-in", {"link": code}).status == 429
