"""Listens for the answers that buttons send back over the push server."""

import logging
import threading
from collections.abc import Callable
from dataclasses import dataclass
from typing import ClassVar

from scheduler.journal import memos
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal
from scheduler.machine.clock import Clock
from scheduler.service.almanac import Almanac
from scheduler.service.doors.button import answer
from scheduler.tokens.answer import read_answer

_PAUSE_S = 5.0
_TOLD_EVERY_S = 60.0
_log = logging.getLogger(__name__)


@dataclass(slots=True, kw_only=True)
class AnswerDesk:
    """Takes what was heard, each answer once; tries again while the journal cannot be written.

    `taken` is called after an answer has changed something; `generation` is the topic's.
    """

    AT_FIRST: ClassVar[str] = "12h"
    journal: Callable[[], Journal]
    almanac: Callable[[], Almanac]
    clock: Clock
    taken: Callable[[], None]
    stop: threading.Event
    generation: int = 0
    _ignored: int = 0  # not signed by us, and not told of in the log yet
    _told_s: float = float("-inf")

    def since(self, server: str) -> str:
        """The last message heard from the server, for going on after it; "12h" at first."""
        almanac = self.almanac()
        with self.journal().reading() as connection:
            site_id = almanac.site_id
            return memos.recall(connection, site_id, self._cursor(server)) or self.AT_FIRST

    def heard(self, server: str, message_id: str, said: str) -> None:
        """Takes one message; returns when it is kept, or was no answer of ours.

        What nobody of ours has signed costs no write: whoever floods the topic delays no answer.
        """
        almanac = self.almanac()
        given = read_answer(said, almanac.key)
        if given is None:
            self._ignore()
            return
        while not self.stop.is_set():
            try:
                heard = answer(self.journal(), almanac, given, self.clock.read().wall)
                if heard == "taken":
                    _log.info("answer.kept verb=%s", given.verb)
                    self.taken()
                with self.journal().writing() as writing:
                    site_id = almanac.site_id
                    memos.note(writing.connection, site_id, self._cursor(server), message_id)
            except JournalFault as fault:
                _log.warning("answer.not_kept reason=%s", fault.reason)
                self.stop.wait(_PAUSE_S)
            else:
                return

    def _ignore(self) -> None:
        """One line a minute, with how many there were since the last."""
        self._ignored += 1
        now_s = self.clock.read().monotonic_s
        if now_s - self._told_s >= _TOLD_EVERY_S:
            _log.info("answer.ignored reason=not-signed count=%d", self._ignored)
            self._ignored, self._told_s = 0, now_s

    def _cursor(self, server: str) -> str:
        topic = self.generation or ""
        return f"heard{topic}:{server}"[:80]
