"""A house that nobody has set up: the pages of a first run, the reminders once there is a profile.

What `duskfold serve` puts together is put together here, with a clock that tests drive.
"""

import http.client
import json
import os
import re
import signal
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from types import MappingProxyType
from urllib.parse import urlencode

from scheduler.machine.paths import PROFILE_NAME
from scheduler.service.data_place import DataPlace
from scheduler.service.first_run.first_key import new_key
from scheduler.service.first_run.so_far import SoFar, read_so_far
from scheduler.service.health.tick_file import read_pulse
from scheduler.service.household.open_profile import Household, open_profile
from tests import warm
from tests.faults.house import LIMITS, LONDON, PATIENCE_S, ROOT, WINTER
from tests.sinks.push import PushSink
from tests.web.front import Reply, free_port

# One house and two people, as little as can be said: fields by step.
STEPS: Mapping[str, Mapping[str, str]] = {
    "place": {"typed": "51.5, -0.1"},
    "dusk": {"name": "Orchard", "region": "UK", "units": "metric"},
    "house-1": {"name": "Walnut", "minutes": "14"},
    "birds-1": {"hens": "12", "roosters": "0", "kind": "medium", "arrived": ""},
    "run-1": {"run": "secure", "ranging": "supervised"},
    "people": {"you": "Ana", "others": "Ben"},
    "web": {"where": "home", "address": ""},
    "reach-1": {"how": "later", "server": "", "mail": ""},
    "reach-2": {"how": "nobody", "server": "", "mail": ""},
    "duty": {"monday": "Ben", "tuesday": "Ana"},
}


