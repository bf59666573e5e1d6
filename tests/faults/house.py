"""A house under test: the real watch in a process of its own, real sinks, a clock that tests drive.

Tests read like a timetable: `house.at("16:18")`, then what each phone and mailbox shows.
"""

import json
import os
import shutil
import signal
import sqlite3
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any, TypeVar
from zoneinfo import ZoneInfo

from scheduler.alerts.delivery import Key
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.step import decode
from scheduler.cares.closing import ClosingKind
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.machine.signing_key import signing_key
from scheduler.profile.load import Loaded, parse
from scheduler.service.almanac import Almanac
from scheduler.service.data_place import DataPlace
from scheduler.service.doors.say import say
from scheduler.service.doors.statement import Result, Statement
from scheduler.service.evenings_around import nights
from scheduler.service.health.causes import at_the_terminal, causes_of
from scheduler.service.health.tick_file import Pulse, read_pulse
from scheduler.service.household.open_profile import Household, read_profile
from scheduler.service.people.phones import own_key_id, read_ringing
from scheduler.service.reachable import ways_of
from scheduler.service.reports.report import records
from tests import warm
from tests.faults.said_views import show_what_was_said
from tests.sinks.authority import Authority
from tests.sinks.push import Event, PushSink
from tests.sinks.push_service import PushService
from tests.sinks.smtp import PASSWORD, USER, Mail, SmtpSink

ROOT = Path(__file__).parents[2]
PATIENCE_S = 20.0
PERIOD_S = 0.1
WINTER = date(2026, 12, 21)  # lock-up 16:18, latest 16:33
LONDON = ZoneInfo("Europe/London")
USUAL_ROOT = "tests.faults.root"
LIMITS = {"total_s": 4.0, "connect_s": 1.0, "reply_s": 2.0}

SITE = """
[site]
name = "Orchard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
[climate]
coldest_month_low = "-2 °C"
warmest_month_high = "24 °C"
"""
ONE_COOP = """
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
"""
TWO_COOPS = """
[[coop]]
name = "Walnut"
[[coop]]
name = "Barn"
[[flock]]
name = "Girls"
coop = "walnut"
hens = 12
[[flock]]
name = "Others"
coop = "barn"
hens = 8
"""
QUIET_MORNINGS = """
[reminders]
letout = "none"
brief = "none"
"""
PEOPLE = """
[[person]]
name = "Ana"
push = "{push}/ana-{secret}"
[[person]]
name = "Kim"
push = "{push}/kim-{secret}"
mail = "kim@example.org"
[mail]
host = "127.0.0.1"
port = {mail}
user = "{user}"
from = "coop@example.net"
"""
TOPIC_SECRET = "q7w2"  # noqa: S105 - of topics that live for one test


class Ended(AssertionError):  # noqa: N818 - as the house says it
    """The watch ended while something was waited for."""


