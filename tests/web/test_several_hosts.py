"""The pages of two hosts over one journal: whichever answers, it is the same household."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

from scheduler.service.health.pulses import every_pulse
from tests.faults.several_hosts import Hosts, hosts
from tests.sinks.postgres import Postgres
from tests.unhurried import unhurried
from tests.web.front import PAGES, Front, link_of

pytestmark = [pytest.mark.postgresql, unhurried]


@dataclass
class Pair:
    """Two hosts, and the pages of each."""

    hosts: Hosts
    one: Front
    other: Front


@pytest.fixture
def pair(tmp_path: Path, postgres: Postgres) -> Iterator[Pair]:
    with hosts(tmp_path, postgres) as found:
        first, second = found.houses
        one = Front(first)
        other = Front(second, beside=one)
        found.start(0)
        found.start(1)
        found.at("15:50")
        one.start()
        other.start()
        try:
            yield Pair(found, one, other)
        finally:
            for pages in (one, other):
                if pages.process is not None:
                    pages.stop()


def test_who_signs_in_at_one_is_signed_in_at_the_other(pair: Pair) -> None:
    cookie = pair.one.cookie("ana")
    for path in PAGES:
        answers = [pages.get(path, cookie=cookie) for pages in (pair.one, pair.other)]
        assert [one.status for one in answers] == [200, 200], path
    pair.one.post("/people", {"do": "sign-out", "session": "all"}, who="ana")


def test_a_calendar_has_the_same_bytes_and_tags_at_both(pair: Pair) -> None:
    path = pair.one.calendar()
    house = pair.hosts.houses[0]
    house.wait(lambda: pair.one.get(path).status == 200, "no calendar")
    house.wait(lambda: pair.other.get(path).status == 200, "no calendar at the other")
    first, second = pair.one.get(path), pair.other.get(path)
    assert first.body == second.body
    assert first.headers["etag"] == second.headers["etag"]
    assert first.headers["last-modified"] == second.headers["last-modified"]
    known = pair.other.get(path, if_none_match=first.headers["etag"])
    assert (known.status, known.body) == (304, b"")


def test_an_answer_at_one_is_seen_at_the_other_at_once(pair: Pair) -> None:
    path = link_of(pair.one)
    assert "Shut" in pair.other.get(path).text
    pair.hosts.say(count=12)
    for pages in (pair.one, pair.other):
        assert "12 in" in pages.get("/", who="ana").text
    pair.hosts.at("17:30")
    titles = pair.hosts.houses[0].phone("ana")
    assert not [title for title in titles if "door shut?" in title.lower()]


def test_while_the_server_is_away_the_pages_say_so_and_come_back(pair: Pair) -> None:
    cookie = pair.one.cookie("ana")
    path = pair.one.calendar()
    house = pair.hosts.houses[0]
    house.wait(lambda: pair.one.get(path).status == 200, "no calendar")
    pair.hosts.server_down()
    assert pair.one.get("/", cookie=cookie).status == 503
    assert "watch the door yourself" in pair.one.get("/", cookie=cookie).text
    assert pair.one.get(path).status == 200, "a calendar needs no journal"
    pair.hosts.server_up()
    house.wait(lambda: pair.one.get("/", cookie=cookie).status == 200, "they do not come back")


def test_both_hosts_stand_on_the_status_page(pair: Pair) -> None:
    text = pair.other.get("/status", who="ana").text
    assert text.count("checked") >= 2
    with pair.hosts.houses[1].journal() as journal:
        found = every_pulse(pair.hosts.houses[1].place, journal, pair.hosts.houses[1].readings)
    assert len(found) == 2


def test_an_address_that_is_none_to_listen_on_is_refused(pair: Pair) -> None:
    house = pair.hosts.houses[1]
    pair.other.stop()
    house.environment["DUSKFOLD_LISTEN"] = "everywhere"
    with pytest.raises(AssertionError, match="DUSKFOLD_LISTEN"):
        pair.other.start()
    pair.other.process = None
