"""The ears for what buttons send back: one at each push server, begun again whatever ended it."""

import logging
import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, field
from functools import partial

from scheduler.channels.deadline import Limits
from scheduler.journal.fault import JournalFault
from scheduler.machine.secrets import SecretFault
from scheduler.service.people.open_channels import push_servers
from scheduler.sources.push_answers import AnswerReader
from scheduler.tokens.answer import return_topic
from scheduler.watch.answer_desk import AnswerDesk
from scheduler.watch.tick import Ticker
from scheduler.watch.unheard_answers import Deafness
from scheduler.wording.channels.why_not_sent import WhyDeaf
from scheduler.wording.told_later import for_later

DEAF_AFTER_S = 180.0  # a push server says that it is there every 45 s by default
_SILENCE = 2 / 3  # of that: then the line is opened anew
_NOTHING = for_later(WhyDeaf.silent)
_log = logging.getLogger(__name__)


@dataclass(slots=True, kw_only=True)
class _Ear:
    reader: AnswerReader
    thread: threading.Thread | None = None


@dataclass(slots=True, kw_only=True)
class Ears:
    """Listens at every push server of the profile in force; `listen` is called every second."""

    ticker: Ticker
    tokens: Callable[[tuple[str, ...]], dict[str, str]] = field(repr=False)
    limits: Limits
    deaf_after_s: float = DEAF_AFTER_S
    _servers: tuple[str, ...] = ()
    _answers: int = 0  # the generation of the return topic
    _secrets: int = 0
    _ears: list[_Ear] = field(default_factory=list)
    _stop: threading.Event = field(default_factory=threading.Event)

    def listen(self) -> None:
        """Turns to the servers of the profile in force, and begins again what has ended."""
        servers = push_servers(self.ticker.household.profile.person)
        answers = self.ticker.in_force.answers_generation
        secrets = self.ticker.in_force.secrets_in_use
        if (servers, answers, secrets) != (self._servers, self._answers, self._secrets):
            # The old ones are listened to until the secret can be read.
            with suppress(SecretFault):
                self._turn_to(servers, answers)
                self._secrets = secrets
        for ear in self._ears:
            if ear.thread is None or not ear.thread.is_alive():
                self._begin(ear)

    def _turn_to(self, servers: tuple[str, ...], answers: int) -> None:
        tokens = self.tokens(servers)
        self._stop.set()
        self._stop, self._servers, self._answers = threading.Event(), servers, answers
        self._ears = [_Ear(reader=self._reader(one, tokens.get(one, ""))) for one in servers]

    def _begin(self, ear: _Ear) -> None:
        if ear.thread is not None:
            _log.error("ear.ended")
            ear.thread = None
        thread = threading.Thread(
            target=ear.reader.run, args=(self._stop,), name="duskfold-ear", daemon=True
        )
        try:
            thread.start()
        except RuntimeError:  # no room for another thread: again in a second
            _log.warning("ear.not_begun")
            return
        ear.thread = thread

    def _reader(self, server: str, token: str) -> AnswerReader:
        ticker = self.ticker
        desk = AnswerDesk(
            journal=lambda: ticker.journal,
            almanac=lambda: ticker.almanac,
            clock=ticker.clock,
            taken=ticker.post.urgent.set,
            stop=self._stop,
            generation=self._answers,
        )
        try:
            since = desk.since(server)
        except JournalFault:
            since = AnswerDesk.AT_FIRST  # what comes twice is spent
        return AnswerReader(
            server,
            return_topic(ticker.almanac.key, ticker.site_id, self._answers),
            token,
            since=since,
            heard=partial(desk.heard, server),
            limits=self.limits,
            silence_s=self.deaf_after_s * _SILENCE,
        )

    def deafness(self) -> Deafness | None:
        """Since when nothing was heard of a server for three minutes, and why.

        The age of the last line decides: a line that opens and then says nothing is no ear.
        """
        now_s = time.monotonic()
        for ear in self._ears:
            age_s = now_s - ear.reader.last_ok_monotonic
            if age_s > self.deaf_after_s:
                return Deafness(age_s=age_s, reason=ear.reader.fault or _NOTHING)
        return None

    def stop(self, wait_s: float) -> None:
        """Ends them all."""
        self._stop.set()
        for ear in self._ears:
            if ear.thread is not None:
                ear.thread.join(wait_s)
