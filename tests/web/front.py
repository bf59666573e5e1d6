"""The pages of a house under test: the real server in a process of its own, asked over sockets."""

import http.client
import json
import os
import signal
import socket
import time
from collections.abc import Iterator, Mapping
from contextlib import closing, contextmanager, suppress
from dataclasses import dataclass, field
from itertools import cycle
from urllib.parse import urlencode

from scheduler.machine.signing_key import signing_key
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.household.open_profile import Household
from scheduler.service.people.access import invite, passes, path_of, sign_in
from scheduler.service.reports.report import records
from scheduler.tokens.evening_link import EveningLink
from scheduler.web.render import cookie_name
from tests import warm
from tests.faults.house import PATIENCE_S, ROOT, WINTER, House
from tests.sinks.push_service import PushService
from tests.sinks.smtp import PASSWORD

COOKIE = "duskfold"
# What whoever is signed in may open.
PAGES = (
    "/",
    "/week",
    "/year",
    "/add",
    "/flock",
    "/coop",
    "/weather",
    "/birds",
    "/phone",
    "/subscribe",
    "/card",
    "/status",
    "/people",
    "/diary",
    "/change",
    "/begun",
    "/more",
    "/about",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Reply:
    """What came back."""

    status: int
    headers: Mapping[str, str]  # names in small letters
    body: bytes

    @property
    def text(self) -> str:
        """The body as text."""
        return self.body.decode()


@dataclass
class Front:
    """The pages of one house; `files` limits how many files the process may open.

    `beside` are the pages of another host of the same household, whose profile it goes by.
    """

    house: House
    beside: "Front | None" = None
    base_url: str = ""
    trusted: str = "[]"
    push_services: tuple[str, ...] = ()
    files: int = 0
    port: int = 0
    process: warm.Forked | None = None
    cookies: dict[str, str] = field(default_factory=dict)

    def __post_init__(self) -> None:
        self.port = self.port or free_port()
        if self.beside:
            self.house.environment["DUSKFOLD_LISTEN"] = f"127.0.0.1:{self.port}"
            self.house.profile_path.write_bytes(self.beside.house.profile_path.read_bytes())
            return
        base = f'base_url = "{self.base_url}"\n' if self.base_url else ""
        self.house.write_profile(
            f'{self.house.body}\n[web]\n{base}listen = "127.0.0.1:{self.port}"\n'
            f"trusted_proxies = {self.trusted}\npush_services = {json.dumps(self.push_services)}\n"
        )

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.port}"

    @property
    def log(self) -> str:
        """Everything the process said."""
        path = self.house.folder / "web-log.txt"
        return path.read_text() if path.exists() else ""

    # -- the process ------------------------------------------------------------------------

    def publish(self) -> None:
        """Makes the journal and the calendars, as the watch does; not while one is running."""
        household = self.household()
        with self.house.journal() as journal:
            told = records(journal, household)
            Shelf(self.house.place).publish(journal, household, self.house.now, told)

    def household(self) -> Household:
        """The house's household."""
        return self.house.household()

    def start(self) -> None:
        """Starts the pages; returns when they answer."""
        settings = {
            "profile": str(self.house.profile_path),
            "data": str(self.house.data),
            "journal": self.house.server,
            "clock": str(self.house.folder / "clock.json"),
            "files": self.files,
        }
        with (self.house.folder / "web-log.txt").open("ab") as log:
            environment = {
                "PATH": os.environ["PATH"],
                "PYTHONPATH": str(ROOT),
                "SSL_CERT_FILE": str(self.house.ca_file),
                "DUSKFOLD_MAIL_PASSWORD": PASSWORD,
                **self.house.environment,
            }
            self.process = warm.start(
                "tests.web.root", json.dumps(settings), environment, log.fileno()
            )
        self.wait_ready()

    def wait_ready(self) -> None:
        """Waits until the pages answer."""
        deadline = time.monotonic() + PATIENCE_S
        while not self.answers():
            assert self.process is None or self.process.poll() is None, self.log
            assert time.monotonic() < deadline, self.log
            time.sleep(0.02)  # another process cannot notify this one

    def answers(self) -> bool:
        """Whether a request gets any answer."""
        try:
            return self.get("/robots.txt").status == 200
        except OSError:
            return False

    def stop(self) -> int:
        """SIGTERM; the exit status."""
        assert self.process
        self.process.send_signal(signal.SIGTERM)
        self.process.send_signal(signal.SIGCONT)  # a stopped process hears nothing else
        status = self.process.wait(PATIENCE_S)
        self.process = None
        return status

    # -- asking -----------------------------------------------------------------------------

    def ask(
        self,
        method: str,
        path: str,
        headers: Mapping[str, str] | None = None,
        body: bytes | None = None,
    ) -> Reply:
        """One request on a connection of its own; the path goes out as it is."""
        with closing(http.client.HTTPConnection("127.0.0.1", self.port, timeout=20)) as line:
            line.request(method, path, body, dict(headers or {}))
            answer = line.getresponse()
            got = {name.lower(): value for name, value in answer.getheaders()}
            return Reply(status=answer.status, headers=got, body=answer.read())

    def get(self, path: str, who: str = "", **headers: str) -> Reply:
        """GET, signed in as that person when one is named; header names with underscores."""
        return self.ask("GET", path, self._headers(who, headers))

    def post(
        self, path: str, fields: Mapping[str, str | list[str]], who: str = "", **headers: str
    ) -> Reply:
        """A form as a browser on our own page sends it."""
        sent = {"Sec-Fetch-Site": "same-origin", **self._headers(who, headers)}
        sent["Content-Type"] = "application/x-www-form-urlencoded"
        return self.ask("POST", path, sent, urlencode(fields, doseq=True).encode())

    def _headers(self, who: str, headers: Mapping[str, str]) -> dict[str, str]:
        named = {name.replace("_", "-"): value for name, value in headers.items()}
        return {"Cookie": self.cookie(who), **named} if who else named

    def cookie(self, who: str) -> str:
        """The cookie of that person, who is signed in on the way when they are not yet."""
        if who not in self.cookies:
            site_id = self.household().profile.site.id
            secret = self.invitation(who).rpartition("/")[2]
            with self.house.journal() as journal:  # past the page: nobody is to hear of it
                value = sign_in(journal, site_id, secret, "", self.house.now)
            self.cookies[who] = f"{cookie_name(self.base_url)}={value}"
        return self.cookies[who]

    def invitation(self, who: str) -> str:
        """The path of a fresh sign-in link."""
        journal = self.house.place.open()
        try:
            return invite(journal, self.household().profile.site.id, who, self.house.now)
        finally:
            journal.close()

    def calendar(self, who: str = "ana", feed: str = "lockup", *, alarms: bool = False) -> str:
        """The path of a person's calendar."""
        return self._path(who, "calendar", feed, alarms=alarms)

    def tonight(self, who: str = "ana") -> str:
        """The path of a person's tonight.json."""
        return self._path(who, "tonight", "all", alarms=False)

    def _path(self, who: str, kind: str, feed: str, *, alarms: bool) -> str:
        profile = self.household().profile
        known = passes(profile, signing_key(self.house.data, {}), (), self.house.now).values()
        wanted = (who, kind, feed, alarms)
        usual = (one for one in known if one.lead_minutes is None)
        [found] = [o for o in usual if (o.person_id, o.kind, o.feed, o.alarms) == wanted]
        return path_of(found, profile.site.name)

    def raw(self, sent: bytes, timeout_s: float = 15.0) -> bytes:
        """What comes back for these bytes until the other side closes or nothing more comes."""
        with socket.create_connection(("127.0.0.1", self.port), timeout=timeout_s) as line:
            got = b""
            with suppress(BrokenPipeError, ConnectionResetError):
                line.sendall(sent)  # a refusal may cut the line while the rest is on its way
            try:
                while part := line.recv(65536):
                    got += part
            except (TimeoutError, ConnectionResetError):
                pass
            return got


