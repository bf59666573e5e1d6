"""A household's reminders in this process, on clocks that a test moves: an evening takes moments.

What is real: the profile's file, the journal, the ticks, what is decided, claimed and written down.
What a test plays: the clocks, and what becomes of a message once it is handed over. Couriers and
scribe take turns in the test's own thread, so that the same evening comes out the same every time.
"""

import os
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest

from scheduler.alerts.delivery import ChannelName, Key, Operation, Outgoing
from scheduler.alerts.reminded_evening import Evening
from scheduler.cares.closing import ClosingKind
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.machine.secrets import secret
from scheduler.profile.values import Profile
from scheduler.service.data_place import DataPlace
from scheduler.service.doors.say import say
from scheduler.service.doors.statement import Result, Statement
from scheduler.service.people.open_channels import lacking, secrets_hash
from scheduler.service.reachable import Lack, ways_of
from scheduler.watch.couriers import Post
from scheduler.watch.opening import OpenedWatch, open_watch
from scheduler.watch.profile_in_force import WaysOut
from scheduler.watch.tick import Ticker
from tests.sinks.fake_channel import FakeChannel

DAY, MINUTE = timedelta(days=1), timedelta(minutes=1)
_KEYS_DAYS = (2, 400)  # how far back a message's evening may lie: nearly always, and at most


@dataclass(slots=True)
class DrivenClock:
    """Shows what it was set to; `boot_s` goes on beside it whatever the time of day becomes."""

    at: datetime
    boot_s: float = 1000.0
    synchronised: bool = False

    def read(self) -> Readings:
        """All clocks."""
        return Readings(
            wall=self.at,
            boot_s=self.boot_s,
            monotonic_s=self.boot_s,
            synchronised=self.synchronised,
        )

    def go_to(self, at: datetime) -> None:
        """Time passes until then; it never goes back."""
        if at > self.at:
            self.boot_s += (at - self.at).total_seconds()
            self.at = at

    def step(self, by: timedelta) -> None:
        """Somebody sets the time of day."""
        self.at += by


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrived:
    """A message that was taken for somebody's address, and when."""

    at: datetime
    channel: ChannelName
    outgoing: Outgoing

    @property
    def loud(self) -> bool:
        """Whether it rings through."""
        return self.outgoing.message.priority >= 4


class PostByHand(Post):
    """The post without its threads: what was handed over goes out when `work` is called."""

    def start(self, journal: Journal) -> None:
        """Nobody waits for outcomes; `work` writes them down."""
        self.use(journal)

    def fault(self, longest_s: float) -> str:
        """No thread can have died."""
        del longest_s
        return self._scribe.fault

    def _employ(self) -> None:
        """Nobody is employed."""

    def work(self) -> None:
        """Sends everything that was handed over and writes down what came of it."""
        while full := [one for one, bag in self._bags.items() if not bag.empty()]:
            for destination in full:
                while not self._bags[destination].empty():
                    parcel = self._bags[destination].get_nowait()
                    assert parcel is not None, "the post was stopped"
                    self._carry_one(destination, parcel)
            self.write_down()
            for destination in full:
                self._fetch_more(destination)

    def write_down(self) -> None:
        """Commits every outcome that has come in."""
        waiting = []
        while not self._scribe.back.empty():
            if item := self._scribe.back.get_nowait():
                waiting.append(item)
        assert self._scribe.settle(waiting), "an outcome was not written"


