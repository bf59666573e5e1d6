"""The tick: follows the profile, looks, decides what is due, claims it and hands it over.

It never waits on a send. While the journal cannot be written it sends from memory, with the same
ids, and writes that down when it can. Losing the journal means: tell again, never fall silent.
"""

import logging
from collections.abc import Callable
from contextlib import suppress
from dataclasses import InitVar, dataclass, field
from datetime import datetime

from sqlalchemy import Connection

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.step import Step
from scheduler.journal import access, claims, deliveries, memos
from scheduler.journal.fault import JournalFault
from scheduler.journal.kept_in import Changes, Look
from scheduler.journal.store import Journal, Writing
from scheduler.machine.clock import Clock, Readings
from scheduler.machine.clock_trust import Judgement, Trust
from scheduler.machine.signing_key import fingerprint
from scheduler.messages import own_faults
from scheduler.messages.site_news import news
from scheduler.service.almanac import Almanac
from scheduler.service.data_place import DataPlace
from scheduler.service.health.tick_file import OLDEST_TICK_S
from scheduler.service.household import own_jobs
from scheduler.service.household.open_profile import Household
from scheduler.watch import morning_brief
from scheduler.watch.beside_others import ClockBesideOthers, has_another_key, somebody_reminds
from scheduler.watch.clock_watched import ClockWatched
from scheduler.watch.couriers import Post
from scheduler.watch.evenings_due import due_from_memory, next_look, write_due
from scheduler.watch.follow_profile import ProfileFollower
from scheduler.watch.journal_recovery import open_checked
from scheduler.watch.look import Seen, look
from scheduler.watch.opening import OpenedWatch
from scheduler.watch.own_health import OwnHealth
from scheduler.watch.profile_in_force import FIRST_TICK, ProfileInForce, WaysOut
from scheduler.watch.site_messages import tell_besides
from scheduler.watch.site_note import tell_all
from scheduler.watch.unheard_answers import Deafness
from scheduler.wording.channels.why_not_sent import WhyNotTried
from scheduler.wording.journal.why_unusable import WhyUnusable
from scheduler.wording.told_later import for_later
from scheduler.wording.words import Words

_STALE_S = 10.0  # a lock is waited for half as long
_log = logging.getLogger(__name__)


