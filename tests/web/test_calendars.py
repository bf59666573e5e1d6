"""Calendars and tonight.json as they come over the wire."""

import gzip
import json
import re
import sqlite3
import time
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from contextlib import closing
from datetime import UTC, date, timedelta
from email.utils import format_datetime, parsedate_to_datetime
from pathlib import Path

import pytest

from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.feeds.feed_names import FEEDS, house_feed
from scheduler.journal import access, memos
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.service.calendars.calendar_files import SHELF_NAME
from tests.faults.house import (
    ONE_COOP,
    PEOPLE,
    QUIET_MORNINGS,
    SITE,
    TWO_COOPS,
    WINTER,
    household,
)
from tests.unhurried import unhurried
from tests.web.front import Front, Reply, front


@pytest.fixture(scope="module")
def served(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Front]:
    """One set of pages and calendars for everything that only reads."""
    folder = tmp_path_factory.mktemp("calendars")
    with household(folder) as house, front(house) as pages:
        yield pages


@pytest.fixture
def changing(tmp_path: Path) -> Iterator[Front]:
    """Pages and calendars to take things away from."""
    with household(tmp_path) as house, front(house) as pages:
        yield pages


def looked_again(pages: Front) -> None:
    """Waits until the pages have looked for changes after now: one more calendar shows it."""
    marker = pages.house.data / SHELF_NAME / "orchard" / "jobs.ics"
    marker.write_bytes(b"looked %d" % time.monotonic_ns())
    path = pages.calendar(feed="jobs")
    pages.house.wait(lambda: pages.get(path).body == marker.read_bytes(), "not looked at again")


def test_every_calendar_has_an_address_of_its_own_with_a_human_name(served: Front) -> None:
    paths = {
        served.calendar(who, feed, alarms=alarms)
        for who in ("ana", "kim")
        for feed in FEEDS
        for alarms in (False, True)
    }
    assert len({path.split("/")[2] for path in paths}) == len(paths) == 20
    for path in paths:
        name = path.rpartition("/")[2]
        assert name.startswith("orchard-")
        assert served.get(path).headers["content-disposition"] == f'inline; filename="{name}"'
    # Whoever renames the file keeps the calendar: the token alone counts.
    token = served.calendar().split("/")[2]
    assert served.get(f"/calendar/{token}/my-hens.ics").status == 200
    assert served.get(f"/calendar/{token}/my-hens.txt").status == 404
    assert served.get(f"/calendar/{token}").status == 404


def test_the_headers_are_those_that_calendar_programs_need(served: Front) -> None:
    headers = served.get(served.calendar()).headers
    assert headers["content-type"] == "text/calendar; charset=utf-8"
    assert headers["cache-control"] == "private, no-cache"
    assert headers["vary"] == "Accept-Encoding"
    assert headers["referrer-policy"] == "no-referrer"
    assert headers["x-robots-tag"] == "noindex"
    assert headers["etag"].startswith('"')
    assert parsedate_to_datetime(headers["last-modified"]).tzinfo is UTC
    assert "set-cookie" not in headers
    assert "location" not in headers


def test_a_head_is_a_get_without_its_body(served: Front) -> None:
    path = served.calendar()
    for encoding in ("identity", "gzip"):
        asked = {"Accept-Encoding": encoding}
        head, got = served.ask("HEAD", path, asked), served.ask("GET", path, asked)
        assert (head.status, head.body) == (200, b"")
        unlike = {"date"}
        assert {k: v for k, v in head.headers.items() if k not in unlike} == {
            k: v for k, v in got.headers.items() if k not in unlike
        }
        assert int(head.headers["content-length"]) == len(got.body)


@pytest.mark.parametrize("method", ["POST", "PUT", "DELETE", "PROPFIND", "OPTIONS", "PATCH"])
def test_other_methods_are_told_which_there_are(served: Front, method: str) -> None:
    reply = served.ask(method, served.calendar())
    assert (reply.status, reply.headers["allow"]) == (405, "GET, HEAD")


@pytest.mark.parametrize(
    ("accepted", "packed"),
    [
        ("gzip", True),
        ("gzip, deflate, br", True),
        ("br;q=1.0, gzip;q=0.8, *;q=0.1", True),
        ("x-gzip", True),
        ("identity", False),
        ("gzip;q=0", False),
        ("gzip; q=0.0", False),
        ("deflate", False),
        ("", False),
    ],
)
def test_it_is_packed_for_those_who_ask(served: Front, accepted: str, *, packed: bool) -> None:
    plain = served.get(served.calendar())
    reply = served.get(served.calendar(), Accept_Encoding=accepted)
    assert (reply.headers.get("content-encoding") == "gzip") is packed
    assert (gzip.decompress(reply.body) if packed else reply.body) == plain.body
    # RFC 9110, 8.8.3: a strong tag is of one run of bytes.
    assert (reply.headers["etag"] == plain.headers["etag"]) is not packed
    again = served.get(
        served.calendar(), Accept_Encoding=accepted, If_None_Match=reply.headers["etag"]
    )
    assert (again.status, again.headers["etag"]) == (304, reply.headers["etag"])


