"""`duskfold demo`: the pages of a made-up garden, which are gone when it ends."""

import os
import re
import signal
import subprocess
import sys
import urllib.error
import urllib.parse
import urllib.request
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from http.cookiejar import CookieJar
from pathlib import Path

import pytest
from freezegun import freeze_time

from scheduler.cli.demo import made_up
from scheduler.machine.clock import ShiftedClock, SystemClock
from scheduler.service.data_place import DataPlace
from tests.unhurried import unhurried
from tests.web.front import PAGES, free_port

NOTICE = "This is a made-up garden."
PATIENCE_S = 60


@dataclass
class Demo:
    """A running demo, and a browser that is signed in there."""

    process: "subprocess.Popen[str]"
    said: str
    url: str
    temporary: Path
    browser: urllib.request.OpenerDirector

    def ask(self, path: str, **fields: str) -> str:
        """The page, or where the form leads to."""
        headers = {"Sec-Fetch-Site": "same-origin"}
        body = urllib.parse.urlencode(fields).encode() if fields else None
        asked = urllib.request.Request(f"{self.url}{path}", body, headers)  # noqa: S310 - our own
        try:
            with self.browser.open(asked, timeout=PATIENCE_S) as answer:
                return str(answer.read().decode())
        except urllib.error.HTTPError as refused:
            return refused.read().decode()

    def stop(self, number: int) -> int:
        """What it ends with."""
        self.process.send_signal(number)
        return self.process.wait(PATIENCE_S)


Begin = Callable[[], Demo]


@pytest.fixture
def begin(tmp_path: Path) -> Iterator[Begin]:
    """Starts a demo at 16:40 on a winter's day."""
    begun: list[subprocess.Popen[str]] = []

    def started() -> Demo:
        temporary, home = tmp_path / "temporary", tmp_path / "home"
        temporary.mkdir()
        home.mkdir()
        listen = f"127.0.0.1:{free_port()}"
        command = [sys.executable, "-m", "scheduler", "demo", "--date", "2026-12-21"]
        # What a household has set for itself is none of the demo's.
        own = {"DUSKFOLD_KEY_FILE": "/nowhere", "DUSKFOLD_JOURNAL": "postgresql://nowhere/none"}
        process = subprocess.Popen(
            [*command, "--at", "16:40", "--listen", listen],
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            text=True,
            env={**os.environ, **own, "TMPDIR": str(temporary), "HOME": str(home)},
        )
        begun.append(process)
        assert process.stdout
        said = ""
        for line in process.stdout:
            said += line
            if "Ctrl-C" in line:
                break
        found = re.search(r"(http://\S+)(/sign-in/\S+)", said)
        assert found, said
        browser = urllib.request.build_opener(urllib.request.HTTPCookieProcessor(CookieJar()))
        demo = Demo(process, said, found[1], temporary, browser)
        demo.ask("/robots.txt")
        demo.ask(found[2], go="1")
        return demo

    yield started
    for one in begun:
        one.kill()
        one.communicate()


@unhurried
def test_each_page_says_that_the_garden_is_made_up_and_taps_count_until_it_ends(
    begin: Begin,
) -> None:
    demo = begin()
    assert NOTICE in demo.said
    assert "16:40 on Monday 21 December 2026" in demo.said
    for path in (*PAGES, "/nothing-of-the-kind"):
        page = demo.ask(path)
        assert NOTICE in page, path
        assert "Do not rely on the reminders" not in page, path
        assert "You can rely on" not in page, path
    assert "You are not signed in" not in demo.ask("/")
    assert "shut, 8 of 9 in" in demo.ask("/diary")  # the week before was lived through
    assert "shut, 7 of 9 in" not in demo.ask("/diary")
    said = dict(re.findall(r'name="(coop|day|turn|card)" value="([^"]*)"', demo.ask("/"))[:4])
    assert said["coop"] == "walnut-house"
    demo.ask("/door", **said, do="shut", count="7")
    assert "shut, 7 of 9 in" in demo.ask("/diary")
    page = demo.ask("/subscribe")
    [address] = re.findall(r'http://[^"\s]+/tonight\.json', page)
    assert '"reliable":false' in demo.ask(urllib.parse.urlsplit(address).path).replace(" ", "")
    assert [one.name[:14] for one in demo.temporary.iterdir()] == ["duskfold-demo-"]
    assert demo.stop(signal.SIGTERM) == 0
    assert list(demo.temporary.iterdir()) == []
    assert list((demo.temporary.parent / "home").rglob("*")) == []


@unhurried
@pytest.mark.parametrize("number", [signal.SIGINT, signal.SIGHUP], ids=["ctrl-c", "terminal-shut"])
def test_nothing_is_left_however_it_is_asked_to_end(begin: Begin, number: int) -> None:
    demo = begin()
    assert demo.stop(number) == 0
    assert list(demo.temporary.iterdir()) == []


def test_all_that_cannot_be_used_is_told_at_once() -> None:
    command = [sys.executable, "-m", "scheduler", "demo", "--at", "25:10", "--date", "soon"]
    done = subprocess.run(
        [*command, "--listen", "8641"], capture_output=True, text=True, check=False
    )
    assert done.returncode == 2
    assert done.stdout == ""
    for option in ("--at", "--date", "--listen"):
        assert option in done.stderr


@freeze_time("2026-06-20T22:30:00Z")  # half past midnight there
def test_without_an_hour_it_begins_this_evening_half_an_hour_before_lock_up(
    tmp_path: Path,
) -> None:
    garden = made_up(DataPlace(tmp_path), "127.0.0.1:8641", None, None)
    coops = garden.almanac.coops(date(2026, 6, 21))
    ahead = min(coop.lock_up.instant for coop in coops) - garden.begins
    assert timedelta(minutes=30) <= ahead < timedelta(minutes=31)


def test_an_hour_is_meant_by_the_clock_there(tmp_path: Path) -> None:
    garden = made_up(DataPlace(tmp_path), "127.0.0.1:8641", time(16, 40), date(2026, 12, 21))
    assert garden.begins == datetime(2026, 12, 21, 15, 40, tzinfo=UTC)
    assert [person.name for person in garden.household.profile.person] == ["Robin", "Kim", "Jo"]
    assert garden.almanac.everybody == ()  # nobody has an address


def test_the_clock_runs_on_from_the_chosen_hour() -> None:
    ahead = timedelta(days=100)
    clock = ShiftedClock(ahead)
    before, there, after = SystemClock().read(), clock.read(), SystemClock().read()
    assert before.wall + ahead <= there.wall <= after.wall + ahead
    assert before.monotonic_s <= there.monotonic_s <= after.monotonic_s
    assert not there.synchronised
