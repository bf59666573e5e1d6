"""What the recorder must import of the program: its clock, its start and its way in.

A commit that moves code may change this file, and nothing else of the recorder.
"""

from collections.abc import AsyncIterator, Mapping
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path
from threading import Event

import tests.recorder.drawn  # noqa: F401 # isort: skip - before the program takes it by name
from typer.testing import CliRunner

import scheduler.cli.app
import scheduler.machine.clock
import scheduler.web.app
from scheduler.machine.signing_key import signing_key
from scheduler.service.data_place import DataPlace
from scheduler.service.people.open_channels import channels_for, for_cancels
from scheduler.watch.answer_desk import AnswerDesk
from scheduler.watch.housekeeping import Housekeeping
from scheduler.watch.opening import OpenedWatch, open_watch
from scheduler.watch.profile_in_force import WaysOut
from scheduler.watch.tick import Ticker
from scheduler.web.app import App, Outside
from scheduler.web.household_now import Lookout
from tests.faults.driven import DrivenClock, PostByHand
from tests.recorder.serving import serving

__all__ = ["DrivenClock", "Program"]


@dataclass
class Program:
    """One household's reminders, commands and pages in this process, on one driven clock."""

    profile: Path
    data: Path
    clock: DrivenClock
    environment: Mapping[str, str]
    _ticker: Ticker | None = None
    _housekeeping: Housekeeping | None = None
    _runner: CliRunner = field(default_factory=CliRunner)

    def __post_init__(self) -> None:
        """Whatever asks for the time is told what the driven clock shows."""
        scheduler.machine.clock.now = lambda: self.clock.read().wall
        # What the pages look after every second would depend on how fast this machine is.
        scheduler.web.app._LOOK_EVERY_S = 3600.0  # noqa: SLF001 - see above
        setattr(scheduler.machine.clock.SystemClock, "read", lambda _: self.clock.read())  # noqa: B010

    # -- the reminders ----------------------------------------------------------------------

    def start(self) -> None:
        """Starts the reminders."""
        opened = open_watch(self.profile, DataPlace(self.data), self.environment, self.clock.at)
        assert isinstance(opened, OpenedWatch), opened
        secret_of = self._secret
        now = lambda: self.clock.read().wall  # noqa: E731 - of three lines' use
        ways = WaysOut(
            channels_for=lambda profile, answers: channels_for(
                profile, secret_of, opened.key, now, answers=answers
            ),
            for_cancels=lambda name, profile: for_cancels(
                name, profile, secret_of, opened.key, now
            ),
        )
        self._ticker = Ticker(opened=opened, ways=ways, clock=self.clock, make_post=PostByHand)
        self._housekeeping = Housekeeping(opened.place)

    def kill(self) -> None:
        """Ends them; what was claimed and not sent stays as it is."""
        if self._ticker is not None:
            self._ticker.post.stop(0.0)
            self._ticker.journal.close()
            self._ticker = None

    def tick(self, *, send: bool = True) -> None:
        """One tick, and what it hands over is sent and written down unless a kill is to follow."""
        if self._ticker is None or self._housekeeping is None:
            return
        ticker = self._ticker
        ticker.tick()
        if ticker.believed_at:
            self._housekeeping.run(
                ticker.journal, ticker.almanac, ticker.follower.number, ticker.believed_at
            )
        post = self._ticker.post
        assert isinstance(post, PostByHand)
        while send:
            post.work()
            if not post.urgent.is_set():
                return
            post.urgent.clear()
            self._ticker.tick()

    def hear(self, server: str, message_id: str, said: str) -> None:
        """An answer that came over that push server's return topic."""
        ticker = self._ticker
        if ticker is None:
            return
        desk = AnswerDesk(
            journal=lambda: ticker.journal,
            almanac=lambda: ticker.almanac,
            clock=ticker.clock,
            taken=ticker.post.urgent.set,
            stop=Event(),
            generation=ticker.in_force.answers_generation,
        )
        desk.heard(server, message_id, said)

    def _secret(self, name: str) -> str | None:
        return self.environment.get("DUSKFOLD_" + name.upper().replace("-", "_"))

    # -- the terminal -----------------------------------------------------------------------

    def command(self, *words: str) -> tuple[int, str, str]:
        """Exit status, standard output and standard error of a command."""
        given = ["--profile", str(self.profile), "--data", str(self.data), *words]
        ran = self._runner.invoke(scheduler.cli.app.app, given, env=dict(self.environment))
        if ran.exception and not isinstance(ran.exception, SystemExit):
            raise ran.exception
        return ran.exit_code, ran.stdout, ran.stderr

    # -- the pages --------------------------------------------------------------------------

    @asynccontextmanager
    async def pages(self) -> AsyncIterator[App]:
        """The pages as they are served from now on, until the block ends."""
        lookout = Lookout(
            self.profile, DataPlace(self.data), signing_key(self.data, self.environment)
        )
        outside = Outside(
            read=self.clock.read,
            send_test=lambda *_, **__: [],
            is_alive=lambda: self._ticker is not None,
            in_force=lambda _profile: None,
            said=lambda _household: None,
        )
        app = App(lookout, outside)
        async with serving(app):
            yield app
