"""Listens for the answers that buttons send back over the push server."""

import logging
import threading
from collections.abc import Callable, Iterable, Sequence
from urllib.parse import urlsplit

from scheduler.alerts.answer import read_answer
from scheduler.alerts.token import token
from scheduler.journal import memos
from scheduler.journal.store import Journal, JournalFault
from scheduler.profile.values import Person
from scheduler.service.button import answer
from scheduler.service.clock import Clock
from scheduler.service.nights import Almanac
from scheduler.service.reach import place_of

_PAUSE_S = 5.0
_TOLD_EVERY_S = 60.0
_log = logging.getLogger(__name__)


def return_topic(key: bytes, site_id: str, generation: int = 0) -> str:
    """The secret topic of the site, on every push server: nobody can guess it without the key.

    With the next generation it is another one, and the buttons sent before lead nowhere.
    """
    return "duskfold-" + token(key, "return topic", site_id=site_id, generation=generation)


def push_servers(people: Iterable[Person]) -> tuple[str, ...]:
    """The servers of everybody's push topics, each once."""
    found: dict[str, None] = {}
    for person in people:
        if person.push:
            found[place_of("push", person.push)] = None
    return tuple(found)


class AnswerDesk:
    """Takes what was heard, each answer once; tries again while the journal cannot be written."""

    AT_FIRST = "12h"

    def __init__(  # noqa: PLR0913 - what it reads and tells, by name
        self,
        *,
        journal: Callable[[], Journal],
        almanac: Callable[[], Almanac],
        clock: Clock,
        taken: Callable[[], None],
        stop: threading.Event,
        generation: int = 0,
    ) -> None:
        """`taken` is called after an answer has changed something; `generation` is the topic's."""
        self._journal = journal
        self._almanac = almanac
        self._clock = clock
        self._taken = taken
        self._stop = stop
        self._generation = generation
        self._ignored = 0  # not signed by us, and not told of in the log yet
        self._told_s = float("-inf")

    def since(self, server: str) -> str:
        """The last message heard from the server, for going on after it; "12h" at first."""
        almanac = self._almanac()
        with self._journal().reading() as connection:
            site_id = almanac.household.profile.site.id
            return memos.recall(connection, site_id, self._cursor(server)) or self.AT_FIRST

    def heard(self, server: str, message_id: str, said: str) -> None:
        """Takes one message; returns when it is kept, or was no answer of ours.

        What nobody of ours has signed costs no write: whoever floods the topic delays no answer.
        """
        almanac = self._almanac()
        given = read_answer(said, almanac.key)
        if given is None:
            self._ignore()
            return
        while not self._stop.is_set():
            try:
                if answer(self._journal(), almanac, given, self._clock.read().wall):
                    _log.info("answer.kept verb=%s", given.verb)
                    self._taken()
                with self._journal().writing() as writing:
                    site_id = almanac.household.profile.site.id
                    memos.note(writing.connection, site_id, self._cursor(server), message_id)
            except JournalFault as fault:
                _log.warning("answer.not_kept reason=%s", fault.reason)
                self._stop.wait(_PAUSE_S)
            else:
                return

    def _ignore(self) -> None:
        """One line a minute, with how many there were since the last."""
        self._ignored += 1
        now_s = self._clock.read().monotonic_s
        if now_s - self._told_s >= _TOLD_EVERY_S:
            _log.info("answer.ignored reason=not-signed count=%d", self._ignored)
            self._ignored, self._told_s = 0, now_s

    def _cursor(self, server: str) -> str:
        topic = self._generation or ""
        return f"heard{topic}:{server}"[:80]


def token_for(
    server: str, servers: Sequence[str], name: str, secret_of: Callable[[str], str | None]
) -> str | None:
    """A server's secret: its own ("push-token-push-example-net"), else the plain ("push-token").

    The plain one is used where there is only one server: no server gets another's token.
    """
    host = urlsplit(server).netloc.replace(".", "-").replace(":", "-").lower()
    return secret_of(f"{name}-{host}") or (secret_of(name) if len(servers) == 1 else None)
