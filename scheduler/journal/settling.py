"""Once a night: what of long ago still matters, so that no look reads the rest."""

from datetime import date

from scheduler.cares.diary import of_reports
from scheduler.cares.diary.of_doors import closings_of
from scheduler.cares.settled import still_matter
from scheduler.journal import entries
from scheduler.journal.closings import entries_read
from scheduler.journal.store import Journal


def settle_doors(journal: Journal, site_id: str, before: date) -> None:
    """Finds what still matters of the evenings before that date; the next look reads no more."""
    with journal.reading() as connection:
        said = closings_of(entries_read(connection, site_id))
        newest = entries.last_number(connection, site_id, "door")
    matter = still_matter([one.closing for one in said], before)
    numbers = [said[place].number for place in matter]
    with journal.writing() as writing:
        entries.settle(writing.connection, site_id, "door", before, numbers, newest)


def settle_reports(journal: Journal, site_id: str, before: date) -> None:
    """Leaves out of every look what had ended, or was taken back, before that date."""
    with journal.reading() as connection:
        known = entries.that_matter(connection, site_id, "report")
        newest = entries.last_number(connection, site_id, "report")
    numbers = of_reports.still_matter(known, before)
    with journal.writing() as writing:
        entries.settle(writing.connection, site_id, "report", before, numbers, newest)
