"""S1–S6 of the entry: who wants in, and what a stranger or somebody who has left can still do."""

import re
import select
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import suppress
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.cli.serving import beside
from scheduler.service.people.access import renew, renew_answers
from scheduler.web.memory_limit import MOST_BYTES
from tests.faults.house import ROOT, household
from tests.unhurried import unhurried
from tests.web.front import Front, front, link_of

MEGABYTE = 1_000_000
FORM = "application/x-www-form-urlencoded"
ASK = b"GET / HTTP/1.1\r\n\r\n"


@pytest.fixture
def watched(tmp_path: Path) -> Iterator[Front]:
    """The pages beside a watch, at four o'clock."""
    with household(tmp_path) as house:
        house.set_clock(house.local("16:00"))
        with front(house, watched=True) as pages:
            yield pages


@pytest.fixture
def alone(tmp_path: Path) -> Iterator[Front]:
    """The pages without a watch, at twenty past four."""
    with household(tmp_path) as house, front(house) as pages:
        house.set_clock(house.local("16:20"))
        yield pages


# -- S1 -------------------------------------------------------------------------------------


def resident_bytes(pages: Front) -> int:
    """The memory that the process of the pages has had at most."""
    assert pages.process
    status = Path(f"/proc/{pages.process.pid}/status").read_text()
    found = re.search(r"VmHWM:\s+(\d+) kB", status)
    assert found
    return int(found[1]) * 1024


def pour(pages: Front, most_bytes: int, until: float) -> int:
    """Sends whole requests as fast as they are taken, reads what comes back; how much was sent."""
    sent = 0
    with (
        suppress(ConnectionError),
        socket.create_connection(("127.0.0.1", pages.port), timeout=5) as line,
    ):
        line.sendall(ASK * 1666)  # together less than one request may have
        assert line.recv(1)
        line.setblocking(False)
        rest = ASK * 1666
        while time.monotonic() < until:
            wanted = [line] if sent < most_bytes else []
            readable, writable, _ = select.select([line], wanted, [], 1.0)
            if (readable and not line.recv(1_000_000)) or not (readable or writable):
                break
            if writable:
                some = line.send(rest)
                sent, rest = sent + some, rest[some:] or ASK * 1666
    return sent


@unhurried
def test_s1_requests_sent_ahead_of_the_answers_take_no_memory(watched: Front) -> None:
    before = resident_bytes(watched)
    sent, until = 0, time.monotonic() + 15.0
    while sent < 8 * MEGABYTE and time.monotonic() < until:
        sent += pour(watched, 8 * MEGABYTE - sent, until)
    assert sent > MEGABYTE
    assert resident_bytes(watched) - before < 40 * MEGABYTE
    assert watched.get("/", who="ana").status == 200


def test_s1_of_many_requests_at_once_each_is_answered_in_its_turn(watched: Front) -> None:
    paths = ["/live", "/robots.txt", "/nowhere"] * 30
    asked = "".join(f"GET {path} HTTP/1.1\r\nHost: localhost\r\n\r\n" for path in paths[:-1])
    last = f"GET {paths[-1]} HTTP/1.1\r\nHost: localhost\r\nConnection: close\r\n\r\n"
    got = watched.raw((asked + last).encode())
    statuses = [int(one) for one in re.findall(rb"HTTP/1\.1 (\d{3}) ", got)]
    assert statuses[:2] == [200, 200]
    assert len(statuses) == len(paths)
    assert set(statuses[2::3]) <= {404, 429}
    assert set(statuses[0::3] + statuses[1::3]) == {200}


def test_s1_the_pages_may_take_only_so_much_memory_and_are_the_first_to_go(watched: Front) -> None:
    assert watched.process
    about = Path(f"/proc/{watched.process.pid}")
    [limit] = re.findall(r"Max data size\s+(\d+)", (about / "limits").read_text())
    assert int(limit) == MOST_BYTES
    assert int((about / "oom_score_adj").read_text()) >= 500


# -- S2 -------------------------------------------------------------------------------------

ANA = '[[person]]\nname = "Ana"\npush = "{push}/ana-{secret}"\n'
ALL_IN = {"coop": "walnut", "day": "2026-12-21", "turn": "0", "expected": "12", "do": "all-in"}


def written(pages: Front, body: str, number: int) -> None:
    """Another profile, once it is followed."""
    house = pages.house
    house.write_profile(body)
    house.wait(lambda: house.pulse and house.pulse.profile_number == number, "not followed")
    house.settle()


