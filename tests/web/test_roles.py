"""Owners, members and sitters on the pages: what is offered to whom, what is refused in words."""

import re
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, WINTER, household
from tests.unhurried import unhurried
from tests.web.front import PAGES, Front, front, link_of

DAY = timedelta(days=1)
ROLES = """
[[person]]
name = "Ben"
push = "{push}/ben-{secret}"
role = "member"
[[person]]
name = "Jo"
push = "{push}/jo-{secret}"
role = "sitter"
first_day = 2026-12-21
last_day = 2026-12-22
"""
FOR_OWNERS = "Only an owner can"
FOR_MEMBERS = "Only an owner or a member can"
# Pages that somebody may not open, and what they read there; everybody may open every other.
SHUT = {
    "ana": {},
    "ben": {"/people": FOR_OWNERS},
    "jo": {
        "/people": FOR_OWNERS,
        "/add": FOR_MEMBERS,
        "/weather": FOR_MEMBERS,
        "/birds": FOR_MEMBERS,
        "/diary": FOR_MEMBERS,
        "/diary.csv": FOR_MEMBERS,
        "/change": FOR_MEMBERS,
    },
}
SENT = {
    "/add": {"kind": "heat"},
    "/add/end": {"number": "1", "do": "over"},
    "/add/came": {"kind": "flock", "what": "arrived", "count": "1", "coop": "walnut"},
    "/add/feed": {},
    "/weather": {"kind": "heat"},
    "/weather/end": {"number": "1", "do": "over"},
    "/birds": {"kind": "broody", "coop": "walnut"},
    "/birds/end": {"number": "1", "do": "over"},
    "/diary/change": {"entry": "1", "do": "take-back"},
    "/people/invite": {"person": "jo"},
    "/people/withdraw": {"link": "x"},
    "/status/clock": {},
}
SHUT_BY = {"coop": "walnut", "turn": "0", "expected": "12", "count": "12", "do": "shut"}


@pytest.fixture
def shared(tmp_path: Path) -> Iterator[Front]:
    """The pages of an owner, another, a member and a sitter of two days."""
    body = SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE.replace("[mail]", f"{ROLES}[mail]")
    with household(tmp_path, body=body) as house, front(house, published=False) as served:
        yield served


def go_to(pages: Front, clock: str, day: date) -> None:
    pages.house.set_clock(pages.house.local(clock, day))


def said(pages: Front) -> list[tuple[str, str, str]]:
    """The evening, kind and speaker of everything that is kept of doors."""
    query = "SELECT evening, kind, who FROM closing WHERE undone_at IS NULL ORDER BY number"
    return [(str(row[0]), row[1], row[2]) for row in pages.house.rows(query)]


@pytest.mark.parametrize("who", SHUT)
@unhurried
def test_what_somebody_may_not_open_is_refused_in_words_and_stands_in_no_menu(
    shared: Front, who: str
) -> None:
    menu = shared.get("/more", who=who).text
    for path in (*PAGES, "/diary.csv"):
        reply, why = shared.get(path, who=who), SHUT[who].get(path)
        assert reply.status == (403 if why else 200), path
        assert (why or "") in reply.text
        if path not in {"/more", "/begun"}:  # which is listed only until it is done
            assert (f'href="{path}"' in menu) == (why is None), path
        if why:
            assert "<h1>You cannot do that here</h1>" in reply.text
    assert shared.get("/diary.json", who=who).status == (403 if who == "jo" else 200)
    if who == "jo":
        assert "can read the diary or download it" in shared.get("/diary", who=who).text


@pytest.mark.parametrize("who", SHUT)
def test_what_somebody_may_not_say_is_not_kept(shared: Front, who: str) -> None:
    for path, sent in SENT.items():
        reply = shared.post(path, sent, who=who)
        about = "/" + path.split("/")[1]
        refused = about in SHUT[who] or (path == "/status/clock" and who != "ana")
        assert (reply.status == 403) == refused, path
    if who == "jo":
        assert shared.house.rows("SELECT * FROM report") == []
        assert shared.house.rows("SELECT * FROM invitation WHERE used_at IS NULL") == []