def test_what_has_not_changed_is_not_sent_again(served: Front) -> None:
    path = served.calendar()
    first = served.get(path)
    etag, changed = first.headers["etag"], first.headers["last-modified"]
    value = etag.strip('"')
    later = format_datetime(parsedate_to_datetime(changed) + timedelta(days=1), usegmt=True)
    earlier = format_datetime(parsedate_to_datetime(changed) - timedelta(days=1), usegmt=True)
    unchanged = [
        {"If-None-Match": etag},
        {"If-None-Match": f"W/{etag}"},
        {"If-None-Match": f'"{value}-gzip"'},
        {"If-None-Match": f'"other", {etag}'},
        {"If-None-Match": "*"},
        {"If-Modified-Since": changed},
        {"If-Modified-Since": later},
        {"If-None-Match": etag, "If-Modified-Since": earlier},
    ]
    changed_since = [
        {"If-None-Match": '"other"'},
        {"If-None-Match": value},
        {"If-Modified-Since": earlier},
        {"If-Modified-Since": "yesterday"},
        # RFC 9110, 13.1.3: the date is not looked at when there is a tag.
        {"If-None-Match": '"other"', "If-Modified-Since": later},
    ]
    for headers in unchanged:
        for method in ("GET", "HEAD"):
            reply = served.ask(method, path, headers)
            assert (reply.status, reply.body) == (304, b""), headers
            assert reply.headers["etag"] == etag
            assert reply.headers["cache-control"] == "private, no-cache"
    for headers in changed_since:
        assert served.ask("GET", path, headers).status == 200, headers


# -- the last good bytes ----------------------------------------------------------------------


def test_calendars_are_served_whatever_else_is_wrong(changing: Front) -> None:
    path = changing.calendar()
    before = changing.get(path)
    journal = changing.house.data / JOURNAL_NAME
    for file in (changing.house.data / SHELF_NAME).rglob("lockup*.ics"):
        file.unlink()
    looked_again(changing)
    assert changing.get(path).body == before.body, "the files are gone"
    changing.house.profile_path.write_text("[site\n")
    with closing(sqlite3.connect(journal, isolation_level=None)) as held:
        held.execute("BEGIN EXCLUSIVE")
        assert changing.get(path).body == before.body, "the journal is locked"
        assert changing.get(path, If_None_Match=before.headers["etag"]).status == 304
    journal.unlink()
    assert changing.get(path).body == before.body, "the journal is gone"


@unhurried
def test_a_house_that_is_gone_has_a_calendar_no_more_and_one_left_alone_has_its_own_still(
    tmp_path: Path,
) -> None:
    two, one = SITE + TWO_COOPS + QUIET_MORNINGS + PEOPLE, SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE
    with household(tmp_path, body=two) as house, front(house, published=False) as pages:
        barn, walnut = (pages.calendar(feed=house_feed(coop)) for coop in ("barn", "walnut"))
        in_force(pages, two)
        before = {path: pages.get(path) for path in (barn, walnut)}
        assert {reply.status for reply in before.values()} == {200}
        assert before[barn].text.count("UID:lockup-barn-") > 50
        in_force(pages, one)
        house.wait(lambda: pages.get(barn).status == 410, "the gone house's calendar goes on")
        gone = pages.get(barn)
        assert gone.text == (
            "This address has ended. Ask whoever looks after Duskfold for a new one.\n"
        )
        assert gone.headers["content-type"].startswith("text/plain")
        assert pages.ask("HEAD", barn).status == 410
        assert pages.get(barn, If_None_Match=before[barn].headers["etag"]).status == 410
        # No file is made for the one that is left: it has the calendar of all evenings.
        lock_ups = pages.calendar(feed="lockup")
        assert not (house.data / SHELF_NAME / "orchard" / "house-walnut.ics").exists()
        alone = pages.get(walnut)
        assert (alone.status, alone.body) == (200, pages.get(lock_ups).body)
        # Both again: each has its own again, at the address of before.
        in_force(pages, two)
        house.wait(lambda: pages.get(barn).status == 200, "not back")
        assert "\r\nNAME:Orchard · Walnut\r\n" in pages.get(walnut).text


