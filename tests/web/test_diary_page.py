"""The page Diary: by evening and day, by house and kind, page by page, put right in place."""

import json
import re
from collections.abc import Iterator
from contextlib import closing
from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal.store import open_journal
from scheduler.machine.paths import JOURNAL_NAME
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, TWO_COOPS, WINTER, household
from tests.journal.as_said import keep_ticks
from tests.web.front import Front, front

SHUT = {"coop": "walnut", "turn": "0", "expected": "12", "count": "12", "do": "shut"}
SHUT |= {"day": WINTER.isoformat()}
TICK = {"job": f"water|walnut|{WINTER}|1", "do": "done"}


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[Front]:
    """The pages of one house."""
    body = SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as served:
        served.house.set_clock(served.house.local("16:20"))
        yield served


def text_of(pages: Front, path: str = "/diary") -> str:
    reply = pages.get(path, who="ana")
    assert reply.status == 200
    return reply.text


def entry(page: str, number: int) -> str:
    """What the page has of that entry."""
    return page.partition(f'id="entry-{number}"')[2].partition("</li>")[0]


def change(pages: Front, number: int, do: str = "take-back", **sent: str) -> tuple[int, str]:
    reply = pages.post("/diary/change", {"entry": str(number), "do": do, **sent}, who="kim")
    return reply.status, reply.headers.get("location", reply.text)


def test_nothing_said_is_said(pages: Front) -> None:
    assert "There is nothing here yet." in text_of(pages)
    assert "There is nothing of that kind." in text_of(pages, "/diary?kind=eggs")


def test_what_was_said_stands_by_evening_and_day_in_words_and_is_taken_back_there(
    pages: Front,
) -> None:
    pages.post("/door", SHUT, who="ana")
    pages.post("/jobs", TICK, who="kim")
    text = text_of(pages)
    evening, day = (text.index(f"<h2>{one}Monday 21 December 2026") for one in ("Evening of ", ""))
    assert evening < text.index("Walnut: shut, 12 in") < day < text.index("Done: Fill the drinkers")
    assert "<bdi>Ana</bdi>, 16:20" in entry(text, 1)
    assert change(pages, 1) == (303, "/diary#entry-1")
    assert change(pages, 2, kind="jobs") == (303, "/diary?kind=jobs#entry-2")
    text = text_of(pages)
    for number in (1, 2):
        assert "<del>" in entry(text, number)
        assert "Taken back by Kim, 16:20" in entry(text, number)
        assert "<form" not in entry(text, number)
    assert "Lock up now" in pages.get("/", who="ana").text
    status, why = change(pages, 1)
    assert status == 422
    assert "Nothing was changed, because it is like that already." in why


def test_an_undone_find_leaves_its_trace(pages: Front) -> None:
    pages.post("/door", {**SHUT, "count": "11"}, who="ana")
    pages.post("/door", {**SHUT, "turn": "1", "count": "1", "do": "found"}, who="ana")
    assert "<form" not in entry(text_of(pages), 1), "only what was said last is taken back"
    change(pages, 2)
    text = text_of(pages)
    assert "<del>Walnut: 1 found</del>" in entry(text, 2)
    assert "<strong>Walnut: shut, 11 of 12 in</strong>" in entry(text, 1)


def test_a_search_is_under_doors_and_under_birds(pages: Front) -> None:
    pages.post("/door", {**SHUT, "count": "11"}, who="ana")
    pages.post("/door", {**SHUT, "turn": "1", "count": "1", "do": "found"}, who="ana")
    doors = text_of(pages, "/diary?kind=doors")
    assert doors.index("Walnut: shut, 11 of 12 in") < doors.index("Walnut: 1 found")
    assert "<del>" not in doors, "both were right"
    assert "Walnut: 1 found" in text_of(pages, "/diary?kind=birds")


def test_another_count_takes_the_place_of_the_first_and_one_that_agrees_does_not(
    pages: Front,
) -> None:
    pages.post("/door", {**SHUT, "count": "11"}, who="ana")
    again = {**SHUT, "turn": "1", "card": f"walnut-{WINTER}"}
    pages.post("/door", {**again, "count": "10"}, who="kim")
    first = entry(text_of(pages), 1)
    assert "<del>Walnut: shut, 11 of 12 in</del>" in first
    assert "Kim counted again, 16:20: 10 in" in first
    pages.post("/door", {**again, "turn": "2", "count": "10"}, who="ana")
    assert "<del>" not in entry(text_of(pages), 2)


def test_what_is_ticked_ahead_stands_under_the_day_on_which_it_was_ticked(pages: Front) -> None:
    tomorrow = WINTER + timedelta(days=1)
    assert text_of(pages)
    key, now = TaskKey("mites", "walnut", tomorrow), pages.house.now
    with (
        closing(open_journal(pages.house.data / JOURNAL_NAME)) as journal,
        journal.writing() as writing,
    ):
        keep_ticks(writing.connection, "orchard", [key], Done(who="Kim", at=now), now)
    text = text_of(pages)
    assert re.findall("<h2>(.*)</h2>", text) == ["Monday 21 December 2026"]
    assert "16:20, ahead for Tue 22 Dec" in entry(text, 1)
    pages.house.set_clock(pages.house.local("09:00", tomorrow))
    text = text_of(pages)
    assert re.findall("<h2>(.*)</h2>", text) == ["Tuesday 22 December 2026"]
    assert "Mon 21 Dec, 16:20" in entry(text, 1)