@dataclass
class FirstHouse:
    """The data folder of a machine that was just started, and one browser's cookies."""

    folder: Path
    push: PushSink
    port: int = field(default_factory=free_port)
    cookies: dict[str, str] = field(default_factory=dict)
    processes: list[warm.Forked] = field(default_factory=list)
    pages: warm.Forked | None = None
    address: str = "127.0.0.1"  # that is listened on
    runs: int = 0

    def __post_init__(self) -> None:
        self.data.mkdir(mode=0o700)
        self.it_is("12:30")

    @property
    def data(self) -> Path:
        return self.folder / "data"

    @property
    def place(self) -> DataPlace:
        return DataPlace(self.data)

    @property
    def profile_path(self) -> Path:
        return self.data / PROFILE_NAME

    @property
    def base(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def house(self) -> "FirstHouse":
        """As a browser's test finds the house behind the pages."""
        return self

    @property
    def url(self) -> str:
        return self.base

    @property
    def base_url(self) -> str:
        """Nobody has said where the pages are reached."""
        return ""

    @property
    def so_far(self) -> SoFar:
        """What the file has of the answers."""
        return read_so_far(self.data)

    @property
    def now(self) -> datetime:
        """What the driven clock shows."""
        return datetime.fromtimestamp(time.time() + self._wall_s, UTC)

    @property
    def log(self) -> str:
        """Everything the processes said."""
        return "".join(path.read_text() for path in sorted(self.folder.glob("log-*.txt")))

    def household(self) -> Household:
        """What became of the answers."""
        found = open_profile(self.profile_path, self.now)
        assert isinstance(found, Household), found
        return found

    def it_is(self, clock: str) -> None:
        """Sets the driven clock on the winter's day."""
        hour, minute = map(int, clock.split(":"))
        at = datetime(WINTER.year, WINTER.month, WINTER.day, hour, minute, tzinfo=LONDON)
        self._wall_s = at.timestamp() - time.time()
        draft = self.folder / ".clock"
        ahead = {"wall_s": self._wall_s, "boot_s": self._wall_s, "synchronised": True}
        draft.write_text(json.dumps(ahead))
        draft.replace(self.folder / "clock.json")

    # -- the processes --------------------------------------------------------------------------

    def start(self) -> None:
        """Starts the pages; returns when they answer."""
        self.pages = self._forked("tests.web.root", {"files": 0, "first_run": True})
        self._wait(lambda: self.ask("GET", "/robots.txt").status == 200)

    def remind(self) -> None:
        """Starts the reminders; returns after their first tick."""
        more = {"period_s": 0.1, "limits": LIMITS, "still_s": 10.0, "incomplete_s": 60.0}
        more |= {"deaf_after_s": 180.0, "needs_somebody": False}
        self._forked("tests.faults.root", more)
        self._wait(lambda: read_pulse(self.data) is not None)

    def kill(self) -> None:
        """SIGKILL to the pages, as a power cut."""
        assert self.pages
        self.pages.kill()
        self.pages.wait(PATIENCE_S)

    def end(self) -> None:
        """Whatever the test did, no process is left."""
        for process in self.processes:
            process.send_signal(signal.SIGTERM)
        for process in self.processes:
            process.wait(PATIENCE_S)

    def _forked(self, root: str, more: Mapping[str, object]) -> warm.Forked:
        settings = {
            "profile": str(self.profile_path),
            "data": str(self.data),
            "journal": "",
            "clock": str(self.folder / "clock.json"),
            **more,
        }
        environment = {
            "PATH": os.environ["PATH"],
            "PYTHONPATH": str(ROOT),
            "DUSKFOLD_LISTEN": f"{self.address}:{self.port}",
            "DUSKFOLD_DATA": str(self.data),
        }
        self.runs += 1
        with (self.folder / f"log-{self.runs}.txt").open("ab") as log:
            process = warm.start(root, json.dumps(settings), environment, log.fileno())
        self.processes.append(process)
        return process

    def _wait(self, is_so: Callable[[], bool]) -> None:
        deadline = time.monotonic() + PATIENCE_S
        while True:
            with suppress(OSError):
                if is_so():
                    return
            assert time.monotonic() < deadline, self.log
            time.sleep(0.02)  # another process cannot notify this one

    # -- asking ---------------------------------------------------------------------------------

    def ask(
        self, method: str, path: str, fields: Mapping[str, str] | None = None, /, **headers: str
    ) -> Reply:
        """One request with this browser's cookies; header names with underscores."""
        sent = {name.replace("_", "-"): value for name, value in headers.items()}
        if self.cookies:
            sent["Cookie"] = "; ".join(f"{name}={value}" for name, value in self.cookies.items())
        body = None
        if fields is not None:
            sent = {"Origin": self.base, **sent}
            sent["Content-Type"] = "application/x-www-form-urlencoded"
            body = urlencode(fields).encode()
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)) as line:
            line.request(method, path, body, sent)
            answer = line.getresponse()
            headers_back = answer.getheaders()
            got = {name.lower(): value for name, value in headers_back}
            reply = Reply(status=answer.status, headers=got, body=answer.read())
        for name, value in headers_back:
            if name.lower() == "set-cookie" and (found := re.match(r"([^=]+)=([^;]*)", value)):
                self.cookies[found[1]] = found[2]
        return reply

    def get(self, path: str, **headers: str) -> Reply:
        """GET."""
        return self.ask("GET", path, **headers)

    def post(
        self, path: str, fields: Mapping[str, str] = MappingProxyType({}), /, **headers: str
    ) -> Reply:
        """A form as a browser on our own page sends it."""
        return self.ask("POST", path, fields, **headers)

    def key_path(self) -> str:
        """The path of the address that `serve` prints, with a new key."""
        return f"/begin/with/{new_key(self.data)}"

    def begin(self) -> None:
        """Uses a new key, as whoever scans the code does."""
        assert self.post(self.key_path()).status == 303

    def answer(self, until: str = "look-over", **other: Mapping[str, str]) -> str:
        """Answers each step that is asked, up to that one; where it stands then."""
        steps = {**STEPS, **{name.replace("_", "-"): one for name, one in other.items()}}
        at = self.get("/").headers["location"].rpartition("/")[2]
        while at != until:
            reply = self.post(f"/begin/{at}", steps.get(at, {}))
            assert reply.status == 303, reply.text
            at = reply.headers["location"].rpartition("/")[2]
        return at


@contextmanager
def first_house(folder: Path, **settings: str) -> Iterator[FirstHouse]:
    """A machine on which the first run waits."""
    with PushSink() as push:
        house = FirstHouse(folder, push, **settings)  # type: ignore[arg-type] # settings by name
        try:
            house.start()
            yield house
        finally:
            house.end()
