"""A screen that all share: doors and jobs under a name chosen for each, and nothing else."""

import html
import re
from datetime import timedelta

import pytest

from tests.unhurried import unhurried
from tests.web.front import PAGES, Front, link_of

SHUT = {"coop": "walnut", "day": "2026-12-21", "turn": "0", "expected": "12"}
REFUSED = (
    *("/add", "/weather", "/birds", "/phone", "/subscribe", "/people"),
    *("/diary", "/diary.csv", "/change"),
)
FORM = re.compile(r"<form.*?</form>", re.DOTALL)


def screen(pages: Front, name: str = "Kitchen") -> str:
    """The cookie of a device that Ana has made a shared screen."""
    made = pages.post("/people/screen", {"screen": name}, who="ana")
    [path] = set(re.findall(r"/sign-in/[\w-]+", made.text))
    welcome = pages.get(path).text
    assert f"Sign in as <bdi>{name} (shared screen)</bdi>?" in welcome
    assert "choosing a name each time" in welcome
    return pages.post(path, {}).headers["set-cookie"].partition(";")[0]


def at_dusk(pages: Front) -> str:
    pages.house.set_clock(pages.house.local("16:20"))
    return screen(pages)


LEO = '[[person]]\nname = "Leo"\nrole = "member"\n'
RADIO = r'<input type="radio" name="by" value="(\w*)" required'


def on_screen(pages: Front, body: str) -> str:
    """The page Today of a screen, with the house's profile changed to that."""
    pages.house.write_profile(body)
    pages.stop()
    pages.start()
    return pages.get("/", Cookie=screen(pages)).text


@unhurried
def test_on_a_screen_every_form_asks_who_it_is_and_nobody_is_chosen_already(pages: Front) -> None:
    cookie = at_dusk(pages)
    text = pages.get("/", Cookie=cookie).text
    forms = FORM.findall(text)
    assert len(forms) > 5
    for form in forms:
        assert len(re.findall("<legend>Who [a-z ]+\\?</legend>", form)) == 1
        pressed = re.findall(r'<button class="name" name="by" value="(\w*)"', form)
        assert (re.findall(RADIO, form) or pressed) == ["ana", "kim"]
        assert "checked" not in form
        assert "formnovalidate" not in form
    assert "<legend>Who shut it?</legend>" in text
    for page in PAGES:
        assert "/door" in page or 'name="by"' not in pages.get(page, who="ana").text


def test_half_an_hour_before_the_form_lies_open_on_a_screen_as_well(pages: Front) -> None:
    cookie = at_dusk(pages)
    pages.house.set_clock(pages.house.local("15:50"))
    before = pages.get("/", Cookie=cookie).text.partition('class="closing"')[0]
    assert before.count("<details") == before.count("</details>")


def test_where_there_is_one_person_they_need_not_be_chosen(pages: Front) -> None:
    house = pages.house
    body = house.body.replace('[[person]]\nname = "Kim"\npush = "{push}/kim-{secret}"\n', "")
    text = on_screen(pages, body.replace('mail = "kim@example.org"\n', ""))
    assert 'name="by" value="ana" required checked><bdi>Ana</bdi>' in text


def test_a_child_whom_nothing_reaches_is_asked_for_by_name_too(pages: Front) -> None:
    text = on_screen(pages, pages.house.body.replace("[mail]", LEO + "[mail]"))
    for form in FORM.findall(text):
        assert "<bdi>Leo</bdi>" in form
    cookie = at_dusk(pages)
    said = SHUT | {"do": "shut", "count": "12", "by": "leo"}
    assert pages.post("/door", said, Cookie=cookie).status == 303
    assert pages.house.rows("SELECT kind, who FROM closing") == [("closed", "Leo")]


def test_a_screen_shows_its_pages_in_larger_letters_and_nobody_else_does(pages: Front) -> None:
    cookie, sheet = at_dusk(pages), "/static/screen.css"
    assert sheet in pages.get("/", Cookie=cookie).text
    assert sheet not in pages.get("/", who="ana").text
    [size] = re.findall(r"html { font-size: (\d+)%", pages.get(sheet).text)
    assert int(size) >= 125


def test_doors_and_jobs_are_said_under_the_name_that_was_chosen(pages: Front) -> None:
    cookie = at_dusk(pages)
    [job] = set(
        re.findall(r'value="(water\|walnut\|2026-12-21\|1)"', pages.get("/", Cookie=cookie).text)
    )
    for by, sent in (("kim", {"do": "shut", "count": "11"}), ("ana", {"do": "found", "turn": "1"})):
        form = SHUT | sent | {"by": by}
        assert pages.post("/door", form, Cookie=cookie).headers["location"] == "/"
    assert pages.post("/jobs", {"job": job, "do": "done", "by": "kim"}, Cookie=cookie).status == 303
    query = "SELECT kind, who FROM closing ORDER BY number"
    assert pages.house.rows(query) == [("closed", "Kim"), ("found", "Ana")]
    assert "Kim, 16:20" in pages.get("/", who="ana").text


