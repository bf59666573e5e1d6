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
from scheduler.service import door
from scheduler.service.clock import Clock
from scheduler.service.nights import Almanac

_PAUSE_S = 5.0
_log = logging.getLogger(__name__)


def return_topic(key: bytes, site_id: str) -> str:
    """The secret topic of the site, on every push server: nobody can guess it without the key."""
    return "duskfold-" + token(key, "return topic", site_id=site_id)


def push_servers(people: Iterable[Person]) -> tuple[str, ...]:
    """The servers of everybody's push topics, each once."""
    found: dict[str, None] = {}
    for person in people:
        if person.push:
            parts = urlsplit(person.push)
            found[f"{parts.scheme}://{parts.netloc}"] = None
    return tuple(found)


class AnswerDesk:
    """Takes what was heard, each answer once; tries again while the journal cannot be written."""

    AT_FIRST = "12h"

    def __init__(
        self,
        *,
        journal: Callable[[], Journal],
        almanac: Callable[[], Almanac],
        clock: Clock,
        taken: Callable[[], None],
        stop: threading.Event,
    ) -> None:
        """`taken` is called after an answer has changed something."""
        self._journal = journal
        self._almanac = almanac
        self._clock = clock
        self._taken = taken
        self._stop = stop

    def since(self, server: str) -> str:
        """The last message heard from the server, for going on after it; "12h" at first."""
        almanac = self._almanac()
        with self._journal().reading() as connection:
            site_id = almanac.household.profile.site.id
            return memos.recall(connection, site_id, _cursor(server)) or self.AT_FIRST

    def heard(self, server: str, message_id: str, said: str) -> None:
        """Takes one message; returns when it is kept, or was no answer of ours."""
        almanac = self._almanac()
        given = read_answer(said, almanac.key)
        while not self._stop.is_set():
            try:
                if given is None:
                    _log.info("answer.ignored reason=not-signed")
                elif door.answer(self._journal(), almanac, given, self._clock.read().wall):
                    _log.info("answer.kept verb=%s", given.verb)
                    self._taken()
                with self._journal().writing() as writing:
                    site_id = almanac.household.profile.site.id
                    memos.note(writing.connection, site_id, _cursor(server), message_id)
            except JournalFault as fault:
                _log.warning("answer.not_kept reason=%s", fault.reason)
                self._stop.wait(_PAUSE_S)
            else:
                return


def _cursor(server: str) -> str:
    return f"heard:{server}"[:80]


def token_for(
    server: str, servers: Sequence[str], name: str, secret_of: Callable[[str], str | None]
) -> str | None:
    """A server's secret: its own ("push-token-push-example-net"), else the plain ("push-token").

    The plain one is used where there is only one server: no server gets another's token.
    """
    host = urlsplit(server).netloc.replace(".", "-").replace(":", "-").lower()
    return secret_of(f"{name}-{host}") or (secret_of(name) if len(servers) == 1 else None)