@unhurried
def test_whoever_may_only_have_another_name_and_a_site_that_is_gone_are_told_so(
    changing: Front,
) -> None:
    house = changing.house
    mine, tonight = changing.calendar("kim"), changing.tonight("kim")
    with house.journal() as journal, journal.writing() as writing:
        access.keep_only(writing.connection, "orchard", ["ana", "kim"], house.now)
        renamed = {"kim": "kimmy"}
        access.keep_only(writing.connection, "orchard", ["ana", "kimmy"], house.now, renamed)
        body = house.profile_path.read_text()
        kimmy = body.replace('"Kim"', '"Kimmy"')
        memos.accept(writing.connection, "orchard", kimmy, house.now)
    house.wait(lambda: changing.get(mine).status == 404, "not taken over")
    for path in (mine, tonight):
        reply = changing.get(path)
        assert (reply.status, "has another name there" in reply.text) == (404, True)
    # The answer: the address goes on.
    with house.journal() as journal, journal.writing() as writing:
        access.keep_only(writing.connection, "orchard", ["ana", "kim"], house.now)
        memos.accept(writing.connection, "orchard", body, house.now)
    house.wait(lambda: changing.get(mine).status == 200, "does not go on")
    # Another place in the same folder.
    with house.journal() as journal, journal.writing() as writing:
        other = body.replace('"Orchard"', '"Meadow"\nid = "meadow"')
        memos.accept(writing.connection, "meadow", other, house.now)
    house.wait(lambda: changing.get(mine).status == 410, "the old site's calendar goes on")
    for path in (mine, tonight):
        reply = changing.get(path)
        assert (reply.status, "This address has ended" in reply.text) == (410, True)


def in_force(pages: Front, body: str) -> None:
    """Takes the profile over and publishes by it, as the watch does."""
    house = pages.house
    house.write_profile(body + f'[web]\nlisten = "127.0.0.1:{pages.port}"\n')
    pages.publish()
    with house.journal() as journal, journal.writing() as writing:
        profile = pages.household().profile
        memos.note_houses(writing.connection, "orchard", [coop.id for coop in profile.coop])
        memos.accept(writing.connection, "orchard", pages.household().text, house.now)


def test_a_calendar_that_changed_is_served_within_seconds(changing: Front) -> None:
    path = changing.calendar()
    before = changing.get(path)
    changing.house.write_profile(changing.house.body.replace("hens = 12", "hens = 11"))
    changing.publish()
    changing.house.wait(lambda: changing.get(path).status == 200, "it is away")
    changing.house.wait(
        lambda: changing.get(path).headers["etag"] != before.headers["etag"], "it stays old"
    )
    assert "11" in changing.get(path).text


def test_the_first_calendars_are_waited_for(tmp_path: Path) -> None:
    with household(tmp_path) as house, front(house, published=False) as pages:
        path = pages.calendar()
        with ThreadPoolExecutor(1) as asking:
            answer = asking.submit(pages.get, path)
            pages.publish()
            assert answer.result().status == 200


# -- tonight.json -----------------------------------------------------------------------------


def test_tonight_is_told_to_programs_as_instants(served: Front) -> None:
    reply = served.get(served.tonight())
    assert reply.headers["content-type"] == "application/json"
    told = json.loads(reply.body)
    assert (told["version"], told["site"]) == (1, "orchard")
    [coop] = told["coops"]
    household = served.household()
    until = WINTER + timedelta(days=1)
    planned = plan(household.profile, NO_RECORDS, WINTER, until, household.catalogue)
    tonight, morning = (day.coops[0] for day in planned.days)
    assert coop == {
        "coop": "walnut",
        "name": "Walnut",
        "evening": "2026-12-21",
        "lockup": f"{tonight.lock_up.instant:%FT%TZ}",
        "latest": f"{tonight.lock_up.latest:%FT%TZ}",
        "state": "open",
        "expected": 12,
        "counted": None,
        "missing": 0,
        "unaccounted": 0,
        "at_least": False,
        "letout": f"{morning.let_out.instant:%FT%TZ}",
    }
    assert served.ask("POST", served.tonight()).status == 405
    assert served.post("/add", {"kind": "order"}, who="ana").status == 303
    [kept_in] = json.loads(served.get(served.tonight()).body)["coops"]
    assert kept_in["letout"] is None, "a door that opens by it would let them out"
    other = served.calendar().split("/")[2]
    assert served.get(f"/tonight/{other}/tonight.json").status == 404


