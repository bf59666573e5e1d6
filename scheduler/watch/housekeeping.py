"""Once a night: a copy of the journal, forgetting what is old, and the calendars whenever due."""

import logging
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from functools import partial

from scheduler.cares.emptied import Place
from scheduler.journal import access, deliveries, memos, phones, weather
from scheduler.journal.fault import JournalFault
from scheduler.journal.settling import settle_doors, settle_reports
from scheduler.journal.store import Journal
from scheduler.service.almanac import Almanac
from scheduler.service.calendars.shelf import Shelf
from scheduler.service.data_place import DataPlace
from scheduler.service.houses_emptied import emptied
from scheduler.service.jobs.every_job import AHEAD
from scheduler.service.too_late import SAID_WITHIN
from scheduler.watch.journal_recovery import COPIES, copy_journal

KEPT_DAYS = 60
_MEASURED_KEPT = timedelta(days=3)
_DOORS_SETTLED = timedelta(days=15)  # `health` looks back at fourteen evenings
_REPORTS_ENDED = SAID_WITHIN + timedelta(days=1)  # and a quarantine of 30 days looks back at them
_COPY_HOUR = 3  # of the site's night: nobody is at the door
_COPIED = "copied-on"
_log = logging.getLogger(__name__)


@dataclass(slots=True)
class Housekeeping:
    """What must be done now and then beside the reminders; it never stops them."""

    place: DataPlace
    _published: tuple[int, int, date, frozenset[Place]] | None = None

    def run(self, journal: Journal, almanac: Almanac, profile_number: int, now: datetime) -> None:
        """Does what is due; what fails is told in the log and tried again next time."""
        for work in (
            partial(self._copy, journal, almanac, now),
            partial(self._publish, journal, almanac, profile_number, now),
        ):
            try:
                work()
            except Exception as fault:  # noqa: BLE001 - a calendar that cannot be made must not cost the nightly copy
                reason = fault.reason if isinstance(fault, JournalFault) else type(fault).__name__
                _log.warning("housekeeping.failed reason=%s", reason)

    def _publish(self, journal: Journal, almanac: Almanac, number: int, now: datetime) -> None:
        household = almanac.household
        # By the day: what is past stays from then on as it was published.
        today = household.today(now)
        empty = emptied(journal, household.profile, today, AHEAD.days)
        told = almanac.records.without_weather
        state = (number, hash(told), today, empty)
        if state != self._published:
            Shelf(self.place).publish(journal, household, now, told)
            self._published = state

    def _copy(self, journal: Journal, almanac: Almanac, now: datetime) -> None:
        profile = almanac.profile
        local = now.astimezone(profile.site.zone)
        if local.hour < _COPY_HOUR:
            return
        today = local.date()
        with journal.reading() as connection:
            copied = memos.recall(connection, profile.site.id, _COPIED)
        if copied == today.isoformat():
            return
        copy_journal(journal, self.place.folder, COPIES[today.toordinal() % len(COPIES)])
        old = today - timedelta(days=KEPT_DAYS)
        settle_doors(journal, profile.site.id, today - _DOORS_SETTLED)
        settle_reports(journal, profile.site.id, today - _REPORTS_ENDED)
        with journal.writing() as writing:
            people = [person.id for person in profile.person]
            deliveries.prune(writing.connection, old, profile.site.id, people)
            weather.prune(writing.connection, profile.site.id, old, now - _MEASURED_KEPT)
            access.prune(writing.connection, now)
            phones.end_signed_out(writing.connection, profile.site.id, now)
            memos.note(writing.connection, profile.site.id, _COPIED, today.isoformat())
