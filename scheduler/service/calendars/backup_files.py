"""The backup alarm of a household, as it is handed to somebody."""

from collections.abc import Sequence
from datetime import datetime

from scheduler.cares.closing import Closing
from scheduler.cares.records import Records
from scheduler.feeds.backup_alarm import BackupFile, backup_file, days_of
from scheduler.journal import memos
from scheduler.journal.store import Journal
from scheduler.service.almanac import Almanac
from scheduler.service.household.open_profile import Household


def backup_file_of(
    household: Household, records: Records, said: Sequence[Closing], now: datetime
) -> BackupFile | None:
    """The file by what is known at `now`; None where no door is to be shut in all that time."""
    # Of its own: a hundred days would push those that everybody looks at out of a shared one.
    almanac = Almanac(household=household, records=records, ways=frozenset(), key=b"")
    today = household.today(now)
    evenings = [one for day in days_of(today) for one in almanac.planned(day, said)]
    return backup_file(almanac.profile, evenings, today, now)


def hand_out(journal: Journal, site_id: str, person_id: str, file: BackupFile) -> None:
    """Notes that the person fetches it, and how long it lasts.

    Raises:
        JournalFault: the journal cannot be written.
    """
    with journal.writing() as writing:
        memos.note_backup_alarm(writing.connection, site_id, person_id, file.last)