@dataclass
class Driven:
    """The reminders of one household, ticked by hand; between `stop` and `start` they are dead."""

    folder: Path
    clock: DrivenClock
    channels: dict[ChannelName, FakeChannel] = field(default_factory=dict)
    arrived: list[Arrived] = field(default_factory=list)
    environment: dict[str, str] | None = None  # where secrets are given; as if there were all
    ticker: Ticker | None = None
    _heard: dict[ChannelName, int] = field(default_factory=dict)
    _keys: dict[str, Key] = field(default_factory=dict)

    @property
    def profile_path(self) -> Path:
        """Where the profile lies."""
        return self.folder / "duskfold.toml"

    @property
    def running(self) -> Ticker:
        """The ticker, while it runs."""
        assert self.ticker is not None, "the reminders are not running"
        return self.ticker

    @property
    def journal(self) -> Journal:
        """The journal of the running reminders."""
        return self.running.journal

    # -- the process ------------------------------------------------------------------------

    def write_profile(self, text: str) -> None:
        """Replaces the profile's file by rename."""
        draft = self.folder / ".draft.toml"
        draft.write_text(text, encoding="utf-8")
        draft.replace(self.profile_path)

    def start(self) -> None:
        """Starts the reminders as `duskfold watch` does, with the test's ways out."""
        data = self.folder / "data"
        data.mkdir(mode=0o700, exist_ok=True)
        opened = open_watch(
            self.profile_path, DataPlace(data), self.environment or {}, self.clock.at
        )
        assert isinstance(opened, OpenedWatch), opened
        self.ticker = Ticker(
            opened=opened,
            ways=WaysOut(
                channels_for=self._channels_for,
                for_cancels=lambda name, _: self.channel(name),
                lacking=self._lacking,
                secrets_hash=self._secrets_hash,
            ),
            clock=self.clock,
            make_post=PostByHand,
        )

    def stop(self) -> None:
        """The end of the process; what was claimed and not written down stays as it is."""
        if self.ticker is not None:
            self.ticker.post.stop(0.0)
            self.ticker.journal.close()
            self.ticker = None

    def _channels_for(
        self, profile: Profile, _generation: int
    ) -> Mapping[ChannelName, FakeChannel]:
        lacks = {lack.channel for lack in self._lacking(profile) if not lack.place}
        return {name: self.channel(name) for name in ways_of(profile) - lacks}

    def _lacking(self, profile: Profile) -> tuple[Lack, ...]:
        if self.environment is None:
            return ()
        return lacking(profile, partial(secret, environment=self.environment))

    def _secrets_hash(self, profile: Profile) -> int:
        return secrets_hash(profile, partial(secret, environment=self.environment or {}))

    def channel(self, name: ChannelName) -> FakeChannel:
        """The test's hand in that way out."""
        return self.channels.setdefault(name, FakeChannel(name))

    # -- time -------------------------------------------------------------------------------

    def at(self, instant: datetime) -> None:
        """Time passes until then; one tick, and its messages are sent and written down."""
        self.clock.go_to(instant)
        if self.ticker is not None:
            self.tick()

    def tick(self) -> bool:
        """One tick; returns when its messages have come to something."""
        complete = self.running.tick()
        self.settle()
        return complete

    def settle(self) -> None:
        """Every message under way is sent and written down; who is to hear more hears it at once.

        As the watch does it: a message that could not be delivered makes it look again.
        """
        post = self.running.post
        assert isinstance(post, PostByHand)
        post.work()
        while post.urgent.is_set():
            post.urgent.clear()
            self.running.tick()
            post.work()
        self._collect()

    def _collect(self) -> None:
        for name, channel in self.channels.items():
            taken = channel.taken.all()
            for one in taken[self._heard.get(name, 0) :]:
                self.arrived.append(Arrived(at=self.clock.at, channel=name, outgoing=one))
            self._heard[name] = len(taken)

    # -- what people do and see -------------------------------------------------------------

    def evenings(self, day: date) -> tuple[Evening, ...]:
        """The evenings of that date as they are planned."""
        return self.running.almanac.planned(day, ())

    def noon(self, day: date) -> datetime:
        """When that date's evening begins."""
        return self.running.almanac.noon(day)

    def say(self, kind: ClosingKind, who: str, **said: object) -> Result:
        """What somebody says at the terminal."""
        statement = replace(Statement(kind=kind, who=who), **said)  # type: ignore[arg-type] # by name
        return say(self.journal, self.running.almanac, statement, self.clock.at)

    def messages(self, operation: Operation = "send") -> list[Arrived]:
        """What arrived of that kind, in order."""
        return [one for one in self.arrived if one.outgoing.operation == operation]

    def key_of(self, message_id: str) -> Key | None:
        """What the message id stands for, as the journal has it; None when it knows nothing."""
        from scheduler.journal import deliveries  # noqa: PLC0415 - the tests' look past the product

        for days in _KEYS_DAYS:
            if message_id not in self._keys:
                since = self.clock.at.date() - days * DAY
                with self.journal.reading() as connection:
                    rows = deliveries.rows_since(connection, self.running.site_id, since)
                for row in rows:
                    self._keys[row.key.message_id] = self._keys[row.key.id_of_second] = row.key
                    if row.operation == "hold":  # it goes by the id of the one it replaces
                        self._keys[row.key.id_of_held] = row.key
        return self._keys.get(message_id)


@pytest.fixture
def memory_folder(tmp_path: Path) -> Iterator[Path]:
    """A folder in memory where there is one: no power fails here, and 15,000 syncs take minutes."""
    memory = Path("/dev/shm")  # noqa: S108 - a folder of its own is made there
    with TemporaryDirectory(dir=memory if os.access(memory, os.W_OK) else tmp_path) as name:
        yield Path(name)


@contextmanager
def driven(
    folder: Path, text: str, at: datetime, environment: dict[str, str] | None = None
) -> Iterator[Driven]:
    """The reminders of that profile, begun at that instant."""
    house = Driven(folder=folder, clock=DrivenClock(at), environment=environment)
    house.write_profile(text)
    house.start()
    try:
        yield house
    finally:
        house.stop()
