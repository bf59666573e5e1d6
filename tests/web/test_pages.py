"""The pages as a keeper uses them: what they show, what their buttons do."""

import html
import json
import re
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.cares.records import NO_RECORDS
from scheduler.cares.usual_day import usual_day
from scheduler.husbandry.figures import figures
from scheduler.husbandry.keeper_words import bought, criterion_words, figure_words, holds
from scheduler.journal import memos
from scheduler.service.agree_clock import take_agreement
from scheduler.service.health.tick_file import Pulse, write_pulse
from scheduler.service.housing_check import housing_check
from tests.faults.house import (
    LONDON,
    ONE_COOP,
    PEOPLE,
    QUIET_MORNINGS,
    SITE,
    TWO_COOPS,
    WINTER,
    household,
)
from tests.unhurried import unhurried
from tests.web.front import PAGES, Front, front, link_of

AT_SEA = 'latitude = -40.0\nlongitude = -110.0\ntimezone = "Etc/GMT+7"\n'
SHOWN = (*PAGES, "/why/water")
CLOSED = {"coop": "walnut", "day": "2026-12-21", "turn": "0", "expected": "12"}


def said(pages: Front) -> list[tuple[str, int | None, str]]:
    """Everything that is kept of doors: kind, count, who."""
    query = "SELECT kind, count, who FROM closing WHERE undone_at IS NULL ORDER BY number"
    return [(row[0], row[1], row[2]) for row in pages.house.rows(query)]


def known_for_weeks(pages: Front) -> None:
    """The profile was accepted a month ago."""
    text = pages.house.profile_path.read_text(encoding="utf-8")
    with pages.house.journal() as journal, journal.writing() as writing:
        memos.accept(writing.connection, "orchard", text, pages.house.now - timedelta(days=30))


def test_today_tells_the_lock_up_first_and_then_the_jobs(pages: Front) -> None:
    text = pages.get("/", who="ana").text
    for part in (
        "Lock up at 16:18",
        "in 3 h 48 min",
        "Shut by 16:33",
        "12 hens",
        "<bdi>Ana</bdi> is on duty",
    ):
        assert part in text
    assert text.index("Lock up at 16:18") < text.index("Morning") < text.index("check the water")


def test_a_job_is_ticked_by_whoever_did_it_and_can_be_taken_back(pages: Front) -> None:
    text = pages.get("/", who="kim").text
    [job] = set(re.findall(r'value="(water\|walnut\|2026-12-21\|1)"', text))
    back = pages.post("/jobs", {"job": job, "do": "done"}, who="kim").headers["location"]
    assert back == "/#job-water-walnut-2026-12-21-1"
    assert f'id="{back[2:]}"' in text  # the focus goes back to the line
    assert "Kim, 12:30" in pages.get("/", who="ana").text
    pages.post("/jobs", {"job": job, "do": "undo"}, who="ana")
    assert "Kim, 12:30" not in pages.get("/", who="ana").text


def test_what_still_waits_is_counted_and_a_ticked_line_stays_to_be_taken_back(
    pages: Front,
) -> None:
    known_for_weeks(pages)

    def waiting() -> str:
        return pages.get("/", who="ana").text.partition("Still due")[2].partition("season")[0]

    text = waiting()
    shown, _, more = text.partition('<details id="more-due">')
    told = re.search(r"3 of (\d+)</small>", shown)
    assert told
    since = r"since (\w+day|yesterday|\d+ \w+)</em>"
    assert len(re.findall(since, shown)) == 3
    assert len(re.findall(since, more)) == int(told[1]) - 3
    [job, *_] = re.findall(r'name="job" value="([^"]+)"', shown)
    pages.post("/jobs", {"job": job, "do": "done"}, who="ana")
    after = waiting()
    assert f"3 of {int(told[1]) - 1}</small>" in after
    line = after[after.index(job) :].partition("</li>")[0]
    assert 'value="undo"' in line
    assert "Ana, 12:30 · undo" in line
    pages.post("/jobs", {"job": job, "do": "undo"}, who="kim")
    assert f"3 of {told[1]}</small>" in waiting()
    care = job.partition("|")[0]
    at = r"2026-12-21T12:30:\d\dZ"
    row = rf"2026-12-\d\d,{care},walnut,,Ana,{at},,{at},Kim"
    assert re.search(row, pages.get("/diary.csv", who="ana").text)


def test_what_waits_or_comes_in_one_house_only_names_it_wherever_it_is_listed(
    tmp_path: Path,
) -> None:
    chicks = 'young = 8\nhatched = 2026-12-10\nraised_by = "brooder"'
    body = SITE + TWO_COOPS.replace("hens = 8", chicks) + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        known_for_weeks(pages)
        waits = pages.get("/", who="ana").text.partition("Still due")[2]
        assert re.search(r"take out caked lumps \(Walnut\)\s*<em>\s*since", waits)
        for path in ("/", "/week"):  # beside the chicks' lamp nothing is stirred
            listed = html.unescape(pages.get(path, who="ana").text)
            assert "take out caked lumps (Walnut)" in listed
            assert not re.search(r"take out caked lumps(?! \(Walnut)", listed), path


def test_nothing_waits_from_before_the_profile_was_there(tmp_path: Path) -> None:
    with household(tmp_path) as house, front(house, watched=True) as pages:
        house.settle()
        text = pages.get("/", who="ana").text
        assert "Morning" in text
        assert "Still due" not in text
        assert "overdue" not in text


@unhurried
def test_every_page_says_that_the_reminders_cannot_be_relied_on(tmp_path: Path) -> None:
    told, reason = "Do not rely on the reminders now", "clock seems wrong"
    with household(tmp_path) as house, front(house, watched=True) as pages:
        house.settle()
        house.at("12:40")
        link, sign_in = link_of(pages), pages.invitation("kim")
        for path in (*SHOWN, link, sign_in):
            assert told not in pages.get(path, who="ana").text, path
        house.kill()
        # Nothing has changed in the journal, and the page was made in this very minute.
        assert house.pulse
        write_pulse(house.data, replace(house.pulse, trust="untrusted"))
        for path in (*SHOWN, link, sign_in):
            assert reason in pages.get(path, who="ana").text, path
        for path in ("/", "/nonsense"):
            stranger = pages.get(path).text
            assert told in stranger
            assert reason not in stranger


def test_a_site_with_nobody_to_tell_says_so_on_every_page(tmp_path: Path) -> None:
    nobody = SITE + TWO_COOPS + '[[person]]\nname = "Ana"\n'
    with household(tmp_path, body=nobody) as house, front(house, published=False) as pages:
        assert (
            "No reminders go out, because nobody can be told" in pages.get("/week", who="ana").text
        )


@pytest.mark.parametrize(("clock", "word"), [("09:20", ""), ("09:50", "overdue"), ("13:50", "")])
def test_a_let_out_is_called_overdue_for_some_hours_only(
    pages: Front, clock: str, word: str
) -> None:
    known_for_weeks(pages)
    pages.house.set_clock(pages.house.local(clock))
    line = re.search(
        r"Let them out at 08:3\d(.*?)</button>", pages.get("/", who="ana").text, re.DOTALL
    )
    assert line
    assert ("overdue" in line[1]) == bool(word)


