"""Where the published calendars lie: in the host's own folder, or in the journal hosts share."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import TypeVar

from sqlalchemy import Connection

from scheduler.cares.records import Records
from scheduler.feeds.feed_names import FeedName
from scheduler.journal.store import Journal
from scheduler.service.calendars import calendar_files, calendar_rows
from scheduler.service.calendars.calendar_files import Bytes
from scheduler.service.calendars.publish import FeedRequest, publish
from scheduler.service.data_place import DataPlace
from scheduler.service.household.open_profile import Household

T = TypeVar("T")


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
        return self._ask(journal, site_id, calendar_files.read, calendar_rows.read)

    def last_days(self, journal: Journal | None, site_id: str) -> Mapping[FeedName, date]:
        """How far each published calendar goes; nothing of those not published yet.

        Raises:
            JournalFault: the journal cannot be read.
        """
        return self._ask(journal, site_id, calendar_files.last_days, calendar_rows.last_days)

    def _ask(
        self,
        journal: Journal | None,
        site_id: str,
        of_files: Callable[[Path, str], Mapping[FeedName, T]],
        of_rows: Callable[[Connection, str], Mapping[FeedName, T]],
    ) -> Mapping[FeedName, T]:
        if not self.place.server:
            return of_files(self.place.folder, site_id)
        if journal is None:
            return {}
        with journal.reading() as connection:
            return of_rows(connection, site_id)