@dataclass
class House:
    """One household on loopback. `body` is its profile without the addresses of the sinks."""

    folder: Path
    push: PushSink
    smtp: SmtpSink
    ca_file: Path
    body: str = SITE + ONE_COOP + QUIET_MORNINGS + PEOPLE
    zone: ZoneInfo = LONDON
    day: date = WINTER
    still_s: float = 10.0
    incomplete_s: float = 60.0
    deaf_after_s: float = 180.0
    period_s: float = PERIOD_S
    needs_somebody: bool = True  # as `watch`; `serve` does not
    limits: dict[str, float] = field(default_factory=lambda: dict(LIMITS))
    environment: dict[str, str] = field(default_factory=dict)
    authority: Authority = field(default_factory=Authority)  # which `ca_file` is of
    process: subprocess.Popen[bytes] | warm.Forked | None = None
    runs: int = 0
    wrap: list[str] = field(default_factory=list)
    root: str = USUAL_ROOT
    checkout: Path = ROOT  # whose program it is
    cold: bool = False  # begun as a new Python, as with a wrap or a root of its own
    orphans: set[tuple[int, int]] = field(default_factory=set)  # begun by a process that died
    set_back: set[date] = field(default_factory=set)  # evenings whose clock went backwards
    left: set[tuple[date, str]] = field(default_factory=set)  # taken out on that evening
    server: str = ""  # the address of the journal that it shares
    phones_at: PushService | None = None  # who rings people's own phones
    forgotten: tuple[int, int] = (0, 0)  # pushes and mails that a lost journal cannot know of

    def __post_init__(self) -> None:
        self.data.mkdir(mode=0o700, exist_ok=True)
        self.write_profile(self.body)
        self._boot_s = 0.0
        self.set_clock(self.local("12:30"))

    @property
    def place(self) -> DataPlace:
        """Where its data is."""
        return DataPlace(self.data, self.server)

    @property
    def data(self) -> Path:
        return self.folder / "data"

    @property
    def profile_path(self) -> Path:
        return self.folder / "duskfold.toml"

    @property
    def log(self) -> str:
        """Everything the processes said."""
        return "".join(path.read_text() for path in sorted(self.folder.glob("log-*.txt")))

    # -- the profile ------------------------------------------------------------------------

    def write_profile(self, body: str) -> None:
        """Writes the profile in one go, with the sinks' addresses filled in."""
        self.body = body
        text = body
        for name, value in (
            ("{push}", self.push.url),
            ("{mail}", str(self.smtp.port)),
            ("{secret}", TOPIC_SECRET),
            ("{user}", USER),
        ):
            text = text.replace(name, value)
        draft = self.folder / ".profile"
        draft.write_text(text)
        draft.replace(self.profile_path)

    # -- the clock --------------------------------------------------------------------------

    def local(self, clock: str, day: date | None = None) -> datetime:
        """The instant at which the site's clock shows it on the house's day, as UTC."""
        hour, minute, *second = (int(part) for part in clock.split(":"))
        on = day or self.day
        seconds = second[0] if second else 0
        at = datetime(on.year, on.month, on.day, hour, minute, seconds, tzinfo=self.zone)
        return at.astimezone(UTC)

    def set_clock(
        self, at: datetime, *, wall_only: bool = False, synchronised: bool = False
    ) -> None:
        """Makes it `at` now; time since boot goes along unless `wall_only`."""
        wall_s = at.timestamp() - time.time()
        before_s = getattr(self, "_wall_s", wall_s)
        if wall_s < before_s:
            self.set_back |= {self.day, self.day - timedelta(days=1)}
        if not wall_only:
            self._boot_s += wall_s - before_s
        self._wall_s = wall_s
        draft = self.folder / ".clock"
        ahead = {"wall_s": wall_s, "boot_s": self._boot_s, "synchronised": synchronised}
        draft.write_text(json.dumps(ahead))
        draft.replace(self.folder / "clock.json")

    @property
    def now(self) -> datetime:
        """What the driven clock shows."""
        return datetime.fromtimestamp(time.time() + self._wall_s, UTC)

    @property
    def readings(self) -> Readings:
        """All driven clocks as this process sees them."""
        return Readings(
            wall=self.now, boot_s=time.monotonic() + self._boot_s, monotonic_s=time.monotonic()
        )

    def at(self, clock: str, day: date | None = None) -> None:
        """Goes forward to that time and waits until everything due has been seen to."""
        if day:
            self.day = day
        self.set_clock(self.local(clock))
        self.settle()

    def settle(self) -> None:
        """Waits until a tick has begun after now, and nothing due is waiting or under way."""
        since_s = self.readings.boot_s
        self.wait(lambda: self._ticked_since(since_s), "no tick")
        self.wait(self._is_settled, "deliveries did not settle")

    def _ticked_since(self, boot_s: float) -> bool:
        """Whether a tick began after that time since boot, which no set clock moves."""
        pulse = self.pulse
        return bool(pulse and pulse.boot_s >= boot_s)

    def _is_settled(self) -> bool:
        now = int(self.now.timestamp())
        waiting = self.rows(
            "SELECT count(*) FROM delivery WHERE state = 'pending' AND next_at <= ? AND "
            "useful_until > ?",
            now,
            now,
        )
        if waiting[0][0] or self.sending() - self.orphans:
            return False
        # One more tick: what came back may have called for more.
        seen = self.pulse
        self.wait(lambda: self.pulse != seen, "no tick")
        return not self.sending() - self.orphans

    def sending(self) -> set[tuple[int, int]]:
        """The attempts under way: which delivery, which number."""
        query = "SELECT id, attempts FROM delivery WHERE state = 'sending'"
        return {(row[0], row[1]) for row in self.rows(query)}

    # -- the process ------------------------------------------------------------------------

    def start(self, *, ready: bool = True) -> None:
        """Starts the watch; returns after its first tick."""
        self.runs += 1
        since_s = self.readings.boot_s
        settings = {
            "profile": str(self.profile_path),
            "data": str(self.data),
            "journal": self.server,
            "clock": str(self.folder / "clock.json"),
            "period_s": self.period_s,
            "limits": self.limits,
            "still_s": self.still_s,
            "incomplete_s": self.incomplete_s,
            "deaf_after_s": self.deaf_after_s,
            "needs_somebody": self.needs_somebody,
        }
        environment = {
            "PATH": os.environ["PATH"],
            "PYTHONPATH": str(self.checkout),
            "SSL_CERT_FILE": str(self.ca_file),
            "DUSKFOLD_MAIL_PASSWORD": PASSWORD,
            **self.environment,
        }
        with (self.folder / f"log-{self.runs:02}.txt").open("wb") as log:
            if self.cold or self.wrap or (self.root, self.checkout) != (USUAL_ROOT, ROOT):
                self.process = subprocess.Popen(
                    [*self.wrap, sys.executable, "-m", self.root, json.dumps(settings)],
                    cwd=self.checkout,
                    env=environment,
                    stdout=log,
                    stderr=subprocess.STDOUT,
                )
            else:
                self.process = warm.start(
                    self.root, json.dumps(settings), environment, log.fileno()
                )
        if ready:
            self.wait(lambda: self._ticked_since(since_s), "the watch did not start")
            if "push =" in self.body:
                self.push.wait_streams()

    @property
    def is_running(self) -> bool:
        """Whether the watch was started and has not been seen to end."""
        return self.process is not None

    def end(self) -> None:
        """Whatever the test did, no process is left."""
        if self.process is not None:
            self.process.kill()
            self.process.wait()

    def kill(self) -> None:
        """SIGKILL, as a power cut to the process."""
        self.signal(signal.SIGKILL)
        self.ended()

    def stop(self) -> int:
        """SIGTERM; the exit status."""
        self.signal(signal.SIGTERM)
        return self.ended()

    def signal(self, number: signal.Signals) -> None:
        """Sends it to the process."""
        assert self.process
        self.process.send_signal(number)

    def ended(self) -> int:
        """Waits for the end of the process; its exit status."""
        assert self.process
        status = self.process.wait(PATIENCE_S)
        self.process = None
        self.push.wait_streams(0)
        return status

    def wait(self, true: Callable[[], object], what: str, timeout_s: float = PATIENCE_S) -> None:
        """Polls what another process does, with a deadline."""
        deadline = time.monotonic() + timeout_s
        while not true():
            if self.process is not None and self.process.poll() is not None:
                raise Ended(f"{what}: the process ended: {self.log[-2000:]}")
            assert time.monotonic() < deadline, f"{what} in time: {self.log[-2000:]}"
            time.sleep(0.01)  # another process cannot notify this one

    @property
    def words(self) -> dict[str, str]:
        """Title and body of what came last under each id."""
        found = {}
        for event in self.push.events.all():
            has_come = event.event == "message" and "delay" not in event.said
            if has_come and "sequence_id" in event.said:
                told = f"{event.said.get('title', '')}\n{event.text}"
                found[str(event.said["sequence_id"])] = told
        for mail in self.smtp.mails.all():
            found[mail.message_id.strip("<>").partition("@")[0]] = mail.parsed.get_content()
        return found

    # -- the journal ------------------------------------------------------------------------

    def rows(self, query: str, *values: object) -> list[tuple[Any, ...]]:
        """Reads the journal past the product."""
        if self.server:
            with self.journal() as journal, journal.engine.connect() as connection:
                marked = query.replace("?", "%s")
                found = connection.exec_driver_sql(marked, values).all()
            return [tuple(str(v) if type(v) is date else v for v in row) for row in found]
        path = self.data / JOURNAL_NAME
        try:
            return _rows(path, "ro", query, values)
        except sqlite3.OperationalError as error:
            if "readonly" not in str(error):
                raise
        # Killed in the middle of a commit: a copy is rolled back, the watch's own is left to it.
        with TemporaryDirectory() as folder:
            for one in (path, path.with_name(f"{JOURNAL_NAME}-journal")):
                shutil.copy(one, folder)
            return _rows(Path(folder) / JOURNAL_NAME, "rw", query, values)

    @contextmanager
    def journal(self) -> Iterator[Journal]:
        """The product's own journal, opened by this process."""
        journal = self.place.open()
        try:
            yield journal
        finally:
            journal.close()

    def household(self) -> Household:
        """The household of the profile as it stands in the file."""
        found = read_profile(self.profile_path.read_bytes(), "test", self.now)
        assert isinstance(found, Household), found
        return found

    def almanac(self, journal: Journal) -> Almanac:
        """The days of the household, with the phones that ring for it."""
        household = self.household()
        site_id, key_id = household.profile.site.id, own_key_id(self.place, {})
        with journal.reading() as connection:
            ring = read_ringing(connection, site_id, self.now, key_id)
        household = household.with_phones(ring, household.today(self.now))
        return Almanac(
            household=household,
            records=records(journal, household),
            ways=ways_of(household.profile),
            key=signing_key(self.data, {}),
        )

    def nights(self) -> tuple[Night, ...]:
        """The evenings as the journal has them."""
        with self.journal() as journal:
            almanac = self.almanac(journal)
            with journal.reading() as connection:
                return nights(almanac, connection, self.now)

    def say(
        self,
        kind: ClosingKind = "closed",
        *,
        count: int | None = None,
        coop: str | None = None,
        who: str = "Nan",
        evening: date | None = None,
    ) -> Result:
        """What a keeper says at the command line, in a process that is not the watch.

        Nan is in no profile: whoever shuts the door is told nothing of it.
        """
        statement = Statement(kind=kind, count=count, coop=coop, who=who, evening=evening)
        with self.journal() as journal:
            return say(journal, self.almanac(journal), statement, self.now)

    def forget(self) -> None:
        """From here on the journal need not know what went out before: it was taken away."""
        self.forgotten = (len(self.push.events.all()), len(self.smtp.mails.all()))

    # -- what people see --------------------------------------------------------------------

    def phone(self, person: str) -> list[str]:
        """The titles that rang on the person's phone, in order, copies too."""
        return [str(one.said["title"]) for one in self.phone_events(person)]

    def phone_events(self, person: str) -> list[Event]:
        """What rang on the person's phone."""
        return self.push.shown(f"{person}-{TOPIC_SECRET}")

    def mails(self, address: str = "kim@example.org") -> list[Mail]:
        """The mails that were accepted for the address."""
        return [mail for mail in self.smtp.accepted.all() if mail.recipient == address]

    @property
    def pulse(self) -> Pulse | None:
        """The health file."""
        return read_pulse(self.data)

    @property
    def faults(self) -> list[str]:
        """What health says is wrong now."""
        found = causes_of(self.pulse, self.readings, lambda at: f"{at:%Y-%m-%d %H:%M} UTC")
        return [at_the_terminal(one) for one in found]