@pytest.mark.parametrize(
    ("clock", "headline"),
    [("16:00", "Lock up at 16:18"), ("16:20", "Lock up now"), ("16:40", "Overdue: shut the door")],
)
def test_the_lock_up_grows_louder(pages: Front, clock: str, headline: str) -> None:
    pages.house.set_clock(pages.house.local(clock))
    assert headline in pages.get("/", who="ana").text


def test_a_count_that_is_short_starts_the_search_and_each_ending_ends_it(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    turn = 0
    for ending in ("found", "not-found", "elsewhere", "dead"):
        closing = {**CLOSED, "turn": str(turn), "count": "11", "do": "shut"}
        assert pages.post("/door", closing, who="ana").status == 303
        text = pages.get("/", who="ana").text
        assert "1 missing" in text
        assert "hedges and low branches" in text
        ended = {**CLOSED, "turn": str(turn + 1), "count": "1", "do": ending}
        assert pages.post("/door", ended, who="kim").headers["location"] == "/"
        assert said(pages)[-1] == (ending, 1, "Kim")
        text = pages.get("/", who="ana").text
        assert "1 missing" not in text
        # Green only when every bird is accounted for, and nothing has happened to one.
        green, headline = {
            "found": (True, "Shut"),
            "not-found": (False, "1 still missing"),
            "elsewhere": (False, "Shut; 1 sleeping elsewhere"),
            "dead": (False, "Shut; 1 dead"),
        }[ending]
        assert ('class="card shut"' in text) == green
        assert f'"headline">{headline}</p>' in text
        undo = {**CLOSED, "turn": str(turn + 2), "do": "undo"}
        assert pages.post("/door", undo, who="kim").status == 303
        assert "1 missing" in pages.get("/", who="ana").text
        reopened = {**CLOSED, "turn": str(turn + 3), "do": "reopened"}
        assert pages.post("/door", reopened, who="ana").status == 303
        turn += 4


def test_a_closing_is_taken_back_by_an_open_door(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    pages.post("/door", {**CLOSED, "do": "all-in"}, who="ana")
    assert "12 in" in pages.get("/", who="kim").text
    pages.post("/door", {**CLOSED, "turn": "1", "do": "undo"}, who="ana")
    assert said(pages) == []
    trace = pages.house.rows("SELECT kind, undone_by FROM closing WHERE undone_at IS NOT NULL")
    assert trace == [("closed", "Ana")]
    assert "Lock up now" in pages.get("/", who="kim").text


def test_what_was_said_already_is_said_once(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    assert pages.post("/door", {**CLOSED, "do": "all-in"}, who="ana").headers["location"] == "/"
    again = pages.post("/door", {**CLOSED, "do": "all-in"}, who="kim")
    assert again.headers["location"] == "/?already=walnut-2026-12-21"
    assert "That has already been said" in pages.get("/?already=walnut-2026-12-21", who="kim").text
    assert said(pages) == [("closed", 12, "Ana")]
    # Whoever counts fewer adds something to know.
    assert pages.post("/door", {**CLOSED, "count": "11", "do": "some-missing"}, who="kim").status
    assert said(pages)[1:] == [("closed", 11, "Kim")]


def test_one_button_says_the_count_and_none_loses_it(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    text = pages.get("/", who="ana").text
    assert re.search(r'name="count"[^>]*\s+value="12" data-expected="12"', text)
    other = pages.post("/door", {**CLOSED, "count": "8", "do": "not-counted"}, who="ana")
    assert other.status == 422
    assert "You typed 8." in other.text
    assert 'value="8"' in other.text
    assert said(pages) == []
    assert pages.post("/door", {**CLOSED, "do": "shut"}, who="ana").status == 422
    assert pages.post("/door", {**CLOSED, "count": "8", "do": "shut"}, who="ana").status == 303
    assert said(pages) == [("closed", 8, "Ana")]
    assert "4 missing" in pages.get("/", who="ana").text


def test_on_every_page_the_tab_that_it_belongs_to_is_marked(pages: Front) -> None:
    tabs = ["/", "/week", "/add", "/flock", "/more"]
    holds = {"/year": "/week", "/birds": "/flock", "/coop": "/flock"}
    for path in PAGES:
        text = pages.get(path, who="ana").text
        bar = text.partition('<nav class="bar"')[2].partition("</nav>")[0]
        at_the_thumb, rest = bar.split("</ul>")[:2]
        assert re.findall(r'<a href="([^"]+)"', at_the_thumb) == tabs
        tab = path if path in tabs else holds.get(path, "/more")
        is_own = "page" if path == tab else "true"
        assert re.findall(r'href="([^"]+)" aria-current="(\w+)"', at_the_thumb) == [(tab, is_own)]
        below = [] if path in tabs or path == "/begun" else [path]
        assert re.findall(r'href="([^"]+)" aria-current="page"', rest) == below
    for path, tab in (("/why/water", "/flock"), ("/change/birds", "/more"), (link_of(pages), "/")):
        text = pages.get(path, who="ana").text
        assert f'href="{tab}" aria-current="true"' in text, path
    assert 'href="/diary.csv"' in pages.get("/more", who="ana").text


def test_the_clock_in_the_head_can_be_moved_on(pages: Front) -> None:
    pages.cookie("ana")
    before = int(pages.house.now.timestamp())
    text = pages.get("/", who="ana").text
    after = int(pages.house.now.timestamp())
    head = r'id="clock" data-at="(\d+)" data-zone="Europe/London" data-hours="24">(\d\d:\d\d)<'
    [(at, shown)] = re.findall(head, text)
    assert before <= int(at) <= after, "when it was asked"
    assert shown == f"{datetime.fromtimestamp(int(at), LONDON):%H:%M}"


@pytest.mark.parametrize(
    ("fields", "headline"),
    [
        ({"count": "99", "do": "shut"}, "87 too many: count again"),
        ({"do": "not-counted"}, "Door shut, not counted"),
    ],
)
def test_a_count_that_proves_nothing_is_no_calm_green(
    pages: Front, fields: dict[str, str], headline: str
) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    assert pages.post("/door", {**CLOSED, **fields}, who="ana").status == 303
    text = pages.get("/", who="ana").text
    assert headline in text
    assert 'class="card shut"' not in text


def test_a_missing_bird_stays_on_today_until_somebody_says_how_it_ended(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    pages.post("/door", {**CLOSED, "count": "11", "do": "shut"}, who="ana")
    pages.post("/door", {**CLOSED, "turn": "1", "count": "1", "do": "not-found"}, who="ana")
    for day in (22, 24):
        pages.house.set_clock(pages.house.local("09:00", WINTER.replace(day=day)))
        text = pages.get("/", who="kim").text
        assert "Still missing: 1 since Monday 21 December." in text
        assert "11 hens" in text
    assert "All is well" not in pages.get("/status", who="kim").text
    of = {"coop": "walnut", "day": "2026-12-24", "turn": "0"}
    for ending in ("found", "dead", "given-up", "elsewhere"):
        assert f'name="do" value="{ending}"' in text
    assert pages.post("/door", {**of, "count": "1", "do": "given-up"}, who="kim").status == 303
    text = pages.get("/", who="kim").text
    assert "Still missing" not in text
    assert "Undo “given up for lost”" in text
    assert pages.post("/door", {**of, "turn": "1", "do": "undo"}, who="ana").status == 303
    assert "Still missing: 1 since" in pages.get("/", who="kim").text


def test_a_door_that_nobody_confirmed_is_asked_about_on_the_next_day(pages: Front) -> None:
    known_for_weeks(pages)
    pages.house.set_clock(pages.house.local("09:00", WINTER.replace(day=22)))
    text = pages.get("/", who="ana").text
    assert "Walnut</bdi>, last night" in text
    assert "Nobody has said it was shut" in text
    late = {**CLOSED, "late": "1", "count": "11", "do": "shut"}
    assert pages.post("/door", late, who="ana").status == 303
    text = pages.get("/", who="ana").text
    assert "Walnut</bdi>, last night" not in text
    assert "Still missing: 1 since Monday 21 December." in text
    assert said(pages) == [("closed", 11, "Ana")]


def test_who_sleeps_elsewhere_comes_back_home_and_a_house_without_birds_has_no_lock_up(
    pages: Front,
) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    pages.post("/door", {**CLOSED, "count": "0", "do": "shut"}, who="ana")
    away = {**CLOSED, "turn": "1", "count": "12", "do": "elsewhere"}
    assert pages.post("/door", away, who="ana").status == 303
    for day in (23, 24):
        pages.house.set_clock(pages.house.local("16:30", WINTER.replace(day=day)))
        text = pages.get("/", who="ana").text
        assert "Lock up now" not in text
        assert "no birds tonight" in text
        assert "12 sleep elsewhere." in text
    back = {"coop": "walnut", "day": "2026-12-24", "turn": "0", "count": "12", "do": "back"}
    assert pages.post("/door", {**back, "count": "13"}, who="ana").status == 422
    assert pages.post("/door", back, who="ana").status == 303
    text = pages.get("/", who="ana").text
    assert "Lock up now" in text
    assert "12 hens" in text
    assert pages.post("/door", {**back, "turn": "1", "do": "undo"}, who="ana").status == 303
    assert "No birds tonight" in pages.get("/", who="ana").text


def test_a_house_that_was_said_to_be_empty_has_no_times_and_no_jobs(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    job = {"job": "water|walnut|2026-12-21|1", "do": "done"}
    assert pages.post("/jobs", job, who="kim").status == 303
    away = {**CLOSED, "count": "12", "do": "elsewhere"}
    assert pages.post("/door", away, who="ana").status == 303
    assert pages.post("/jobs", {**job, "do": "undo"}, who="kim").status == 303, (
        "it is not taken away"
    )
    pages.house.set_clock(pages.house.local("12:00", WINTER.replace(day=22)))
    week = pages.get("/week", who="ana").text
    assert week.count("The house is empty. 12 sleep elsewhere.") == 7
    assert "Lock up" not in week
    assert "0\u00a0min for the jobs and the lock-ups" in week
    today = pages.get("/", who="ana").text
    assert "Let out" not in today
    assert "Morning jobs" not in today
    assert "Still due" not in today


@pytest.fixture(scope="module")
def dusk(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """The usual house at lock-up, for tests that keep nothing."""
    folder = tmp_path_factory.mktemp("dusk")
    with household(folder) as house, front(house, published=False) as served:
        house.set_clock(house.local("16:20"))
        yield served


@pytest.mark.parametrize("typed", ["-1", "1e3", "eleven", "1.5", "9" * 9, "٣"])
def test_a_wrong_count_is_answered_beside_the_field_and_kept(dusk: Front, typed: str) -> None:
    reply = dusk.post("/door", {**CLOSED, "count": typed, "do": "some-missing"}, who="ana")
    assert reply.status == 422
    assert f'value="{typed}" aria-invalid="true"' in reply.text
    assert "Type a whole number, 0 or more." in reply.text
    assert said(dusk) == []


@pytest.mark.parametrize(
    "job", ["nonsense", "water|walnut|2026-13-40|1", "water|barn|2026-12-21|1", "water|walnut|x|"]
)
def test_an_unknown_job_is_refused(looked_at: Front, job: str) -> None:
    reply = looked_at.post("/jobs", {"job": job, "do": "done"}, who="ana")
    assert reply.status == 422
    assert "Nothing was saved." in reply.text
    assert looked_at.house.rows("SELECT * FROM done") == []


@pytest.mark.parametrize("do", ["dne", ""])
def test_a_button_that_is_not_there_ticks_nothing(looked_at: Front, do: str) -> None:
    reply = looked_at.post("/jobs", {"job": "water|walnut|2026-12-21|1", "do": do}, who="ana")
    assert reply.status == 422
    assert f"This page has no button &#34;{do}&#34;." in reply.text
    assert looked_at.house.rows("SELECT * FROM done") == []


def test_a_wrong_day_is_refused(pages: Front) -> None:
    reply = pages.post("/door", {**CLOSED, "day": "tonight", "do": "all-in"}, who="ana")
    assert reply.status == 422
    assert "is not a date, so nothing was saved." in reply.text


def test_a_door_shut_hours_ahead_is_asked_about(pages: Front) -> None:
    asked = pages.post("/door", {**CLOSED, "do": "all-in"}, who="ana")
    assert "In for the night already?" in asked.text
    assert said(pages) == []
    sent = dict(re.findall(r'name="(\w+)" value="([^"]*)"', asked.text))
    assert pages.post("/door", sent, who="ana").headers["location"] == "/"
    assert said(pages) == [("closed", 12, "Ana")]


def test_a_tap_that_was_kept_counts_from_when_it_was_made(pages: Front) -> None:
    tapped = pages.house.local("16:25")
    pages.house.set_clock(pages.house.local("18:00"))
    kept = {**CLOSED, "do": "all-in", "at": str(int(tapped.timestamp()))}
    pages.post("/door", kept, who="ana")
    assert "<bdi>Ana</bdi> shut the door at 16:25" in pages.get("/", who="ana").text
    # A phone whose clock is wrong by days cannot say when.
    wrong = {**CLOSED, "turn": "1", "count": "11", "do": "some-missing", "at": "99"}
    pages.post("/door", wrong, who="kim")
    assert "<bdi>Kim</bdi> shut the door at 18:00" in pages.get("/", who="ana").text


def test_the_link_of_a_message_confirms_without_signing_in(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    path = link_of(pages)
    text = pages.get(path).text
    for part in ("Walnut", "12 hens", "You are answering as <bdi>Ana</bdi>", "The door is shut"):
        assert part in text
    assert "Today" not in text  # nothing else of the place without a session
    assert pages.post(path, {**CLOSED, "do": "all-in"}).headers["location"] == path
    assert ": all 12 in." in pages.get(link_of(pages, "kim")).text
    assert said(pages) == [("closed", 12, "Ana")]


def test_one_hen_is_a_hen_and_no_hens_are_all_still_missing(tmp_path: Path) -> None:
    body = SITE + ONE_COOP + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        house.say("elsewhere", count=11)
        for clock in ("12:30", "16:20", "16:40"):
            house.set_clock(house.local(clock))
            text = pages.get("/", who="ana").text
            assert "1 hen" in text
            assert "1 hens" not in text
        house.say(count=0)
        house.set_clock(house.local("16:20", WINTER.replace(day=22)))
        text = pages.get("/", who="ana").text
        assert "All still missing" in text
        assert "0 hens" not in text


@pytest.mark.parametrize(
    ("link_for", "who", "may"), [("ana", "", True), ("kim", "", False), ("kim", "kim", True)]
)
def test_s3_the_link_offers_for_good_only_to_whoever_may_say_it(
    pages: Front, link_for: str, who: str, *, may: bool
) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    pages.house.say(count=11)
    path = link_of(pages, link_for)
    text = pages.get(path, who=who).text
    assert ('name="do" value="dead"' in text) is may
    assert ("Only the person on duty, or somebody who is signed in, can say" in text) is not may
    assert 'name="do" value="found"' in text
    dead = {**CLOSED, "turn": "1", "count": "1", "do": "dead"}
    reply = pages.post(path, dead, who=who)
    assert reply.status == (303 if may else 422)
    if not may:
        assert "Only whoever is on duty, or somebody signed in, can say that." in reply.text


def test_after_the_let_out_the_link_writes_up_late_and_after_two_days_it_is_gone(
    pages: Front,
) -> None:
    path = link_of(pages)
    pages.house.set_clock(pages.house.local("09:00", WINTER.replace(day=22)))
    text = pages.get(path).text
    assert "a new day has begun" in text
    assert "It was shut" in text
    assert pages.post(path, {**CLOSED, "do": "not-counted"}).status == 303
    assert said(pages) == [("closed", None, "Ana")]
    pages.house.set_clock(pages.house.local("16:19", WINTER.replace(day=23)))
    gone, unknown = pages.get(path), pages.get(path[:-1] + "-")
    assert (gone.status, unknown.status) == (404, 404)
    assert gone.body == unknown.body
    assert "There is nothing here" in gone.text


def test_without_a_session_only_what_needs_none_is_shown(pages: Front) -> None:
    for path in (*SHOWN, "/diary.csv", "/diary.json"):
        reply = pages.get(path)
        assert reply.status == 403, path
        assert "Orchard" not in reply.text
        assert "Walnut" not in reply.text
    for path in ("/static/site.css", "/static/manifest.json", "/robots.txt", "/worker.js"):
        assert pages.get(path).status == 200, path
    for path in ("/door", "/jobs", "/weather", "/people/invite", "/people/end", "/status/test"):
        assert pages.post(path, {}).status == 403, path


def test_a_sign_in_link_is_good_once_and_for_fifteen_minutes(pages: Front) -> None:
    link = pages.invitation("kim")
    assert "Sign in as <bdi>Kim</bdi>?" in pages.get(link).text
    first = pages.post(link, {})
    assert first.status == 303
    cookie = first.headers["set-cookie"]
    assert "HttpOnly" in cookie
    assert "samesite=lax" in cookie.lower()
    assert "secure" not in cookie.lower()
    assert pages.post(link, {}).status == 404
    late = pages.invitation("kim")
    pages.house.set_clock(pages.house.local("12:46"))
    assert pages.get(late).status == 404
    assert pages.get("/", who="", Cookie=cookie.partition(";")[0]).status == 200


def test_whoever_is_signed_in_lets_others_in_and_ends_their_sessions(pages: Front) -> None:
    page = pages.post("/people/invite", {"person": "kim"}, who="ana").text
    found = re.search(r'value="http://127\.0\.0\.1:\d+(/sign-in/[\w-]+)"', page)
    assert found
    pages.cookies["kim"] = pages.post(found[1], {}).headers["set-cookie"].partition(";")[0]
    assert pages.get("/", who="kim").status == 200
    listed = pages.get("/people", who="ana").text
    session = re.findall(r'end\?session=(\w+)" aria-label="Sign out Kim', listed)
    asked = pages.get(f"/people/end?session={session[0]}", who="ana").text
    assert "Sign Kim out on" in asked
    assert pages.get("/", who="kim").status == 200, "it was only asked"
    own = pages.get(f"/people/end?session={session[0]}", who="kim").text
    assert "Sign this device out?" in own
    assert pages.post("/people/end", {"session": session}, who="ana").status == 303
    assert pages.get("/", who="kim").status == 403
    assert pages.post("/people/invite", {"person": "nobody"}, who="ana").status == 422


def test_a_sign_in_link_can_be_taken_back(pages: Front) -> None:
    page = pages.post("/people/invite", {"person": "kim"}, who="ana").text
    path = re.findall(r'value="http://[\d.:]+(/sign-in/[\w-]+)"', page)[0]
    assert pages.get(path).status == 200
    later = pages.get("/people", who="kim").text  # once the page was left, and by anybody
    assert "A sign-in link for <bdi>Kim</bdi> works until" in later
    assert path not in later
    [link] = re.findall(r'name="link" value="(\w+)"', later)
    assert pages.post("/people/withdraw", {"link": link}, who="kim").status == 303
    assert pages.get(path).status == 404
    assert "works until" not in pages.get("/people", who="ana").text


def test_whoever_is_signed_out_reads_how_to_get_in_again(pages: Front) -> None:
    text = pages.get("/").text
    assert "Ask somebody of the household to make you a sign-in link" in text
    assert "This is Duskfold. It reminds a household" in text
    # A command is the only way back in where nobody is in; it is folded, for whom it is for.
    shown, _, folded = text.partition("<summary>For whoever looks after the server</summary>")
    assert "<code>" not in shown
    assert "duskfold links --sign-in" in folded


def test_no_page_names_a_command_or_a_key_of_the_profile(pages: Front) -> None:
    for path in SHOWN:
        text = pages.get(path, who="ana").text
        # The answer about the forecast is two lines of the file, until pages can change it.
        text = text.replace("<code>[forecast]</code>", "") if path == "/weather" else text
        found = re.findall(r"duskfold [a-z]+|\[\[?[a-z]+\]|\b[a-z]+_[a-z]+ =|base_url", text)
        assert found == [], path


def test_k12_the_page_of_the_coop_has_the_numbers_of_check_and_figures(pages: Front) -> None:
    profile = pages.household().profile
    plain = html.unescape(re.sub(r"<[^>]+>", " ", pages.get("/coop", who="ana").text))
    page = re.sub(r"[ \n]+", " ", plain.replace("\u2068", "").replace("\u2069", ""))
    check = housing_check(pages.household(), NO_RECORDS, "backyard", WINTER)
    assert len(check.criteria) > 15
    for one in check.criteria:
        told = criterion_words(one, profile.units)
        row = (told.label, told.source, told.have, told.need, told.margin, told.verdict)
        assert " ".join(filter(None, row)).casefold() in page.casefold()
    for figure in figures(profile, profile.coop[0], usual_day(profile, WINTER)):
        said = figure_words(figure, profile.units)
        expected = (said.label, said.inputs, said.amount, said.note)
        assert " ".join(filter(None, expected)).casefold() in page.casefold()
    for line in (
        *map(holds, check.capacities),
        *(bought(p, profile.units) for p in check.purchases),
    ):
        assert line in page


@unhurried
def test_what_is_asked_of_a_flock_names_no_key_on_the_page(tmp_path: Path) -> None:
    body = SITE + '[[coop]]\nname = "Walnut"\n[[flock]]\nname = "Few"\nyoung = 6\nage = "chick"\n'
    with household(tmp_path, body=body + PEOPLE) as house, front(house) as pages:
        page = pages.get("/coop", who="ana").text
    assert "on which day did they hatch? Say so instead of their age" in page
    assert "hatched =" not in page
    assert "raised_by" not in page


def test_a_temperature_has_the_unit_that_stands_beside_the_field(pages: Front) -> None:
    assert pages.post("/add", {"kind": "heat", "air": "36"}, who="ana").status == 303
    assert "36\u00a0°C" in pages.get("/add", who="ana").text


def test_a_forged_cookie_is_nobody(pages: Front) -> None:
    good = pages.cookie("ana")
    name, _, value = good.partition("=")
    assert pages.get("/", Cookie=f"{name}={value}.signed").status == 200, "as before an update"
    for forged in (f"{value[:-1]}{'x' if value[-1] != 'x' else 'y'}", f"{value}x", "", ".", "x.y"):
        assert pages.get("/", Cookie=f"{name}={forged}").status == 403


def test_weather_is_told_in_one_tap_and_taken_back(pages: Front) -> None:
    assert pages.post("/add", {"kind": "storm"}, who="ana").status == 303
    shown = pages.get("/add", who="ana").text
    assert "Storm on Mon 21 Dec" in shown
    assert "In severe heat or hard frost, also say how hot or how cold" in shown, (
        "else nobody is rung"
    )
    assert "a storm is on its way" in pages.get("/", who="kim").text
    assert pages.post("/add/end", {"number": "1", "do": "undo"}, who="kim").status == 303
    assert "Nothing is in force now." in pages.get("/add", who="ana").text
    assert pages.post("/add/end", {"number": "7", "do": "end"}, who="kim").status == 422


@pytest.mark.parametrize(
    ("do", "said", "button"),
    [
        ("end", "Ana ended it, Mon 21 Dec, 12:00.", "Undo “it has ended”"),
        ("over", "Ana ended it, Mon 21 Dec, 12:00.", "Undo “it has ended”"),
        ("confirm", "Ana said it is still in force, Mon 21 Dec, 12:00.", "Undo “still in force”"),
        ("undo", "Ana took it back, Mon 21 Dec, 12:00.", "Put it back"),
    ],
)
def test_what_was_said_of_a_report_can_be_taken_back_where_it_was_pressed(
    pages: Front, do: str, said: str, button: str
) -> None:
    pages.house.set_clock(pages.house.local("12:00"))
    order = {"kind": "order", "first": "2026-12-01"}
    assert pages.post("/add", order, who="ana").status == 303
    before = pages.house.rows("SELECT last, confirmed_on, undone_at FROM report")
    answer = pages.post("/add/end", {"number": "1", "do": do}, who="ana")
    assert answer.headers["location"] == "/add#report-1"
    assert pages.house.rows("SELECT last, confirmed_on, undone_at FROM report") != before
    page = pages.get("/add", who="kim").text  # the plain page, by whoever looks at it later
    assert said in page
    form = page.partition(said)[2].partition("</form>")[0]
    assert button in form
    back = dict(re.findall(r'name="(\w+)" value="(\w+)"', form)) | {"do": "again"}
    for _ in range(2):  # a wet screen taps twice
        assert pages.post("/add/end", back, who="kim").status == 303
    assert pages.house.rows("SELECT last, confirmed_on, undone_at FROM report") == before
    assert said not in pages.get("/add", who="ana").text
    kept = pages.house.rows("SELECT who, undone_by FROM report_change")
    assert kept == [("Ana", "Kim")]


def test_what_ends_today_offers_no_button_that_changes_nothing(pages: Front) -> None:
    def buttons() -> list[str]:
        page = pages.get("/add", who="ana").text.partition("<h2>In force now</h2>")[2]
        return re.findall(r'value="(end|over|confirm)"', page)

    pages.post("/add", {"kind": "heat"}, who="ana")
    assert buttons() == ["over"], "it ends today as it is, or now"
    pages.post("/add/end", {"number": "1", "do": "over"}, who="ana")
    assert buttons() == []
    assert "Heat on Mon 21 Dec, over the same day" in pages.get("/add", who="ana").text
    longer = {"kind": "storm", "first": "2026-12-20", "last": "2026-12-22"}
    pages.post("/add", longer, who="ana")
    assert buttons() == ["over", "end"]
    for do, last in (("end", "2026-12-21"), ("over", "2026-12-20")):
        assert pages.post("/add/end", {"number": "2", "do": do}, who="ana").status == 303
        assert pages.house.rows("SELECT last FROM report WHERE number = 2") == [(last,)]
    assert buttons() == []


def test_only_an_order_that_goes_on_is_still_in_force(pages: Front) -> None:
    pages.post("/add", {"kind": "frost"}, who="ana")
    refused = pages.post("/add/end", {"number": "1", "do": "confirm"}, who="ana")
    assert refused.status == 422
    assert "Accepted: a housing order that goes on until further notice" in refused.text
    assert pages.house.rows("SELECT confirmed_on FROM report") == [(None,)]


def test_an_old_order_is_asked_about_on_today(pages: Front) -> None:
    pages.post("/add", {"kind": "order", "first": "2026-12-01"}, who="ana")
    asked = "Housing order since 1 December. Still in force?"
    assert asked in pages.get("/", who="kim").text
    pages.post("/add/end", {"number": "1", "do": "confirm"}, who="kim")
    assert asked not in pages.get("/", who="kim").text


def test_what_a_report_makes_urgent_comes_first_on_today_by_no_hour_that_is_past(
    pages: Front,
) -> None:
    def first_of_all(clock: str) -> str:
        pages.house.set_clock(pages.house.local(clock))
        return pages.get("/", who="ana").text.partition("Do these first</h2>")[2]

    pages.house.set_clock(pages.house.local("09:00"))
    pages.post("/add", {"kind": "heat", "air": "38", "sure": "1"}, who="ana")
    early = first_of_all("09:01")
    ahead = re.search(r"<em>midday, (\d\d:\d\d)</em>", early)
    assert ahead
    assert "Also" not in early.partition("</section>")[0]
    assert 'aria-label="Morning jobs"' in early
    assert "<em>now</em>" in first_of_all(ahead[1][:4] + "9")
    assert "<em>still to do</em>" in first_of_all("15:30")


def test_every_wrong_field_of_the_weather_is_told_at_once(pages: Front) -> None:
    wrong = {
        "kind": "heat",
        "air": "warm",
        "first": "2026-12-24",
        "last": "2026-12-22",
        "link": "javascript:alert(1)",
        "who": "x" * 200,
    }
    reply = pages.post("/add", wrong, who="ana")
    assert reply.status == 422
    for field in ("air", "last", "link", "who"):
        assert f'id="wrong-{field}"' in reply.text, field
    assert 'value="2026-12-24"' in reply.text
    assert pages.house.rows("SELECT * FROM report") == []


def test_the_status_says_in_plain_words_that_nothing_runs(pages: Front) -> None:
    text = pages.get("/status", who="ana").text
    assert "Do not rely on the reminders now" in text
    assert "The reminders are not running" in text


def test_a_job_is_explained(pages: Front) -> None:
    assert "Due by" in pages.get("/why/litter-stirring", who="ana").text
    assert pages.get("/why/nonsense", who="ana").status == 404


AT = "2026-12-21T16:20:00Z"
HEADINGS = (
    "entry,date,what,subject,count,who,at,said at,taken back at,taken back by,until,detail,"
    "name,local time,in words"
)
LOCAL = "2026-12-21T16:20:00+00:00"
FROST = "Reported: frost of -12\u00a0°C from Mon 21 Dec to Wed 23 Dec"


def test_the_diary_has_everything_said_and_done(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    pages.post("/door", {**CLOSED, "do": "all-in"}, who="ana")
    pages.post("/jobs", {"job": "water|walnut|2026-12-21|1", "do": "done"}, who="kim")
    frost = {"kind": "frost", "air": "-12 °C", "first": "2026-12-21", "last": "2026-12-23"}
    pages.post("/add", frost, who="kim")
    pages.post("/add/end", {"number": "1", "do": "undo"}, who="ana")
    pages.post("/add/end", {"number": "1", "turn": "1", "do": "again"}, who="kim")
    reply = pages.get("/diary.csv", who="ana")
    assert reply.headers["content-type"].startswith("text/csv")
    # The clock goes on while the forms are sent.
    rows = re.sub(r":\d\d(?=Z|\+00:00)", ":00", reply.text).splitlines()
    assert [row.partition(f",{LOCAL},")[0] for row in rows] == [
        HEADINGS,
        f"1,2026-12-21,closed,walnut,12,Ana,{AT},,,,,,Walnut",
        f"2,2026-12-21,water,walnut,,Kim,{AT},,,,,,Walnut",
        f"3,2026-12-21,frost,orchard,,Kim,{AT},,,,2026-12-23,report 1; air -12 °C,Orchard",
        f"4,2026-12-21,taken back,orchard,,Ana,{AT},,{AT},Kim,,entry 3,Orchard",
        f"5,2026-12-21,taken back,orchard,,Kim,{AT},,,,,entry 4,Orchard",
    ]
    assert [row.partition(f",{LOCAL},")[2] for row in rows[1:]] == [
        '"Walnut: shut, 12 in"',
        "Done: Fill the drinkers and check the water",
        FROST,
        f"Taken back: “{FROST}”",
        f"Put back: “{FROST}”",
    ]


def test_the_diary_keeps_the_last_day_that_a_report_had_before_it_was_ended(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    frost = {"kind": "frost", "air": "-12 °C", "first": "2026-12-21", "last": "2026-12-23"}
    pages.post("/add", frost, who="kim")
    pages.post("/add/end", {"number": "1", "do": "end"}, who="ana")
    _, reported, ended = pages.get("/diary.csv", who="ana").text.splitlines()
    assert ",,,2026-12-23,report 1;" in reported
    assert ended.startswith("2,2026-12-21,frost ended,orchard,,Ana,")
    assert ",2026-12-21,report 1,Orchard," in ended


def test_the_diary_says_that_some_were_missing(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    pages.post("/door", {**CLOSED, "do": "some-missing", "count": ""}, who="ana")
    row = pages.get("/diary.csv", who="ana").text.splitlines()[1]
    said = "1,2026-12-21,closed,walnut,,Ana,2026-12-21T16:20:00Z,,,,,some are missing,"
    assert row.startswith(said)


@pytest.fixture
def two(tmp_path: Path) -> Iterator[Front]:
    """The pages of two houses."""
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as served:
        yield served


@pytest.mark.parametrize(
    ("place", "from_where"),
    [("", "from the climate map, ±1.5 °C"), (AT_SEA, "estimated from your latitude")],
    ids=["on the map", "at sea"],
)
@unhurried
def test_the_pages_say_where_the_temperatures_are_from_and_when_frost_comes(
    tmp_path: Path, place: str, from_where: str
) -> None:
    body = SITE.split("[climate]")[0] + ONE_COOP + PEOPLE
    if place:
        body = re.sub(r"latitude = .*\nlongitude = .*\ntimezone = .*\n", place, body)
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        texts = {
            path: html.unescape(pages.get(path, who="ana").text).replace("\u00a0", " ")
            for path in ("/week", "/year", "/weather")
        }
    for path, text in texts.items():
        assert from_where in text, path
    if not place:
        assert re.search(r">Frost possible on \d of 7 nights \(20 % or more\)\.<", texts["/week"])
        assert "One year in two, the first frost comes before " in texts["/year"]
        assert "One year in two, the last frost comes after " in texts["/year"]


def test_a_change_of_season_in_two_houses_is_one_card(two: Front) -> None:
    two.house.set_clock(two.house.local("10:00", date(2026, 10, 13)))
    text = two.get("/", who="ana").text
    assert text.count('aria-label="This season"') == 1


@unhurried
def test_from_twenty_birds_on_it_may_look_like_all_and_a_count_is_asked_for_once_a_week(
    tmp_path: Path,
) -> None:
    body = SITE + ONE_COOP.replace("hens = 12", "hens = 24") + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        before = house.day - timedelta(days=7)
        house.set_clock(house.local("16:20", before))
        shut = {**CLOSED, "expected": "24", "do": "not-counted", "day": before.isoformat()}
        assert "nobody has for a week" not in pages.get("/", who="ana").text
        assert pages.post("/door", shut, who="ana").status == 303
        house.set_clock(house.local("16:20"))
        text = pages.get("/", who="ana").text
        assert "Please count them tonight: nobody has for a week." in text
        assert "Door shut, looks like all" in text
        shut = {**CLOSED, "expected": "24", "do": "not-counted"}
        assert pages.post("/door", shut, who="ana").status == 303
        text = pages.get("/", who="ana").text
        assert '"headline">Door shut, looks like all' in text
        assert "missing" not in text
        assert 'class="card shut"' not in text
        counted = {**CLOSED, "turn": "1", "count": "24", "do": "shut"}
        assert pages.post("/door", counted, who="ana").status == 303
        # With the let-out another evening begins, although nobody has said anything.
        for clock, due in (("08:00", False), ("09:00", True)):
            house.set_clock(house.local(clock, WINTER.replace(day=28)))
            assert ("count them tonight" in pages.get("/", who="ana").text) == due


def test_houses_with_the_same_evening_share_one_card_above_the_jobs(two: Front) -> None:
    before, _, after = two.get("/", who="ana").text.partition('id="jobs"')
    assert before.count('<section class="card early"') == 1
    assert after.count('<section class="card early"') == 0
    card = before.partition('<section class="card early"')[2]
    assert "<bdi>Walnut</bdi> · <bdi>Barn</bdi>" in card
    assert card.count("Lock up at 16:18") == 1


def test_each_of_two_houses_is_confirmed_for_itself(two: Front) -> None:
    two.house.set_clock(two.house.local("16:20"))
    path = link_of(two, subject="barn")
    barn = {"coop": "barn", "day": "2026-12-21", "turn": "0", "expected": "8", "do": "all-in"}
    assert two.post(path, barn).headers["location"] == path
    text = two.get(path).text
    assert ": all 8 in." in text
    assert "The door is shut" in text
    told = json.loads(two.get(two.tonight()).body)
    assert {coop["coop"]: coop["state"] for coop in told["coops"]} == {
        "walnut": "open",
        "barn": "shut",
    }
    stranger = two.post(path, {**barn, "coop": "stable"})
    assert stranger.status == 422


@unhurried
def test_over_https_the_cookie_is_for_https_alone(tmp_path: Path) -> None:
    with household(tmp_path) as house, front(house, base_url="https://hens.example.org") as pages:
        cookie = pages.post(pages.invitation("ana"), {}).headers["set-cookie"]
        assert cookie.startswith("__Host-duskfold=")
        assert "Secure" in cookie


def test_a_broken_profile_does_not_take_the_pages_away(pages: Front) -> None:
    assert pages.get("/", who="ana").status == 200
    whole = pages.house.profile_path.read_text(encoding="utf-8")
    pages.house.profile_path.write_text("[site", encoding="utf-8")
    pages.post("/add", {"kind": "frost"}, who="ana")  # something new is to be read
    assert "Lock up at 16:18" in pages.get("/", who="ana").text
    pages.house.profile_path.write_text(whole, encoding="utf-8")


def test_a_late_tap_does_not_shut_a_door_that_was_opened_since(pages: Front) -> None:
    for clock, who, fields in (
        ("16:25", "kim", {**CLOSED, "do": "all-in"}),
        ("16:30", "kim", {**CLOSED, "turn": "1", "do": "undo"}),
    ):
        pages.house.set_clock(pages.house.local(clock))
        assert pages.post("/door", fields, who=who).headers["location"] == "/"
    tapped = int(pages.house.local("16:21").timestamp())
    pages.house.set_clock(pages.house.local("16:40"))
    late = {**CLOSED, "do": "all-in", "at": str(tapped)}
    told = pages.post("/door", late, who="ana").headers["location"]
    assert told == "/?overtaken=walnut-2026-12-21"
    text = pages.get(told, who="ana").text
    assert "Overdue: shut the door" in text
    assert "That did not count: Kim took back at 16:30 that it is shut." in text
    # Whoever looks now, and says it now, is believed.
    assert pages.post("/door", {**CLOSED, "do": "all-in"}, who="ana").headers["location"] == "/"


@pytest.mark.parametrize("ahead", [timedelta(minutes=4), timedelta(minutes=6), timedelta(days=300)])
def test_a_late_tap_of_a_phone_whose_clock_is_ahead_ends_nobody_s_search(
    pages: Front, ahead: timedelta
) -> None:
    pages.house.set_clock(pages.house.local("16:25"))
    missing = {**CLOSED, "count": "10", "do": "shut"}
    assert pages.post("/door", missing, who="kim").headers["location"] == "/"
    pages.house.set_clock(pages.house.local("16:26"))
    at = str(int((pages.house.now + ahead).timestamp()))
    late = {**CLOSED, "count": "12", "do": "shut", "at": at}
    told = pages.post("/door", late, who="ana").headers["location"]
    assert told == "/?overtaken=walnut-2026-12-21"
    text = pages.get(told, who="ana").text
    assert "That did not count: Kim said at 16:25 that 2 are missing." in text
    assert 'data-why="Kim said at 16:25 that 2 are missing"' in text
    assert said(pages) == [("closed", 10, "Kim")]
    # Of a page on which that could be read it counts, from now where the time cannot be.
    again = {**late, "turn": "1"}
    assert pages.post("/door", again, who="ana").headers["location"] == "/"
    assert said(pages)[-1] == ("closed", 12, "Ana")


def test_a_tap_that_is_sent_once_more_because_no_answer_came_is_not_called_overtaken(
    pages: Front,
) -> None:
    pages.house.set_clock(pages.house.local("16:25"))
    late = {"at": str(int(pages.house.now.timestamp()))}
    steps = (
        {**CLOSED, "count": "10", "do": "shut"},
        {**CLOSED, "turn": "1", "count": "1", "do": "found"},
        {**CLOSED, "turn": "2", "do": "undo"},
    )
    for fields in steps:
        locations = [
            pages.post("/door", {**fields, **sent}, who="ana").headers["location"]
            for sent in ({}, late)
        ]
        undo = "&do=undo" if fields["do"] == "undo" else ""
        assert locations == ["/", f"/?already=walnut-2026-12-21{undo}"], fields
    assert "That has already been taken back" in pages.get(locations[1], who="ana").text
    newer = pages.post("/door", {**steps[2], "turn": "1"}, who="kim").headers["location"]
    assert "Nothing was taken back: Ana took back at" in pages.get(newer, who="kim").text


def test_a_wrong_it_was_shut_for_last_night_is_taken_back_on_today(pages: Front) -> None:
    known_for_weeks(pages)
    pages.house.set_clock(pages.house.local("09:00", WINTER.replace(day=22)))
    assert "Nobody has said it was shut" in pages.get("/", who="ana").text
    shut = {**CLOSED, "do": "shut", "count": "12", "late": "1"}
    assert pages.post("/door", shut, who="ana").headers["location"] == "/"
    text = pages.get("/", who="ana").text
    assert "Nobody has said it was shut" not in text
    form = text.partition('class="undo"')[2].partition("</form>")[0]
    assert "Undo “it was shut”" in form
    assert "Last night" in text.partition('class="undo"')[0]
    back = dict(re.findall(r'name="(\w+)" value="([^"]*)"', form))
    assert (back["day"], back["card"]) == ("2026-12-21", "walnut-2026-12-21")
    assert pages.post("/door", back, who="ana").headers["location"] == "/"
    assert said(pages) == []
    assert "Nobody has said it was shut" in pages.get("/", who="ana").text
    # Once more it says so on the card of last night.
    told = pages.post("/door", back, who="kim").headers["location"]
    assert told == "/?overtaken=walnut-2026-12-21&do=undo"
    unsaid = pages.get(told, who="kim").text.partition('id="door-walnut-2026-12-21"')[2]
    assert "Nothing was taken back: " in unsaid.partition("</section>")[0]


def test_a_link_takes_back_only_what_was_said_of_its_own_evening(pages: Front) -> None:
    pages.house.say(count=12, evening=WINTER.replace(day=20))
    pages.house.set_clock(pages.house.local("16:20"))
    # It was said of last night today, and can be taken back on Today, but not by tonight's link.
    assert 'value="undo"' in pages.get("/", who="ana").text
    assert 'value="undo"' not in pages.get(link_of(pages)).text
    pages.house.say(count=12)
    assert "Undo: it is not shut" in pages.get(link_of(pages)).text


def test_the_answer_stands_on_the_card_whose_button_was_pressed(pages: Front) -> None:
    known_for_weeks(pages)
    pages.house.set_clock(pages.house.local("09:00", WINTER.replace(day=22)))
    text = pages.get("/?already=walnut-2026-12-21", who="ana").text
    last_night = text.partition('id="door-walnut-2026-12-21"')[2].partition("</section>")[0]
    assert text.count("That has already been said") == 1
    assert "That has already been said" in last_night


def test_a_late_count_still_says_something_where_nobody_counted(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:30"))
    pages.post("/door", {**CLOSED, "do": "not-counted"}, who="kim")
    tapped = int(pages.house.local("16:21").timestamp())
    late = {**CLOSED, "count": "11", "do": "some-missing", "at": str(tapped)}
    assert pages.post("/door", late, who="ana").headers["location"] == "/"
    assert "1 missing" in pages.get("/", who="kim").text


def test_a_tap_on_a_page_of_an_earlier_evening_shuts_no_door(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:30", WINTER.replace(day=22)))
    old = pages.post("/door", {**CLOSED, "do": "all-in"}, who="ana")
    assert old.status == 422
    assert "that page was from Monday" in old.text
    assert (
        pages.post("/door", {**CLOSED, "day": "0001-01-01", "do": "found"}, who="ana").status == 422
    )
    assert said(pages) == []


def test_an_ending_said_twice_is_said_once(pages: Front) -> None:
    pages.house.set_clock(pages.house.local("16:20"))
    pages.post("/door", {**CLOSED, "count": "11", "do": "some-missing"}, who="ana")
    found = {**CLOSED, "turn": "1", "count": "1", "do": "found"}
    locations = [pages.post("/door", found, who="ana").headers["location"] for _ in range(2)]
    assert locations == ["/", "/?already=walnut-2026-12-21"]
    assert [kind for kind, *_ in said(pages)] == ["closed", "found"]


def test_each_session_sees_which_device_is_its_own(pages: Front) -> None:
    first = pages.cookie("ana")
    del pages.cookies["ana"]
    second = pages.cookie("ana")
    own = []
    for cookie in (first, second):
        text = pages.ask("GET", "/people", {"Cookie": cookie}).text
        listed = re.findall(r"<li>(.*?)</li>", text.partition("Signed in</h2>")[2], re.DOTALL)
        own += [re.findall(r'end\?session=(\w+)"', one) for one in listed if "this device" in one]
    assert len(own) == 2
    assert own[0] != own[1]


def test_whoever_was_taken_out_of_the_profile_answers_no_more(tmp_path: Path) -> None:
    with household(tmp_path) as house, front(house, watched=True) as pages:
        house.at("16:19")
        link, cookie = link_of(pages, "kim"), pages.cookie("kim")
        assert pages.get(link).status == 200
        without = re.sub(
            r'\[\[person\]\]\nname = "Kim"\n.*?(?=\[)', "", house.body, flags=re.DOTALL
        )
        house.write_profile(without)
        house.wait(lambda: pages.get(link).status == 404, "the link goes on")
        assert pages.post(link, {**CLOSED, "do": "all-in"}).status == 404
        assert pages.ask("GET", "/", {"Cookie": cookie}).status == 403
        assert house.rows("SELECT person_id FROM session") == []


def test_each_house_is_of_its_own_evening_until_its_own_let_out(tmp_path: Path) -> None:
    late = '[[coop]]\nname = "Barn"\n[coop.letout]\nnot_before = "09:30"\nnot_after = "09:30"\n'
    body = SITE + TWO_COOPS.replace('[[coop]]\nname = "Barn"\n', late) + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        house.set_clock(house.local("16:20"))
        barn = {
            "coop": "barn",
            "day": "2026-12-21",
            "turn": "0",
            "count": "7",
            "do": "some-missing",
        }
        assert pages.post("/door", barn, who="ana").status == 303
        house.set_clock(house.local("08:50", WINTER.replace(day=22)))
        coops = {one["coop"]: one for one in json.loads(pages.get(pages.tonight()).body)["coops"]}
        assert coops["walnut"]["evening"] == "2026-12-22"
        assert (coops["barn"]["evening"], coops["barn"]["state"]) == ("2026-12-21", "searching")
        assert coops["barn"]["letout"] == "2026-12-22T09:30:00Z"
        assert "1 missing" in pages.get("/", who="ana").text


def test_a_predator_is_reported_once_however_often_it_is_tapped(pages: Front) -> None:
    for _ in range(2):
        assert pages.post("/add", {"kind": "predator"}, who="ana").status == 303
    assert pages.house.rows("SELECT count(*) FROM report") == [(1,)]


def test_k1_heat_by_one_tap_leaves_the_worse_heat_that_was_told(pages: Front) -> None:
    def emergency() -> bool:
        return "Heat emergency" in pages.get("/", who="ana").text

    assert pages.post("/add", {"kind": "heat", "air": "37 °C"}, who="ana").status == 303
    assert emergency()
    assert pages.post("/add", {"kind": "heat"}, who="ana").status == 303
    assert emergency()
    assert pages.post("/add/end", {"number": "2", "do": "undo"}, who="ana").status == 303
    assert emergency()
    assert pages.post("/add/end", {"number": "1", "do": "undo"}, who="ana").status == 303
    assert not emergency()


def test_k7_under_an_order_a_shut_house_without_a_roofed_run_says_no_let_out(pages: Front) -> None:
    pages.house.say(count=12)
    assert "Let them out at 08:3" in pages.get("/", who="ana").text
    pages.post("/add", {"kind": "order"}, who="ana")
    shown = pages.get("/", who="ana").text
    assert "Let them out at 08:3" not in shown
    assert "not today" in shown
    assert "not today" in pages.get("/week", who="ana").text


def test_k11_an_odd_report_is_kept_at_the_second_press(pages: Front) -> None:
    odd = {"kind": "heat", "air": "10 °C"}
    asked = pages.post("/add", odd, who="ana")
    assert "10\u00a0°C is unusual for heat. Is it right?" in asked.text
    assert pages.house.rows("SELECT count(*) FROM report") == [(0,)]
    assert pages.post("/add", odd | {"sure": "1"}, who="ana").status == 303
    assert "Nothing changes in the plan" in pages.get("/add", who="ana").text


def test_an_order_and_a_predator_have_their_ends_within_one_tap(pages: Front) -> None:
    pages.post("/add", {"kind": "predator", "grade": "got-at"}, who="ana")
    pages.post("/add", {"kind": "order"}, who="ana")
    shown = pages.get("/add", who="ana").text
    assert shown.count("Reported by Ana, Mon 21 Dec, 12:") == 2
    assert "Predator that got at the birds on Mon 21 Dec, until Sun 3 Jan" in shown
    pages.post("/add/end", {"number": "2", "do": "confirm"}, who="ana")
    pages.post("/add/end", {"number": "1", "do": "end"}, who="ana")
    kept = pages.house.rows("SELECT grade, last, confirmed_on FROM report ORDER BY number")
    assert kept == [("got-at", "2026-12-21", None), (None, None, "2026-12-21")]


def test_a5_somebody_agrees_on_the_page_that_the_clock_is_right(pages: Front) -> None:
    house = pages.house
    wall, boot_s = house.now.isoformat(), house.readings.boot_s
    pulse = Pulse(
        wall=wall, boot_s=boot_s, complete_boot_s=boot_s, trust="doubtful", profile_number=1
    )
    write_pulse(house.data, pulse)
    status = pages.get("/status", who="ana").text
    assert "The clock is right" in status
    assert "duskfold health" not in status, "a command on a page"
    asked = pages.get("/status/clock", who="ana").text
    assert "on Monday 21 December 2026?" in asked
    assert "set the clock of the machine" in asked
    reply = pages.post("/status/clock", {}, who="ana")
    assert (reply.status, reply.headers.get("location")) == (303, "/status"), pages.log[-3000:]
    with house.journal() as journal, journal.writing() as writing:
        assert take_agreement(writing.connection, "orchard")


def test_a_form_that_is_loaded_again_leads_back_to_its_page(pages: Front) -> None:
    leads = {"/door": "/", "/jobs": "/", "/weather/end": "/add", "/status/test": "/status"}
    leads["/status/clock"] = "/status"
    for path, to in leads.items():
        assert pages.get(path, who="ana").headers["location"] == to


@unhurried
def test_no_page_of_six_houses_weighs_more_than_60_kb_without_its_pictures(tmp_path: Path) -> None:
    six = "".join(
        f'[[coop]]\nid = "h{number}"\nname = "House {number}"\n'
        f'[[flock]]\nid = "f{number}"\nname = "Hens {number}"\ncoop = "h{number}"\nhens = 8\n'
        for number in range(6)
    )
    body = SITE + six + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        for path in PAGES:
            text = pages.get(path, who="ana").text
            weight = len(re.sub(r"<svg.*?</svg>", "", text, flags=re.DOTALL).encode())
            assert weight <= 60_000, path
