"""What a host that shares its journal asks before it decides: is its clock the others' clock?"""

import logging
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.journal import memos
from scheduler.journal.fault import JournalFault
from scheduler.journal.kept_in import Look
from scheduler.journal.store import Journal
from scheduler.machine.clock import Readings
from scheduler.service.health import tick_rows
from scheduler.service.health.tick_file import is_beating

APART = timedelta(seconds=60)  # more, and two hosts would tell of one door at two times
_KEY = "key-fingerprint"
_log = logging.getLogger(__name__)


@dataclass(slots=True)
class ClockBesideOthers:
    """This host's clock beside the journal's, which all hosts have in common."""

    is_apart: bool = False

    def ahead(self, look: Look | None, before: datetime, after: datetime) -> timedelta:
        """How far this host's clock is ahead of the journal's, if that is too far; else nothing.

        It is what was read `before` the look or `after` it, whichever is nearer: this host may
        have slept meanwhile. Nothing, too, while the journal cannot be asked: then each host goes
        by its own.
        """
        if look is None or look.time is None:
            return timedelta()
        ahead = min(before - look.time, after - look.time, key=abs)
        is_apart = abs(ahead) > APART
        if is_apart and not self.is_apart:
            _log.error("clock.apart seconds=%.0f", ahead.total_seconds())
        self.is_apart = is_apart
        return ahead if is_apart else timedelta()


def has_another_key(connection: Connection, site_id: str, mine: str) -> bool:
    """Whether the hosts that began before have another key than the one of that fingerprint."""
    theirs = memos.recall(connection, site_id, _KEY)
    if theirs is None:
        memos.note(connection, site_id, _KEY, mine)
    if theirs not in {None, mine}:
        _log.error("key.differs")
    return theirs not in {None, mine}


def somebody_reminds(
    journal: Journal, look: Look | None, own_name: str, readings: Readings
) -> bool:
    """Whether another host's ticks come and are complete; no, where that cannot be read."""
    if look is None or look.time is None:
        return False
    try:
        others = tick_rows.read_at(journal, look.time, readings)
    except JournalFault:
        return False
    return any(is_beating(one.pulse, readings) for one in others if one.name != own_name)