def key_of(row: Sequence[Any]) -> Key:
    """Of site, subject, day, step, opening, person and channel, as the journal keeps them."""
    return Key(
        site_id=row[0],
        subject_id=row[1],
        day=date.fromisoformat(row[2]),
        step=decode(row[3]),
        opening=row[4],
        person_id=row[5],
        channel=row[6],
    )


def loaded(text: str) -> Loaded:
    """The profile of the text; fails with its problems."""
    found = parse(text.encode(), file="test", today=date(2026, 1, 1))
    assert isinstance(found, Loaded), found
    return found


def _rows(path: Path, mode: str, query: str, values: Sequence[object]) -> list[tuple[Any, ...]]:
    connection = sqlite3.connect(f"file:{path}?mode={mode}", uri=True, timeout=10)
    try:
        show_what_was_said(connection)
        return connection.execute(query, values).fetchall()
    finally:
        connection.close()


def minutes(count: float) -> timedelta:
    """So many minutes."""
    return timedelta(minutes=count)


AnyHouse = TypeVar("AnyHouse", bound=House)


@contextmanager
def household(folder: Path, **settings: Any) -> Iterator[House]:
    """A house with its sinks; ends with the oracle's questions, whatever the test did."""
    with household_of(House, folder, **settings) as house:
        yield house


@contextmanager
def household_of(kind: type[AnyHouse], folder: Path, **settings: Any) -> Iterator[AnyHouse]:
    """As `household`, of a house of that kind."""
    from tests.faults.oracle import ask  # noqa: PLC0415 - the oracle reads houses

    authority = Authority()
    with PushSink() as push, SmtpSink(authority) as smtp:
        house = kind(
            folder=folder,
            push=push,
            smtp=smtp,
            authority=authority,
            ca_file=authority.file(folder),
            **settings,
        )
        try:
            yield house
            if house.is_running:
                house.settle()
            ask(house)
        finally:
            house.end()