@pytest.mark.parametrize("by", ["", "nobody", "screen:Kitchen"])
def test_without_a_name_nothing_is_kept(pages: Front, by: str) -> None:
    cookie = at_dusk(pages)
    for path, form in (("/door", SHUT | {"do": "not-counted"}), ("/jobs", {"do": "done"})):
        reply = pages.post(path, form | {"by": by}, Cookie=cookie)
        assert (reply.status, "<h1>Who are you?</h1>" in reply.text) == (422, True)
    assert pages.house.rows("SELECT * FROM closing") == []


@unhurried
def test_what_a_screen_may_not_do_is_neither_offered_nor_kept(pages: Front) -> None:
    cookie = at_dusk(pages)
    menu = pages.get("/more", Cookie=cookie).text
    for path in REFUSED:
        assert pages.get(path, Cookie=cookie).status == 403, path
        assert f'href="{path}"' not in menu
    assert "Sign out" not in menu
    for path in {*PAGES} - {*REFUSED}:
        assert pages.get(path, Cookie=cookie).status == 200, path
    status = pages.get("/status", Cookie=cookie).text
    assert "Send me a test message" not in status
    changes = ("people", "alerts", "birds", "server")
    alerts = ("/phone", "/phone/ring", "/phone/rang", "/phone/end", "/phone/app", "/status/test")
    people = ("/status/clock", "/people/invite", "/people/screen", "/people/withdraw")
    for path in (*alerts, *people, *(f"/change/{one}" for one in changes)):
        assert pages.post(path, {"by": "ana", "person": "ana"}, Cookie=cookie).status == 403, path
    # Birds go for good on the word of somebody who is signed in by name.
    pages.post("/door", SHUT | {"do": "shut", "count": "11", "by": "ana"}, Cookie=cookie)
    text = pages.get("/", Cookie=cookie).text
    assert 'value="found"' in text
    assert 'value="dead"' not in text
    form = SHUT | {"do": "dead", "count": "1", "turn": "1", "by": "ana"}
    refused = pages.post("/door", form, Cookie=cookie)
    assert (refused.status, "somebody signed in, can say that" in refused.text) == (422, True)
    assert 'value="dead"' in pages.get("/", who="ana").text


def test_a_link_that_is_opened_on_a_screen_is_its_person_s(pages: Front) -> None:
    cookie = at_dusk(pages)
    text = pages.get(link_of(pages, "kim"), Cookie=cookie).text
    assert "You are answering as <bdi>Kim</bdi>" in text
    assert 'name="by"' not in text


def test_a_screen_stands_among_the_devices_and_is_ended_there(pages: Front) -> None:
    cookie = at_dusk(pages)
    people = pages.get("/people", who="ana").text
    assert "<bdi>Kitchen (shared screen)</bdi>" in people
    [session] = re.findall(r'session=(\w+)" aria-label="Sign out Kitchen', people)
    asked = pages.get(f"/people/end?session={session}", who="ana").text
    assert "Sign Kitchen (shared screen) out on" in asked
    assert pages.post("/people/end", {"session": session}, who="ana").status == 303
    assert pages.get("/", Cookie=cookie).status == 403
    # One that nobody has used yet is taken back there.
    made = pages.post("/people/screen", {"screen": "Barn"}, who="ana").text
    assert "A sign-in link for <bdi>Barn (shared screen)</bdi> works until" in made


@pytest.mark.parametrize("name", ["", " ", "Ana", "kim", "x" * 34])
def test_a_name_that_no_screen_can_have_is_told_beside_its_field(
    looked_at: Front, name: str
) -> None:
    reply = looked_at.post("/people/screen", {"screen": name}, who="ana")
    assert reply.status == 422
    assert f'id="wrong-screen">"{name.strip()}" cannot be used.' in html.unescape(reply.text)
    assert looked_at.house.rows("SELECT * FROM invitation WHERE person_id LIKE 'screen%'") == []


def test_a_screen_that_is_not_used_for_long_is_signed_out_as_any_device(pages: Front) -> None:
    cookie = screen(pages)
    pages.house.set_clock(pages.house.now + timedelta(days=91))
    assert pages.get("/", Cookie=cookie).status == 403
