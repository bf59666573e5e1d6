"""The same house with its reminders in this process, on a clock that stands until it is set.

Real are the profile's file, the journal, ticks, channels and sinks; threads, metronome and ears
are not there. It shows what is decided and what reaches people, and takes a tenth of the time.
"""

import logging
import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import datetime, timedelta
from typing import Any

import pytest

from scheduler.channels.deadline import Limits
from scheduler.machine.clock import Readings
from scheduler.machine.secrets import secret
from scheduler.service.people.phones import OwnKey
from scheduler.tokens.answer import return_topic
from scheduler.watch.answer_desk import AnswerDesk
from scheduler.watch.opening import OpenedWatch, open_watch
from scheduler.watch.process import ways_out
from scheduler.watch.tick import Ticker
from tests.faults.driven import DrivenClock, PostByHand
from tests.faults.house import PATIENCE_S, House
from tests.sinks.smtp import PASSWORD

_MOST_TICKS = 5
_LOG = logging.getLogger("scheduler")  # the sinks have logs of their own


@dataclass
class HouseHere(House):
    """A house whose reminders are ticked by `settle`, and are dead until `start`."""

    ticker: Ticker | None = None
    wired: Mapping[str, Any] = field(default_factory=dict)  # of a push service of the test's own
    clock: DrivenClock = field(init=False)
    _heard: int = 0  # answers
    _said: logging.FileHandler = field(init=False)
    _trusts: pytest.MonkeyPatch = field(default_factory=pytest.MonkeyPatch)

    def __post_init__(self) -> None:
        self.clock = DrivenClock(self.local("12:30"))
        self._trusts.setenv("SSL_CERT_FILE", str(self.ca_file))
        super().__post_init__()
        self._said = logging.FileHandler(self.folder / "log-01.txt")
        self._said.setFormatter(logging.Formatter("%(levelname)s %(message)s"))
        _LOG.addHandler(self._said)
        self._trusts.setattr(_LOG, "level", logging.INFO)

    @property
    def is_running(self) -> bool:
        """Whether the reminders run."""
        return self.ticker is not None

    @property
    def now(self) -> datetime:
        """What the clock shows."""
        return self.clock.at

    @property
    def readings(self) -> Readings:
        """All clocks."""
        return self.clock.read()

    def set_clock(
        self, at: datetime, *, wall_only: bool = False, synchronised: bool = False
    ) -> None:
        """Makes it `at` now; time since boot goes along unless `wall_only`."""
        by = at - self.clock.at
        if by < timedelta():
            self.set_back |= {self.day, self.day - timedelta(days=1)}
        if not wall_only:
            self.clock.boot_s += by.total_seconds()
        self.clock.at, self.clock.synchronised = at, synchronised

    def settle(self) -> None:
        """Ticks, sends, writes down and hears answers until nothing of it calls for more."""
        assert self.ticker is not None, "the reminders are not running"
        post = self.ticker.post
        assert isinstance(post, PostByHand)
        post.urgent.set()
        while post.urgent.is_set():
            post.urgent.clear()
            self.ticker.tick()
            post.work()
            self._hear(self.ticker)

    def wait(self, true: Callable[[], object], what: str, timeout_s: float = PATIENCE_S) -> None:
        """A few more ticks do it, or nothing does."""
        del timeout_s
        for _ in range(_MOST_TICKS):
            if true():
                return
            self.settle()
        assert true(), what

    def _hear(self, ticker: Ticker) -> None:
        generation = ticker.in_force.answers_generation
        desk = AnswerDesk(
            journal=lambda: ticker.journal,
            almanac=lambda: ticker.almanac,
            clock=self.clock,
            taken=ticker.post.urgent.set,
            stop=threading.Event(),
            generation=generation,
        )
        heard = self.push.shown(return_topic(ticker.almanac.key, ticker.site_id, generation))
        for event in heard[self._heard :]:
            desk.heard(self.push.url, event.id, str(event.said.get("message", "")))
        self._heard = len(heard)

    def start(self, *, ready: bool = True) -> None:
        """Starts the reminders; their first tick is over."""
        given = {"DUSKFOLD_MAIL_PASSWORD": PASSWORD, **self.environment}
        opened = open_watch(
            self.profile_path, self.place, given, self.now, needs_somebody=self.needs_somebody
        )
        assert isinstance(opened, OpenedWatch), opened
        self.ticker = Ticker(
            opened=opened,
            ways=ways_out(
                lambda name: secret(name, environment=given),
                opened.key,
                lambda: self.now,
                Limits(**self.limits),
                OwnKey(self.place, given),
                self.wired,
            ),
            clock=self.clock,
            make_post=PostByHand,
        )
        if ready:
            self.settle()

    def kill(self) -> None:
        """Ends them; what was claimed and not written down stays as it is."""
        if self.ticker is not None:
            self.ticker.post.stop(0.0)
            self.ticker.journal.close()
            self.ticker = None

    def stop(self) -> int:
        """A clean end; the exit status."""
        if self.ticker is not None:
            self.ticker.health.tell_stopped(self.ticker.journal, self.readings)
        self.kill()
        return 0

    def end(self) -> None:
        """Whatever the test did."""
        self.kill()
        _LOG.removeHandler(self._said)
        self._said.close()
        self._trusts.undo()