# -- a person's own links and alarms ----------------------------------------------------------


def unfolded(reply: Reply) -> str:
    return reply.text.replace("\r\n ", "")


def test_each_lock_up_carries_its_persons_own_link_and_no_house(tmp_path: Path) -> None:
    with (
        household(tmp_path) as house,
        front(house, base_url="https://hens.example.org") as pages,
    ):
        mine, kims = (unfolded(pages.get(pages.calendar(who))) for who in ("ana", "kim"))
        urls = re.findall(r"\r\nURL:https://hens.example.org(/evening/\S+)\r\n", mine)
        assert len(urls) == mine.count("UID:lockup-") > 50
        assert len(urls) == mine.count("Answer here: https://hens.example.org/evening/")
        assert "walnut" not in "".join(urls)
        assert "X-DUSKFOLD" not in mine
        others = re.findall(r"\r\nURL:https://hens.example.org(/evening/\S+)\r\n", kims)
        assert set(urls).isdisjoint(others)
        [tonight] = [path for path in urls if f"/{WINTER}/" in path]
        tomorrow = next(path for path in urls if f"/{WINTER + timedelta(days=1)}/" in path)
        # Closed until noon of its evening, open for 48 hours from then.
        assert "has not begun" in pages.get(tomorrow).text
        assert pages.post(tomorrow, {"coop": "walnut", "kind": "closed"}).status == 422
        assert "Shut" in pages.get(tonight).text
        forged = tonight.replace("/ana/", "/kim/")
        assert pages.get(forged).status == 404
        house.set_clock(house.local("11:00", WINTER + timedelta(days=2)))
        assert pages.get(tonight).status == 200
        house.set_clock(house.local("12:30", WINTER + timedelta(days=2)))
        assert pages.get(tonight).status == 404
        for feed in ("jobs", "seasons"):
            assert "/evening/" not in pages.get(pages.calendar(feed=feed)).text


def test_without_an_address_of_the_pages_there_is_no_link(served: Front) -> None:
    text = unfolded(served.get(served.calendar(feed="all", alarms=True)))
    assert "URL:" not in text
    assert "X-DUSKFOLD" not in text
    assert text.count("TRANSP:TRANSPARENT") == text.count("BEGIN:VEVENT")
    assert text.count("X-MICROSOFT-CDO-BUSYSTATUS:FREE") == text.count("BEGIN:VEVENT")
    assert text.count("CATEGORIES:") == text.count("BEGIN:VEVENT")
    of_the_evening = {"Lock-up", "Let-out", "Free range"}
    assert of_the_evening < set(re.findall(r"CATEGORIES:(.+)\r\n", text))


def test_an_alarm_rings_as_the_first_reminder_or_as_long_before_as_was_chosen(
    tmp_path: Path,
) -> None:
    with household(tmp_path) as house:
        house.body = house.body.replace("[reminders]", '[reminders]\nheads_up = "45 min"', 1)
        with front(house) as pages:
            usual = unfolded(pages.get(pages.calendar(alarms=True)))
            assert set(re.findall(r"TRIGGER:(\S+)", usual)) == {"-PT45M"}
            page = pages.get("/subscribe?alarms=1&lead=120", who="ana").text
            found = re.search(r'value="[^"]*(/calendar/[^"]*lockup[^"]*120-min.ics)"', page)
            assert found
            early = unfolded(pages.get(found[1]))
            assert set(re.findall(r"TRIGGER:(\S+)", early)) == {"-PT120M"}
            assert early.count("BEGIN:VALARM") == early.count("UID:lockup-")


def test_what_the_page_says_of_lengths_is_what_is_on_the_wire(served: Front) -> None:
    page = served.get("/subscribe", who="ana").text
    for feed in ("lockup", "doors", "jobs"):
        days = re.findall(
            r"UID:\S+-(\d{4}-\d\d-\d\d)@", served.get(served.calendar(feed=feed)).text
        )
        last = date.fromisoformat(max(days))
        assert f"It runs to {last.day} {last:%B %Y}." in page


def test_a_scanned_code_opens_a_page_and_not_a_calendar(served: Front) -> None:
    token = served.calendar().split("/")[2]
    page = served.get(f"/subscribe/{token}", User_Agent="Mozilla/5.0 (iPhone)")
    assert page.headers["content-type"].startswith("text/html")
    assert "webcal:" in page.text
    assert served.calendar() in page.text
    assert served.get(f"/subscribe/{'x' * 43}").status == 404
    assert served.get(f"/subscribe/{served.tonight().split('/')[2]}").status == 404