@dataclass(slots=True, kw_only=True)
class Ticker:
    """One site's reminders; `tick` is called every few seconds and by nobody at once."""

    opened: InitVar[OpenedWatch]
    ways: InitVar[WaysOut]
    clock: Clock
    oldest_tick_s: float = OLDEST_TICK_S
    deafness: Callable[[], Deafness | None] = lambda: None
    make_post: InitVar[type[Post]] = Post
    journal: Journal = field(init=False)
    place: DataPlace = field(init=False)
    in_force: ProfileInForce = field(init=False)
    follower: ProfileFollower = field(init=False)
    health: OwnHealth = field(init=False)
    post: Post = field(init=False)
    begun_monotonic_s: float = field(init=False)
    believed_at: datetime | None = None  # the last tick's time of day; None if it is not believed
    _clock_watched: ClockWatched = field(init=False)
    _seen: Seen = field(default_factory=Seen)  # the last that could be read
    _quiet_until: datetime | None = None
    _changes: Changes | None = None
    _identity: int | None = None
    _looked: Look | None = None  # at the journal that others share, as the tick began
    _beside: ClockBesideOthers = field(default_factory=ClockBesideOthers)
    _recovered: str = field(init=False)
    _told_deaf: bool = False
    _started: bool = False

    def __post_init__(self, opened: OpenedWatch, ways: WaysOut, make_post: type[Post]) -> None:
        """Starts the couriers.

        Raises:
            JournalFault: the journal cannot be read.
        """
        self.journal, self.place, self._recovered = opened.journal, opened.place, opened.recovered
        self.in_force = ProfileInForce(opened, ways, self.clock, make_post)
        self.post = self.in_force.post
        self.follower = ProfileFollower(opened, self.in_force)
        self.health = OwnHealth(self.place, self.follower, self.oldest_tick_s)
        self._clock_watched = ClockWatched(in_force=self.in_force)
        self._clock_watched.recall(self.journal)
        self.begun_monotonic_s = self.clock.read().monotonic_s
        with suppress(JournalFault):  # a server may come later than its hosts
            self._identity = self.journal.changes().identity
        self.post.start(self.journal)

    @property
    def site_id(self) -> str:
        """The site whose reminders these are."""
        return self.in_force.site_id

    @property
    def household(self) -> Household:
        """The household by the profile in force."""
        return self.in_force.household

    @property
    def almanac(self) -> Almanac:
        """Its days."""
        return self.in_force.almanac

    def tick(self) -> bool:
        """One tick; True when it was complete: planned, claimed, written down."""
        readings = self.clock.read()
        self.begun_monotonic_s = readings.monotonic_s
        if self.place.server and self._stands_aside(readings):
            return False
        judged = self._clock_watched.watchfulness.judge(readings)
        trust = judged.trust
        self.believed_at = readings.wall if trust == "trusted" else None
        if judged.stepped or trust != self._clock_watched.trust:
            self._quiet_until = None
        try:
            self._follow_and_work(readings, judged)
        except JournalFault as fault:
            self._go_on_without(fault, readings.wall, trust)
        except Exception:  # noqa: BLE001 - it rolls back what was decided; doors are told of anyhow
            _log.exception("tick.failed")
            # The guard ends the process if it stays.
            self._go_on_without(_because(WhyNotTried.own_fault), readings.wall, trust)
        else:
            self.health.written(readings, self.post.fault(self.oldest_tick_s))
        self.health.tell(self.journal, readings, trust, self.deafness())
        return not self.health.fault

    def _stands_aside(self, readings: Readings) -> bool:
        """Whether this host's clock is not the others', so that it decides nothing.

        It rings all the same where no other host does.
        """
        self._looked = None
        with suppress(JournalFault):
            self._looked = self.journal.look()
        after = self.clock.read().wall
        ahead = self.health.ahead = self._beside.ahead(self._looked, readings.wall, after)
        if not ahead:
            return False
        self.believed_at = None
        trust = self._clock_watched.trust or "trusted"
        fault = _because(WhyUnusable.other_clock)
        if somebody_reminds(self.journal, self._looked, self.health.name, readings):
            self.health.failed(fault)
            self._quiet_until = None
        else:
            self._go_on_without(fault, readings.wall, trust)
        self.health.tell(self.journal, readings, trust, self.deafness())
        return True

    # -- look, decide, claim, hand over -----------------------------------------------------

    def _follow_and_work(self, readings: Readings, judged: Judgement) -> None:
        """Once more where only the connection was cut: from memory, it might be told twice."""
        try:
            self._work(readings, judged)
        except JournalFault as fault:
            if not fault.is_cut:
                raise
            self._work(readings, judged)

    def _work(self, readings: Readings, judged: Judgement) -> None:
        now = readings.wall
        looked, self._looked = self._looked, None  # once more is looked anew
        if looked is None or looked.changes.identity != self._identity:
            self._open_again(now)
            looked = self.journal.look()
        changes = looked.changes
        if self.follower.follow(self.journal, changes, self._seen, now):
            self._quiet_until = None
            changes = self.journal.changes()
        quiet = self._quiet_until is not None and now < self._quiet_until
        quiet = quiet and self._told_deaf == bool(self.deafness())
        if quiet and changes == self._changes and not self.post.changed.is_set():
            return
        self.post.changed.clear()
        # Taken before the transaction: what others commit after it is seen next time.
        self._changes = changes
        gone = self.post.unwritten.gone()
        is_sure = self._clock_watched.watchfulness.is_vouched_for(readings)
        with self.journal.writing() as writing:
            if self.clock.read().boot_s - readings.boot_s > _STALE_S:
                # The machine slept on the way: by this time what others told since lies ahead.
                self._quiet_until = None
                return
            for one, outcome, at in gone:
                claims.add_tried(writing.connection, one, outcome, at)
            nights = self._write(writing, now, judged, is_sure=is_sure)
            claimed = self.post.claim(writing, now)
            self._quiet_until = (
                None if nights is None else self._next(writing.connection, nights, now)
            )
        # What was undone with a transaction that failed is done again at the next tick.
        self._started = True
        self._clock_watched.wrote(judged.trust, is_sure=is_sure)
        self.post.unwritten.forget(gone)
        self.post.hand_over(claimed)

    def _write(
        self, writing: Writing, now: datetime, judged: Judgement, *, is_sure: bool
    ) -> list[Night] | None:
        """Writes down whatever is due; the evenings, None while nobody knows the time."""
        connection, site_id, trust = writing.connection, self.site_id, judged.trust
        if trust == "trusted":  # before the plan: a job first known today is not due today
            own_jobs.note_added(connection, self.household, self.household.today(now))
        self.in_force.use_records(writing, now)
        if not self._started:
            self._start(connection, now)
        readings = self.clock.read()
        claims.rescue(connection, site_id, now, self.post.in_flight, readings.wall)
        self._clock_watched.mend(writing, now, judged, is_sure=is_sure, is_first=not self._started)
        if trust == "untrusted":
            self._clock_watched.say_unknown(connection, now)
            return None
        if trust == "doubtful":
            self._clock_watched.ask_if_ahead(connection, now, readings.boot_s)
        else:
            deliveries.expire(connection, site_id, now)
            self.in_force.begin_watching(connection, now)
        return self._write_due(connection, now, judged)

    def _write_due(self, connection: Connection, now: datetime, judged: Judgement) -> list[Night]:
        """Writes down what the evenings need, and what else is to be told."""
        self._look(connection, now)
        nights = self._seen.nights(self.almanac, now, self.post.unwritten.rows(under_way=True))
        busy = write_due(connection, self.almanac, nights, self._seen, now)
        is_trusted, deaf = judged.trust == "trusted", self.deafness()
        if is_trusted:
            self._clock_watched.remember(connection, now, stepped=judged.stepped, busy=busy)
        if tell_besides(
            connection,
            self.in_force,
            self._seen,
            nights,
            now,
            is_trusted=is_trusted,
            deaf=deaf,
            doubt_of=lambda: self.health.doubt(connection, self.clock.read(), judged.trust),
        ):
            self._told_deaf = bool(deaf)
        return nights

    def _look(self, connection: Connection, now: datetime) -> None:
        self._seen = look(connection, self.site_id, self.household.today(now))
        self.post.handed.seen(self._seen.rows)
        self.in_force.use_answers(access.answers_generation(connection, self.site_id))

    def _next(self, connection: Connection, nights: list[Night], now: datetime) -> datetime:
        told_deaf = self._told_deaf
        return next_look(connection, self.almanac, nights, self._seen, now, told_deaf=told_deaf)

    def _start(self, connection: Connection, now: datetime) -> None:
        """The first tick: what a restart asks to look at."""
        first = memos.recall_instant(connection, self.site_id, FIRST_TICK)
        if first is not None:
            memos.note(connection, self.site_id, morning_brief.RESTARTED, now.isoformat())
        if self._recovered:
            matter = news(own_faults.recovered, self._recovered)
            today = self.household.today(now)
            tell_all(connection, self.almanac, Step("recovered"), today, matter, now)
        if first is not None:
            self.in_force.watched_since(first)
        if self.place.server:
            mine = fingerprint(self.almanac.key)
            self.health.other_key = has_another_key(connection, self.site_id, mine)

    # -- when the journal fails -------------------------------------------------------------

    def _open_again(self, now: datetime) -> None:
        """Goes on with a new journal when the old one was deleted or replaced under us.

        Raises:
            JournalFault: its server is away.
        """
        if self._is_the_same():
            return
        was_known = self._identity is not None
        if was_known:
            _log.error("journal.gone")
        self.journal.close()
        opened = open_checked(self.place, now, mounts="")
        self.journal = opened.journal
        self._identity = self.journal.changes().identity
        self._quiet_until = None
        self._clock_watched.forget()
        self.post.use(self.journal)
        with self.journal.reading() as connection:
            is_new = memos.last_accepted(connection) is None
        recovered = "empty" if is_new and was_known else opened.recovered
        if recovered:
            self._recovered, self._started = recovered, False
        if is_new or not self.place.server:
            self.follower.accept(self.journal, self.household, now)
        self._clock_watched.recall(self.journal)

    def _is_the_same(self) -> bool:
        try:
            return self.journal.changes().identity == self._identity
        except JournalFault as fault:
            if fault.is_away:
                raise
            return False

    def _go_on_without(self, fault: JournalFault, now: datetime, trust: Trust) -> None:
        self.health.failed(fault)
        self._quiet_until = None
        self._clock_watched.forget()
        if trust != "untrusted":
            self._send_from_memory(now, fault)

    def _send_from_memory(self, now: datetime, fault: JournalFault) -> None:
        """Sends the reminders that are due without a record, as with one."""
        unwritten = self.post.unwritten
        self.in_force.move_on(now)
        # A look costs five seconds more behind a lock, or on its way to a server that is away, and
        # what was known a tick ago will do.
        if not (fault.is_away or (self._started and fault.is_locked)):
            with suppress(JournalFault), self.journal.reading() as connection:
                self._look(connection, now)  # what can still be read is not told again
                # What waits there for its next try has nobody else to try it.
                in_flight = self.post.in_flight
                unwritten.add(deliveries.waiting(connection, self.site_id, now, in_flight))
        known = (*self.post.handed.rows(), *unwritten.rows())
        nights = self._seen.nights(self.almanac, now, known)
        is_lasting = self.health.is_to_be_told(self.clock.read().boot_s)
        for parcel in due_from_memory(
            unwritten,
            self.in_force,
            self._seen,
            nights,
            now,
            is_lasting=is_lasting,
            is_shared=bool(self.place.server),
        ):
            self.post.hand_over([parcel])


def _because(why: Words) -> JournalFault:
    """A fault that is none of the journal's, and keeps it from being written all the same."""
    return JournalFault(why(), for_later(why))