def let_in(pages: Front, cookie: str, person: str, screen: str = "") -> str:
    """The cookie of a device that somebody signed in has let in: a shared one, with its name."""
    form = {"Cookie": cookie, "Content-Type": FORM, "Sec-Fetch-Site": "same-origin"}
    body = f"screen={screen}" if screen else f"person={person}"
    path = "/people/screen" if screen else "/people/invite"
    made = pages.ask("POST", path, form, body.encode())
    [path] = set(re.findall(r"/sign-in/[\w-]+", made.text))
    return pages.post(path, {}).headers["set-cookie"].partition(";")[0]


def is_in(pages: Front, cookie: str) -> bool:
    """Whether the device is signed in."""
    return pages.ask("GET", "/week", {"Cookie": cookie}).status == 200


@unhurried
def test_s2_who_was_taken_out_is_told_nothing_answers_nothing_and_has_let_nobody_in(
    watched: Front,
) -> None:
    house, whole = watched.house, watched.house.body
    anas, kims = watched.cookie("ana"), watched.cookie("kim")
    through_ana = let_in(watched, anas, "kim")
    through_both = let_in(watched, through_ana, "kim")
    through_kim = let_in(watched, kims, "kim")
    screens = [let_in(watched, one, "screen", "Barn") for one in (anas, through_ana, kims)]
    waiting = watched.invitation("ana")
    calendar, tonight, link = watched.calendar(), watched.tonight(), link_of(watched)
    house.at("16:19")
    rung, kim_had = house.phone_events("ana"), house.phone("kim")
    now = next(one for one in reversed(rung) if "actions" in one.said)

    written(watched, whole.replace(ANA, ""), 2)
    house.at("16:27")
    house.at("16:34")
    assert house.phone_events("ana") == rung, "told after she was taken out"
    assert [title.partition(":")[0] for title in house.phone("kim")[len(kim_had) :]] == [
        "Lock up now",
        "Kim and Barn (shared screen) are signed out wherever Ana let them in",
        "Ana is no longer reminded",
        "Lock up, not confirmed yet",
        "Nobody has said it is shut",
    ], "the next one takes her steps, from the last she alone was told"
    house.push.press(now)
    assert watched.post(link, ALL_IN).status == 404
    devices = [is_in(watched, one) for one in (anas, through_ana, through_both, through_kim, kims)]
    assert devices == [False, False, False, True, True]
    assert [is_in(watched, one) for one in screens] == [False, False, True]
    assert watched.get(waiting).status == 404
    assert house.rows("SELECT * FROM closing") == []

    # Somebody of the same name comes: she is somebody new.
    written(watched, whole, 3)
    house.push.press(now)
    assert watched.post(link, ALL_IN).status == 404
    house.wait(lambda: watched.get(calendar).status == 410, "the old address is hers")
    assert watched.get(tonight).status == 410
    assert not is_in(watched, anas)
    house.at("16:44")
    assert "trouble" not in " ".join(row[0] for row in house.rows("SELECT step FROM delivery"))
    assert house.rows("SELECT * FROM closing") == []
    new = house.phone_events("kim")[-1]
    house.push.press(new)
    house.wait(lambda: house.rows("SELECT who FROM closing") == [("Kim",)], "Kim's was not taken")


def test_s2_when_everybody_of_an_evening_has_left_those_who_came_are_told(watched: Front) -> None:
    house, whole = watched.house, watched.house.body
    house.at("16:19")
    eve = '[[person]]\nname = "Eve"\npush = "{push}/eve-{secret}"\n'
    people = whole.index('[[person]]\nname = "Ana"'), whole.index("[mail]")
    written(watched, whole[: people[0]] + eve + whole[people[1] :], 2)
    house.at("16:34")
    assert house.phone("eve")[-1].startswith("Nobody has said it is shut")
    assert house.phone("kim") == []
    house.say(count=12)


# -- S3 -------------------------------------------------------------------------------------


def test_s3_by_a_link_birds_leave_the_flock_only_out_of_those_missing(watched: Front) -> None:
    house, anas, kims = watched.house, link_of(watched), link_of(watched, "kim")
    house.at("16:19")

    def said(link: str, do: str, count: str = "") -> int:
        rows = house.rows("SELECT count(*) FROM closing WHERE undone_at IS NULL")
        form = {**ALL_IN, "turn": str(rows[0][0]), "do": do, "count": count}
        return watched.post(link, form).status

    for do, count in (("dead", "11"), ("elsewhere", "11"), ("found", "1"), ("given-up", "1")):
        assert said(anas, do, count) == 422, (do, "no search runs")
    assert house.rows("SELECT * FROM closing") == []
    assert said(anas, "some-missing", "10") == 303
    for do in ("dead", "given-up", "elsewhere"):
        assert said(anas, do, "3") == 422, (do, "more than are missing")
    for do in ("dead", "given-up"):
        assert said(kims, do, "1") == 422, "Kim is not on duty"
    assert said(anas, "dead", "1") == 303
    assert said(kims, "found", "1") == 303
    kept = house.rows("SELECT kind, count, who FROM closing ORDER BY number")
    assert kept == [("closed", 10, "Ana"), ("dead", 1, "Ana"), ("found", 1, "Kim")]
    # Whoever is signed in says what they know.
    form = {**ALL_IN, "turn": "3", "do": "elsewhere", "count": "2"}
    assert watched.post("/door", form, who="kim").status == 303
    assert house.rows("SELECT kind, count FROM closing ORDER BY number")[3:] == [("elsewhere", 2)]


