"""The houses that a statement has emptied, by what the journal holds."""

from datetime import date

from scheduler.cares import emptied as cares
from scheduler.cares.emptied import Place
from scheduler.journal import closings
from scheduler.journal.store import Journal
from scheduler.profile.values import Profile


def emptied(journal: Journal, profile: Profile, first: date, count: int) -> frozenset[Place]:
    """The coops, on `count` days from `first` on, in which no bird is by what was said until now.

    Raises:
        JournalFault: the journal cannot be read.
    """
    with journal.reading() as connection:
        said = closings.closings(connection, profile.site.id)
    return cares.emptied(profile, said, first, count)
