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


def take_back(
    journal: Journal, site_id: str, keys: Collection[TaskKey], who: str, now: datetime
) -> None:
    """Takes back that these jobs were done; the diary still tells of it.

    Raises:
        JournalFault: the journal cannot be written.
    """
    with journal.writing() as writing:
        done.take_back(writing.connection, site_id, list(keys), who, now)
