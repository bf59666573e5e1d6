"""A bag of feed that was opened: on which day, and until when it keeps."""

from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.cares.done_and_waiting import TaskKey
from scheduler.cares.job_title import FEED_OPENED
from scheduler.husbandry.feed_figures import FEED_KEEPS_DAYS
from scheduler.journal import done
from scheduler.journal.store import Journal
from scheduler.profile.values import Profile
from scheduler.service.diary import Refused, Speaker
from scheduler.service.jobs import kept_ticks


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedFeed:
    """The bag that was opened last."""

    on: date

    @property
    def until(self) -> date:
        """The last day on which it is fed."""
        return self.on + timedelta(days=FEED_KEEPS_DAYS)


def keep(journal: Journal, profile: Profile, by: Speaker) -> Refused | None:
    """Keeps that a bag was opened today; a second one of the same day changes nothing."""
    return kept_ticks.mark(journal, profile.site.id, [_key(profile, by.today)], by)


def take_back(journal: Journal, profile: Profile, on: date, by: Speaker) -> bool:
    """Takes back that one was opened on that day; whether one was."""
    return kept_ticks.take_back(journal, profile.site.id, [_key(profile, on)], by)


def last_opened(journal: Journal, profile: Profile, today: date) -> OpenedFeed | None:
    """The bag that was opened last; None where none was, or where that one keeps no more."""
    with journal.reading() as connection:
        times = done.times_of(connection, profile.site.id, (FEED_OPENED,))
    found = [OpenedFeed(on=profile.date_at(at)) for _, at in times[:1]]
    return next((one for one in found if today <= one.until), None)


def _key(profile: Profile, day: date) -> TaskKey:
    return TaskKey(FEED_OPENED, profile.site.id, day)