def test_who_lets_nobody_in_signs_only_this_device_out(shared: Front) -> None:
    shared.cookie("ana")
    [anas] = re.findall(r"session=(\w+)", shared.get("/people", who="ana").text)
    for who in ("ben", "jo"):
        assert shared.get(f"/people/end?session={anas}", who=who).status == 403
        assert shared.post("/people/end", {"session": anas}, who=who).status == 403
        [own] = re.findall(r'href="/people/end\?session=(\w+)"', shared.get("/more", who=who).text)
        assert "Sign this device out?" in shared.get(f"/people/end?session={own}", who=who).text
        assert shared.post("/people/end", {"session": own}, who=who).headers["location"] == "/"
        assert shared.get("/", who=who).status == 403
    assert "Sign out" in shared.get("/more", who="ana").text


def test_a_sitter_says_how_the_evenings_and_jobs_of_their_days_went(shared: Front) -> None:
    go_to(shared, "16:20", WINTER)
    text = shared.get("/", who="jo").text
    [job] = set(re.findall(r'value="(water\|walnut\|2026-12-21\|1)"', text))
    assert shared.post("/jobs", {"job": job, "do": "done"}, who="jo").status == 303
    assert "Jo, 16:20" in shared.get("/", who="ana").text
    assert shared.post("/door", SHUT_BY | {"day": str(WINTER)}, who="jo").status == 303
    assert said(shared) == [("2026-12-21", "closed", "Jo")]


def test_the_days_before_are_not_a_sitters(shared: Front) -> None:
    before = WINTER - DAY
    go_to(shared, "16:20", before)
    text = shared.get("/", who="jo").text
    assert "You look after the birds from 21 December 2026 until 22 December 2026" in text
    assert '<form method="post" action="/door"' not in text
    assert '<form method="post" action="/jobs"' not in text
    reply = shared.post("/door", SHUT_BY | {"day": str(before)}, who="jo")
    assert (reply.status, "can speak only for those days" in reply.text) == (403, True)
    [job] = set(
        re.findall(r'value="(water\|walnut\|2026-12-20\|1)"', shared.get("/", who="ana").text)
    )
    assert shared.post("/jobs", {"job": job, "do": "done"}, who="jo").status == 403
    assert said(shared) == []
    # Nor is what was said then theirs to take back.
    shared.post("/door", SHUT_BY | {"day": str(before)}, who="ana")
    go_to(shared, "10:00", WINTER)
    assert "Undo" in shared.get("/", who="ana").text
    assert "Undo" not in shared.get("/", who="jo").text
    undo = {"coop": "walnut", "day": str(before), "turn": "1", "do": "undo"}
    assert shared.post("/door", undo, who="jo").status == 403


def test_a_sitter_is_signed_out_at_noon_after_the_last_day(shared: Front) -> None:
    last = WINTER + DAY
    shared.cookie("jo")
    go_to(shared, "08:00", last + DAY)
    text = shared.get("/", who="jo").text
    assert '<form method="post" action="/door"' in text
    assert '<form method="post" action="/jobs"' not in text
    assert shared.post("/door", SHUT_BY | {"day": str(last)}, who="jo").status == 303
    assert said(shared) == [("2026-12-22", "closed", "Jo")]
    unused = shared.invitation("jo")
    go_to(shared, "12:01", last + DAY)
    assert shared.get("/", who="jo").status == 403
    assert shared.get(unused).status == 404
    people = shared.get("/people", who="ana").text
    assert "Jo" not in people


def test_a_link_of_an_evening_that_is_not_theirs_leads_nowhere(shared: Front) -> None:
    go_to(shared, "16:20", WINTER)
    assert shared.get(link_of(shared, "jo")).status == 200
    body = shared.house.body.replace("first_day = 2026-12-21", "first_day = 2026-12-22")
    shared.house.write_profile(body)
    shared.stop()
    shared.start()
    assert shared.get(link_of(shared, "jo")).status == 404