def test_one_tap_for_two_houses_is_one_line_and_is_taken_back_as_one(tmp_path: Path) -> None:
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        keys = [TaskKey("egg-collection", one, WINTER) for one in ("walnut", "barn")]
        with closing(open_journal(house.data / JOURNAL_NAME)) as journal:
            for day in (0, 1):
                now = house.now + timedelta(minutes=day)
                told = [replace(key, day=WINTER - timedelta(days=day)) for key in keys]
                with journal.writing() as writing:
                    keep_ticks(writing.connection, "orchard", told, Done(who="Ana", at=now), now)
        text = text_of(pages)
        assert text.count("(Walnut and Barn)</strong>") == 2, "each day by itself"
        line = entry(text, 1).partition("<form")[2]
        sent = re.findall('name="entry" value="([0-9]+)"', line)
        assert sent == ["1", "2"]
        reply = pages.post("/diary/change", {"entry": sent, "do": "take-back"}, who="kim")
        assert reply.status == 303
        text = text_of(pages)
        assert text.count("(Walnut and Barn)</del>") == 1
        assert "(Walnut)</strong>" in text_of(pages, "/diary?house=walnut")
        assert "(Walnut and Barn)" not in text_of(pages, "/diary?house=walnut")


def test_an_evening_can_be_put_right_where_its_own_page_still_can(pages: Front) -> None:
    pages.post("/door", {**SHUT, "count": "11"}, who="ana")
    [link] = re.findall(r'href="([^"]+)">Put it right', text_of(pages))
    own = text_of(pages, link)
    assert "Evening of Mon 21 Dec" in own
    assert "You are answering as <bdi>Ana</bdi>." in own
    assert "yours alone" not in own, "she is signed in"
    assert "yours alone" in pages.get(link).text
    recount = {**SHUT, "turn": "1", "card": f"walnut-{WINTER}"}
    assert pages.post(link, recount, who="ana").status == 303
    text = text_of(pages)
    assert "Walnut: shut, 12 in" in entry(text, 2)
    assert "<del>Walnut: shut, 11 of 12 in</del>" in entry(text, 1)
    assert "Corrected, 16:20: 12 in" in entry(text, 1)
    pages.house.set_clock(pages.house.local("16:30", WINTER + timedelta(days=2)))
    assert "Put it right" not in text_of(pages)


def test_a_report_is_taken_back_and_put_back_there(pages: Front) -> None:
    pages.post("/add", {"kind": "frost"}, who="ana")
    assert "Reported: frost" in entry(text_of(pages), 1)
    assert change(pages, 1)[0] == 303
    assert 'value="put-back"' in entry(text_of(pages), 1)
    assert change(pages, 1, "put-back")[0] == 303
    assert "Put back by Kim, 16:20" in entry(text_of(pages), 1)
    assert 'value="take-back"' in entry(text_of(pages), 1)


@pytest.mark.parametrize(
    ("number", "do", "why"),
    [
        (7, "take-back", "that cannot be taken back here"),
        (7, "burn", "this page has no button"),
    ],
)
def test_what_is_no_entry_or_no_button_changes_nothing(
    pages: Front, number: int, do: str, why: str
) -> None:
    status, text = change(pages, number, do)
    assert status == 422
    assert why in text


def test_filters_and_pages_are_links_that_keep_each_other(tmp_path: Path) -> None:
    body = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=body) as house, front(house, published=False) as pages:
        pages.get("/diary", who="ana")
        now = house.now
        with closing(open_journal(house.data / JOURNAL_NAME)) as journal:
            for ago in range(70):
                day = WINTER - timedelta(days=ago)
                keys = [TaskKey("egg-collection", one, day) for one in ("walnut", "barn")]
                with journal.writing() as writing:
                    keep_ticks(writing.connection, "orchard", keys, Done(who="Ana", at=now), now)
        seen: list[str] = []
        path = "/diary?house=walnut&kind=jobs"
        while path:
            text = text_of(pages, path)
            seen += re.findall(r'id="entry-(\d+)"', text)
            assert "(Barn)" not in text
            found = re.search(r'href="([^"]+)">Earlier</a>', text)
            path = found[1].replace("&amp;", "&") if found else ""
        assert len(seen) == len(set(seen)) == 70
        assert 'href="/diary?house=barn&amp;kind=jobs">Barn' in text
        assert 'href="/diary?house=walnut">' in text, "everything of the house"
        for odd in ("?before=x", "?before=2026-02-30.1", "?before=0001-01-01.1", "?house=elm"):
            assert 'id="entry-2"' in text_of(pages, f"/diary{odd}")


def test_the_page_links_both_files_and_both_have_everything(pages: Front) -> None:
    pages.post("/door", SHUT, who="ana")
    pages.post("/jobs", TICK, who="kim")
    change(pages, 1)
    for path in ("/diary.csv", "/diary.json"):
        assert f'href="{path}" download' in text_of(pages)
    reply = pages.get("/diary.json", who="ana")
    assert reply.headers["content-type"] == "application/json"
    assert reply.headers["content-disposition"] == 'attachment; filename="orchard.json"'
    assert [one["words"] for one in json.loads(reply.text)["diary"]] == [
        "Walnut: shut, 12 in",
        "Done: Fill the drinkers and check the water",
        "Taken back: “Walnut: shut, 12 in”",
    ]
