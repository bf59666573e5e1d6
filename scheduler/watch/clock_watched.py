"""What a tick does about the clock: mends what one that was set left behind, and asks or tells."""

import logging
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.step import Step, step_at
from scheduler.journal import clock_was_wrong, memos, said_ahead
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal, Writing
from scheduler.machine.clock_trust import Judgement, Trust, Watchfulness
from scheduler.messages import own_faults
from scheduler.messages.site_news import news
from scheduler.service.agree_clock import take_agreement
from scheduler.service.diary import take_back_ahead
from scheduler.watch import morning_brief
from scheduler.watch.profile_in_force import FIRST_TICK, ProfileInForce
from scheduler.watch.site_note import tell_all

_CLOCK_SINCE = "clock-since"  # what the clock showed when it was last set, or when we started
_SAID_AHEAD = timedelta(minutes=5)  # less than that silences no evening but its own
_REMEMBERED_EVERY = timedelta(hours=1)
_DOUBT_TOLD_AFTER_S = 1800.0  # a machine that was off for days is synchronised by then
_log = logging.getLogger(__name__)


@dataclass(slots=True, kw_only=True)
class ClockWatched:
    """The clock's judgement from tick to tick, and what the site knows of it."""

    in_force: ProfileInForce
    trust: Trust | None = None  # of the last tick that wrote
    watchfulness: Watchfulness = field(default_factory=Watchfulness)
    _was_sure: bool = False  # at the last tick that wrote: the network or a person vouched for it
    _remembered: datetime | None = None

    def recall(self, journal: Journal) -> None:
        """Believes no time before the newest one that was remembered, less an hour."""
        with suppress(JournalFault), journal.reading() as connection:
            if last := memos.recall_instant(connection, self.in_force.site_id, memos.LAST_TICK):
                known = last - _REMEMBERED_EVERY
                self.watchfulness.floor = max(self.watchfulness.floor, known)

    def wrote(self, trust: Trust, *, is_sure: bool) -> None:
        """The tick has committed: what it found is not done again."""
        self.trust, self._was_sure = trust, is_sure

    def forget(self) -> None:
        """What was remembered may not have been written: the next tick remembers again."""
        self._remembered = None

    def mend(
        self, writing: Writing, now: datetime, judged: Judgement, *, is_sure: bool, is_first: bool
    ) -> None:
        """Mends what a clock that was set left behind, and takes what somebody said of it."""
        site_id = self.in_force.site_id
        if judged.stepped:
            clock_was_wrong.hurry(writing.connection, site_id, now)
        if judged.trust != "untrusted" and (judged.back or judged.trust != self.trust):
            # What was written down and said by a time that lay ahead, before a restart too.
            _forget_ahead(writing.connection, site_id, now)
            self._take_back_ahead(writing, now, is_sure=is_sure)
            if _begins_anew(writing.connection, site_id, now):
                self.in_force.watched_since(now)
        elif is_sure and not self._was_sure:
            self._take_back_ahead(writing, now, is_sure=True)
        if judged.stepped or is_first:
            memos.note(writing.connection, site_id, _CLOCK_SINCE, now.isoformat())
        if agreed := take_agreement(writing.connection, site_id):
            self.watchfulness.agree(agreed, now)

    def _take_back_ahead(self, writing: Writing, now: datetime, *, is_sure: bool) -> None:
        """Takes back what was said ahead of `now`.

        Unless the network or a person vouches for `now` (`is_sure`), only that a door is shut on an
        evening that is still to come by it: what else was said may have been said by a right clock.
        """
        connection, site_id, after = writing.connection, self.in_force.site_id, now + _SAID_AHEAD
        today = None if is_sure else self.in_force.household.today(now)
        ahead = said_ahead.doors(connection, site_id, after, shut_since=today)
        if is_sure:
            ahead += said_ahead.searches(connection, site_id, after)
            ahead += said_ahead.jobs(connection, site_id, after)
            ahead += said_ahead.reports(connection, site_id, after)
        undone = take_back_ahead(connection, site_id, ahead, now)
        if undone:
            self.in_force.use_records(writing, now)
            _log.warning("clock.ran_ahead undone=%d", undone)
            matter = news(own_faults.said_ahead, is_sure=is_sure)
            step = step_at("said-ahead", now)
            tell_all(connection, self.in_force.almanac, step, now.date(), matter, now)

    def say_unknown(self, connection: Connection, now: datetime) -> None:
        """Tells everybody once that nobody knows what time it is."""
        step = Step("clock", day=f"{self.watchfulness.floor.date()}")
        matter, almanac = news(own_faults.unknown_time), self.in_force.almanac
        tell_all(connection, almanac, step, now.date(), matter, now)

    def ask_if_ahead(self, connection: Connection, now: datetime, boot_s: float) -> None:
        """A clock far ahead for half an hour: whoever knows better is asked."""
        since_s = self.watchfulness.doubtful_since_s
        if since_s is not None and boot_s - since_s >= _DOUBT_TOLD_AFTER_S:
            almanac, day = self.in_force.almanac, self.watchfulness.floor.date()
            told = almanac.household.today(now), almanac.clock(now)
            matter = news(own_faults.clock_ahead, *told)
            tell_all(connection, almanac, Step("clock-ahead"), day, matter, now)

    def remember(self, connection: Connection, now: datetime, *, stepped: bool, busy: bool) -> None:
        """Writes down that the clock was set; and the time, once an hour and at a `busy` tick."""
        site_id = self.in_force.site_id
        if stepped:
            memos.note(connection, site_id, morning_brief.STEPPED, now.isoformat())
        since = self._remembered
        if since is None or busy or abs(now - since) >= _REMEMBERED_EVERY:
            memos.note(connection, site_id, memos.LAST_TICK, now.isoformat())
            self._remembered = now


def _forget_ahead(connection: Connection, site_id: str, now: datetime) -> None:
    """Forgets what was written down and sent ahead of `now`."""
    shown = memos.recall_instant(connection, site_id, memos.LAST_TICK) or now
    since = memos.recall_instant(connection, site_id, _CLOCK_SINCE) or now
    clock_was_wrong.forget_ahead(connection, site_id, now, shown, since)
    clock_was_wrong.hurry(connection, site_id, now)


def _begins_anew(connection: Connection, site_id: str, now: datetime) -> bool:
    """Whether the reminders seem to have begun after `now`: then they begin now."""
    first = memos.recall_instant(connection, site_id, FIRST_TICK)
    if first is None or first <= now:
        return False
    memos.note(connection, site_id, FIRST_TICK, now.isoformat())
    return True