@contextmanager
def served_at(house: House) -> Iterator[PushService]:
    """The push service of a browser, on the house's clock; `push_services` has to name its host."""
    with PushService(house.authority, now=lambda: house.now) as service:
        house.phones_at = service
        yield service


def link_of(pages: Front, who: str = "ana", subject: str = "walnut") -> str:
    """The path behind that person's message of the winter's evening."""
    link = EveningLink(site_id="orchard", day=WINTER, subject_id=subject, person_id=who)
    return link.path(signing_key(pages.house.data, {}))


def free_port() -> int:
    """A port that nobody listens on, and that this process alone is given.

    Below those that the system hands to outgoing connections: between this look and the server's
    start one of them could take it.
    """
    for port in _ports:
        try:
            with socket.create_server(("127.0.0.1", port)):
                return port
        except OSError:
            continue
    raise AssertionError("every port of this process was used")


_PORTS_OF_A_PROCESS = 40
_FIRST_PORT = 20_000 + os.getpid() % 300 * _PORTS_OF_A_PROCESS
_ports = cycle(range(_FIRST_PORT, _FIRST_PORT + _PORTS_OF_A_PROCESS))


@contextmanager
def front(
    house: House, *, watched: bool = False, published: bool = True, **settings: object
) -> Iterator[Front]:
    """The pages beside the house's watch, or over its journal alone, with calendars or without."""
    before = house.pulse.profile_number if house.process and house.pulse else None
    pages = Front(house, **settings)  # type: ignore[arg-type] # settings by name
    if before is not None:  # pages that listen where the profile in force has it end when it moves
        house.wait(lambda: house.pulse and house.pulse.profile_number > before, "not followed")
    if watched:
        house.start()
    elif published:
        pages.publish()
    else:
        house.place.open().close()
    pages.start()
    try:
        yield pages
    finally:
        if pages.process:
            pages.stop()
