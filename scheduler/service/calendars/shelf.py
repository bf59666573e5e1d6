"""Where the published calendars lie: in the host's own folder, or in the journal hosts share."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, datetime

from scheduler.cares.records import Records
from scheduler.feeds.feed_names import FeedName
from scheduler.journal.store import Journal
from scheduler.service.calendars import calendar_files, calendar_rows
from scheduler.service.calendars.calendar_files import Bytes
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.data_place import DataPlace
from scheduler.service.household.open_profile import Household


@dataclass(frozen=True, slots=True)
class Shelf:
    """The calendars of one host's place."""

    place: DataPlace

    def publish(
        self, journal: Journal, household: Household, now: datetime, records: Records
    ) -> None:
        """Publishes the site's calendars as of `now` and puts them there.

        Raises:
            JournalFault: they cannot be published.
            OSError: a file cannot be written; the old one is still there.
        """
        site_id = household.profile.site.id
        if self.place.server:
            publish(journal, household, FeedRequest(), now, records, put=calendar_rows.put)
            return
        feeds = publish(journal, household, FeedRequest(), now, records)
        calendar_files.put(self.place.folder, site_id, feeds)

    def look(self, site_id: str) -> tuple[tuple[str, int, int], ...]:
        """Something that differs when a file was replaced; a row is a change of the journal."""
        return () if self.place.server else calendar_files.look(self.place.folder, site_id)

    def read(self, journal: Journal | None, site_id: str) -> Mapping[FeedName, Bytes]:
        """Every calendar that is there.

        Raises:
            JournalFault: the journal cannot be read.
        """
        if not self.place.server:
            return calendar_files.read(self.place.folder, site_id)
        if journal is None:
            return {}
        with journal.reading() as connection:
            return calendar_rows.read(connection, site_id)

    def last_days(self, journal: Journal | None, site_id: str) -> Mapping[FeedName, date]:
        """How far each published calendar goes; nothing of those not published yet.

        Raises:
            JournalFault: the journal cannot be read.
        """
        if not self.place.server:
            return calendar_files.last_days(self.place.folder, site_id)
        if journal is None:
            return {}
        with journal.reading() as connection:
            return calendar_rows.last_days(connection, site_id)
