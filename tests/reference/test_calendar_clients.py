"""Real programs subscribe: vdirsyncer (HTTP), khal (what a person then sees), and the parsers."""

import gzip
import os
import re
import subprocess
import sys
from collections.abc import Iterator
from datetime import timedelta
from pathlib import Path

import pytest

from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.feeds.event import FeedEvent
from scheduler.feeds.planned_events import events
from tests.faults.house import WINTER, household
from tests.reference.test_feed_parsers import PARSERS, Reader
from tests.unhurried import unhurried
from tests.web.front import Front, front

PROGRAMS = Path(sys.executable).parent


class Subscriber:
    """Somebody's computer that subscribes to one calendar."""

    def __init__(self, folder: Path, url: str) -> None:
        for program in ("vdirsyncer", "khal"):
            if not (PROGRAMS / program).exists():
                pytest.skip(f"{program} is not installed")
        self.folder = folder
        self.calendar = folder / "hens"
        self.calendar.mkdir()
        (folder / "vdirsyncer.conf").write_text(
            f'[general]\nstatus_path = "{folder}/status"\n'
            '[pair hens]\na = "far"\nb = "near"\ncollections = null\n'
            'conflict_resolution = "a wins"\n'
            f'[storage far]\ntype = "http"\nurl = "{url}"\n'
            f'[storage near]\ntype = "filesystem"\npath = "{self.calendar}"\nfileext = ".ics"\n'
        )
        (folder / "khal.conf").write_text(
            f"[calendars]\n[[hens]]\npath = {self.calendar}\nreadonly = True\n"
            "[locale]\nlocal_timezone = Europe/London\ndefault_timezone = Europe/London\n"
            "timeformat = %H:%M\ndateformat = %Y-%m-%d\nlongdateformat = %Y-%m-%d\n"
            "datetimeformat = %Y-%m-%d %H:%M\nlongdatetimeformat = %Y-%m-%d %H:%M\n"
            f"[sqlite]\npath = {folder}/khal.db\n"
        )
        self._run("vdirsyncer", "discover")

    def synchronise(self) -> str:
        """Fetches what is new; what vdirsyncer says of it."""
        return self._run("vdirsyncer", "sync")

    def files(self) -> dict[str, tuple[int, bytes]]:
        """Each event's file with its time and bytes."""
        return {
            path.name: (path.stat().st_mtime_ns, path.read_bytes())
            for path in self.calendar.iterdir()
        }

    def shown(self, days: int) -> list[str]:
        """What khal lists: date, from, to, title."""
        form = "{start-date}|{start-time}|{end-time}|{title}"
        listed = self._run(
            "khal", "list", WINTER.isoformat(), f"{days}d", "--once", "--day-format", "", "-f", form
        )
        return sorted(line for line in listed.splitlines() if line.strip())

    def _run(self, program: str, *arguments: str) -> str:
        configured = ["-c", str(self.folder / f"{program}.conf")]
        done = subprocess.run(
            [PROGRAMS / program, *configured, *arguments],
            check=False,
            capture_output=True,
            text=True,
            input="y\n" * 9,
            env={**os.environ, "HOME": str(self.folder), "TZ": "Europe/London"},
            timeout=60,
        )
        assert done.returncode == 0, done.stdout + done.stderr
        return done.stdout + done.stderr


@pytest.fixture
def pages(tmp_path: Path) -> Iterator[Front]:
    (tmp_path / "house").mkdir()
    with household(tmp_path / "house") as house, front(house) as served:
        yield served


def expected(pages: Front, days: int) -> list[str]:
    """What somebody should see of the evenings."""
    household = pages.household()
    last = WINTER + timedelta(days=days - 1)
    planned = plan(household.profile, NO_RECORDS, WINTER, last, household.catalogue)
    return sorted(_line(pages, event) for event in events(planned) if event.part == "lockup")


def _line(pages: Front, event: FeedEvent) -> str:
    zone = pages.house.zone
    start, end = event.start.astimezone(zone), event.end.astimezone(zone)  # type: ignore[union-attr] # evenings are instants
    return f"{start:%Y-%m-%d}|{start:%H:%M}|{end:%H:%M}|{event.title}"


def uids(calendar: bytes) -> set[bytes]:
    """Which events it holds."""
    return set(re.findall(rb"\nUID:(\S+)", calendar))


@unhurried
@pytest.mark.reference
def test_vdirsyncer_and_khal_show_the_evenings_unchanged_and_changed(
    pages: Front, tmp_path: Path
) -> None:
    subscriber = Subscriber(tmp_path, pages.url + pages.calendar())
    subscriber.synchronise()
    first = subscriber.files()
    assert len(first) > 90
    assert subscriber.shown(30) == expected(pages, 30)

    # Nothing has changed: nothing is fetched anew, written anew, or shown twice.
    pages.publish()
    subscriber.synchronise()
    assert subscriber.files() == first
    assert subscriber.shown(30) == expected(pages, 30)

    # Eleven birds instead of twelve, and an earlier evening: the same events, told anew.
    path = pages.calendar()
    before = pages.get(path)
    changed = pages.house.body.replace("hens = 12", "hens = 11").replace(
        "[[coop]]", '[lockup]\nnot_after = "16:10"\n[[coop]]', 1
    )
    pages.house.write_profile(changed)
    pages.publish()
    pages.house.wait(
        lambda: pages.get(path).headers["etag"] != before.headers["etag"], "it is the old one"
    )
    subscriber.synchronise()
    assert subscriber.files() != first
    # vdirsyncer gives events names of its own, by their content: identity is told on the wire.
    assert uids(pages.get(path).body) == uids(before.body), "an evening has another identity"
    assert subscriber.shown(30) == expected(pages, 30)
    assert any("|16:10|" in line for line in subscriber.shown(30))


@pytest.mark.parametrize("read", PARSERS)
@pytest.mark.parametrize("feed", ["lockup", "all"])
@unhurried
def test_parsers_read_what_came_over_the_wire(pages: Front, read: Reader, feed: str) -> None:
    packed = pages.get(pages.calendar(feed=feed, alarms=True), Accept_Encoding="gzip").body
    found = read(gzip.decompress(packed))
    household = pages.household()
    last = WINTER + timedelta(days=27)
    planned = plan(household.profile, NO_RECORDS, WINTER, last, household.catalogue)
    told = [event for event in events(planned) if feed in {"all", event.part}]
    assert len(told) >= 28
    for event in told:
        assert found[event.uid] == (event.start, event.end, event.title)
