"""Jobs as they are ticked: kept as done, or taken back."""

from collections.abc import Collection, Sequence
from datetime import datetime

from scheduler.cares.doing import Done, TaskKey
from scheduler.journal import done
from scheduler.journal.store import Journal


def mark(journal: Journal, site_id: str, keys: Sequence[TaskKey], by: Done, now: datetime) -> None:
    """Keeps that somebody did these jobs; who was first stays.

    Raises:
        JournalFault: the journal cannot be written.
    """
    with journal.writing() as writing:
        done.mark(writing.connection, site_id, keys, by, now)


def clear(journal: Journal, site_id: str, keys: Collection[TaskKey]) -> None:
    """Takes back that these jobs were done.

    Raises:
        JournalFault: the journal cannot be written.
    """
    with journal.writing() as writing:
        done.clear(writing.connection, site_id, list(keys))