# -- S4 -------------------------------------------------------------------------------------


def test_s4_a_renewed_return_topic_ends_every_button_sent_before(watched: Front) -> None:
    house = watched.house
    house.at("16:19")
    old = house.phone_events("ana")[-1]
    with house.journal() as journal:
        renew_answers(journal, "orchard", house.now)
    house.settle()
    house.push.wait_streams()
    house.at("16:27")
    new = house.phone_events("ana")[-1]
    assert old.said["actions"][0]["url"] != new.said["actions"][0]["url"]
    house.push.press(old)
    house.push.press(new)
    house.wait(lambda: house.rows("SELECT * FROM closing"), "the new button was not heard")
    assert house.rows("SELECT who, count FROM closing") == [("Ana", 12)]


@unhurried
def test_s4_an_init_profile_is_its_owners_alone_and_has_a_long_topic(tmp_path: Path) -> None:
    path = tmp_path / "duskfold.toml"
    given = "--latitude 51.5 --longitude -0.1 --hens 6 --person Ana --push https://push.example.net"
    command = [sys.executable, "-m", "scheduler", "--profile", str(path), "init", *given.split()]
    subprocess.run(command, check=True, cwd=ROOT, capture_output=True)
    assert path.stat().st_mode & 0o777 == 0o600
    assert re.search(r'push = "https://push\.example\.net/hens-[0-9a-f]{24}"', path.read_text())


# -- S16 ------------------------------------------------------------------------------------


def test_s16_everybody_hears_quietly_who_is_let_in_and_what_is_renewed(watched: Front) -> None:
    house = watched.house
    let_in(watched, watched.cookie("ana"), "kim")
    house.settle()
    assert house.phone("ana")[-2:] == house.phone("kim")
    assert house.phone("kim") == [
        "Ana has made a sign-in link for Kim",
        "Kim has signed in on another device: unknown",
    ]
    said = house.phone_events("ana")[-1].said
    assert said["priority"] <= 2
    assert said["message"].startswith("Ana made the link. If that was not intended")
    with house.journal() as journal:
        renew(journal, "orchard", "kim", house.now, tell=house.household().profile)
        renew_answers(journal, "orchard", house.now, tell=house.household().profile)
    house.settle()
    assert house.phone("ana")[-2:] == [
        "Kim has new links and calendar addresses",
        "Buttons on earlier messages no longer work",
    ]
    for line in ("entry.invited at_the_terminal=False", "entry.signed_in"):
        assert line in watched.log
    assert "Kim" not in watched.log


@unhurried
def test_s16_last_used_is_kept_to_the_day_and_ninety_idle_days_end_a_session(
    alone: Front,
) -> None:
    house, cookie = alone.house, alone.cookie("ana")

    def seen() -> int:
        [(at,)] = house.rows("SELECT seen_at FROM session")
        return int(at)

    begun = seen()
    assert is_in(alone, cookie)
    house.set_clock(house.now + timedelta(hours=20))
    assert is_in(alone, cookie)
    assert seen() == begun, "a look changes nothing that day"
    house.set_clock(house.now + timedelta(hours=5))
    assert is_in(alone, cookie)
    house.wait(lambda: seen() > begun, "not written down")
    assert "last used" in alone.get("/people", who="ana").text
    house.set_clock(house.now + timedelta(days=89))
    assert is_in(alone, cookie)
    house.set_clock(house.now + timedelta(days=91))
    assert not is_in(alone, cookie)


# -- S6 -------------------------------------------------------------------------------------

TRAP = """
from pathlib import Path
Path({marker!r}).touch()
"""


@unhurried
def test_s6_no_code_is_run_from_the_working_directory(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    here, marker = tmp_path / "here", tmp_path / "sprung"
    (here / "scheduler").mkdir(parents=True)
    for name in ("scheduler/__init__", "scheduler/__main__", "typer", "uvicorn", "sitecustomize"):
        (here / f"{name}.py").write_text(TRAP.format(marker=str(marker)))
    with household(tmp_path) as house, front(house) as pages:
        pages.stop()
        monkeypatch.chdir(here)
        kept = beside(house.profile_path, house.place)
        kept.start()
        try:
            house.wait(pages.answers, "the pages did not start")
        finally:
            kept.stop()
    assert not marker.exists()
