"""The tick: looks at the clock, decides what is due, writes it down, claims it, hands it over.

It never waits on a send. While the journal cannot be written it sends from memory, with the same
ids, and writes that down when it can. Losing the journal means: tell again, never fall silent.
"""

import logging
from collections.abc import Callable, Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from functools import partial
from pathlib import Path

from sqlalchemy import Connection

from scheduler.alerts.crew import crew_of, duty_ids
from scheduler.alerts.decide import Row
from scheduler.alerts.delivery import ChannelName, Delivery, Key, Message, Outcome
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.held_messages import strays
from scheduler.alerts.pursue import next_instant, pursue
from scheduler.alerts.pursuit import Pursuit
from scheduler.alerts.reminded_evening import Evening
from scheduler.alerts.step import Step, step_at
from scheduler.alerts.words import own_faults, profile_changed, ways_out
from scheduler.cares.closing import Closing
from scheduler.channels.port import Channel
from scheduler.journal import access, closings, deliveries, history, memos
from scheduler.journal.deliveries import Claimed
from scheduler.journal.store import Journal, JournalFault, Writing
from scheduler.machine.clock import Clock, Readings
from scheduler.machine.clock_trust import Judgement, Trust, Watchfulness
from scheduler.profile.load import Problems
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.service.agree_clock import take_agreement
from scheduler.service.doors.follow import carry_out
from scheduler.service.evenings_around import DAYS_BACK, Almanac, assembled
from scheduler.service.health.banner import everything
from scheduler.service.health.tick_file import (
    OLDEST_TICK_S,
    NotFollowed,
    OwnPulse,
    Pulse,
    to_follow,
)
from scheduler.service.household import own_jobs
from scheduler.service.household.open_profile import Household
from scheduler.service.household.reload import last_accepted
from scheduler.service.household.renames import people_renamed, what_may_be_renamed
from scheduler.service.houses_emptied import no_birds_any_more
from scheduler.service.people import entry_notice
from scheduler.service.reachable import Lack, cut_off_by, reaches_anybody, ways_of, who_can_be_told
from scheduler.service.reports.report import as_records, records
from scheduler.watch import (
    eggs_told,
    emergency_calls,
    morning_brief,
    ran_ahead,
    relay,
    site_messages,
    unheard_answers,
    who_left,
)
from scheduler.watch.couriers import Post
from scheduler.watch.journal_recovery import open_checked
from scheduler.watch.looking_back import look_back
from scheduler.watch.parcel import FromMemory
from scheduler.watch.quiet_hours import can_be_said, night_ends
from scheduler.watch.site_note import told_to_all, told_to_duty
from scheduler.watch.unheard_answers import Deafness

_DAY = timedelta(days=1)
_REMEMBERED_EVERY = timedelta(hours=1)
_DOUBT_TOLD_AFTER_S = 1800.0  # a machine that was off for days is synchronised by then
_LASTING = ("full", "readonly", "read-only")
_log = logging.getLogger(__name__)

# For a profile, with the return topic of that generation.
ChannelsFor = Callable[[Profile, int], Mapping[ChannelName, Channel]]
ForCancels = Callable[[ChannelName, Profile], Channel | None]
Changed = Callable[[datetime], Household | Problems | None]


@dataclass(slots=True, kw_only=True)
class Memory:
    """What the tick last knew of the journal, for the time when it cannot be read."""

    said: tuple[Closing, ...] = ()
    begun: tuple[Evening, ...] = ()
    rows: tuple[Row, ...] = ()
    generations: Mapping[str, int] = field(default_factory=dict)


@dataclass(slots=True, kw_only=True)
class Ticker:
    """One site's reminders; `tick` is called every few seconds and by nobody at once."""

    household: Household
    journal: Journal
    folder: Path
    clock: Clock
    key: bytes
    channels_for: ChannelsFor
    changed_profile: Changed
    oldest_tick_s: float = OLDEST_TICK_S
    profile_number: int = 0
    recovered: str = ""
    deafness: Callable[[], Deafness | None] = lambda: None
    for_cancels: ForCancels = lambda _name, _profile: None
    lacking: Callable[[Profile], tuple[Lack, ...]] = lambda _: ()
    secrets_hash: Callable[[Profile], int] = lambda _: 0
    make_post: type[Post] = Post
    post: Post = field(init=False)
    almanac: Almanac = field(init=False)
    begun_monotonic_s: float = field(init=False)
    answers_generation: int = field(init=False)
    secrets_in_use: int = field(init=False)  # a hash of them
    complete_boot_s: float | None = None
    believed_at: datetime | None = None  # the last tick's time of day; None if it is not believed
    _watchfulness: Watchfulness = field(default_factory=Watchfulness)
    _trust: Trust | None = None  # of the last tick that wrote
    _memory: Memory = field(default_factory=Memory)
    _quiet_until: datetime | None = None
    _changes: tuple[int, int] | None = None
    _file_id: int | None = None
    _remembered: datetime | None = None
    _changed: Household | Problems | None = None
    _problems: int = 0
    _not_followed: str = ""
    _not_followed_kind: NotFollowed = "nobody"
    _fault: str = ""
    _told_deaf: bool = False
    _was_sure: bool = False  # at the last tick that wrote: the network or a person vouched for it
    _lacks: tuple[Lack, ...] = ()
    _awaits: tuple[Household, tuple[Lack, ...]] | None = None  # not followed for want of secrets
    _started: bool = False
    _own_pulse: OwnPulse = field(init=False)

    def __post_init__(self) -> None:
        """Starts the couriers."""
        self._own_pulse = OwnPulse(self.folder)
        profile = self.household.profile
        with self.journal.reading() as connection:
            self.answers_generation = access.answers_generation(connection, profile.site.id)
        self._lacks, self.secrets_in_use = self.lacking(profile), self.secrets_hash(profile)
        channels = self.channels_for(profile, self.answers_generation)
        self.post = self.make_post(
            channels,
            self.clock,
            site_id=profile.site.id,
            address_of=self._address_of,
            relays_of=self._relays_of,
            for_cancels=lambda name: self.for_cancels(name, self.household.profile),
        )
        self.almanac = self._almanac(self.household, frozenset(channels))
        self.begun_monotonic_s = self.clock.read().monotonic_s
        self._file_id = self.journal.changes()[0]
        self.post.start(self.journal)

    @property
    def site_id(self) -> str:
        """The site whose reminders these are."""
        return self.household.profile.site.id

    @property
    def _reaches_anybody(self) -> bool:
        crew = crew_of(self.household.profile, self.almanac.ways)
        return bool(crew) and reaches_anybody(self.household.profile, self._lacks)

    def tick(self) -> bool:
        """One tick; True when it was complete: planned, claimed, written down."""
        readings = self.clock.read()
        self.begun_monotonic_s = readings.monotonic_s
        judged = self._watchfulness.judge(readings)
        trust = judged.trust
        self.believed_at = readings.wall if trust == "trusted" else None
        if judged.stepped or trust != self._trust:
            self._quiet_until = None
        try:
            self._follow_profile(readings.wall)
            self._work(readings, judged)
        except JournalFault as fault:
            self._told_of(fault)
            if trust != "untrusted":
                self._from_memory(readings.wall, fault)
        except Exception:  # noqa: BLE001 - it rolls back what was decided; doors are told of anyhow
            _log.exception("tick.failed")
            bug = JournalFault("a fault of the program")  # the guard ends the process if it stays
            self._told_of(bug)
            if trust != "untrusted":
                self._from_memory(readings.wall, bug)
        else:
            self._look_at_post(readings)
        self._own_pulse.beat(self._pulse(readings, trust))
        return not self._fault

    def say_stopped(self) -> None:
        """Tells that no tick follows: whoever asks after a clean end is not told that they run."""
        self._own_pulse.stop(self.clock.read())

    def _look_at_post(self, readings: Readings) -> None:
        fault = self.post.fault(self.oldest_tick_s)
        if fault and fault != self._fault:
            _log.error("post.fault reason=%s", fault)
        self._fault = fault
        if not fault:
            self.complete_boot_s = readings.boot_s

    def _told_of(self, fault: JournalFault) -> None:
        if fault.reason != self._fault:
            _log.error("journal.fault reason=%s", fault.reason)
        self._fault = fault.reason
        self._quiet_until = self._remembered = None

    def _pulse(self, readings: Readings, trust: Trust) -> Pulse:
        deaf = self.deafness()
        return Pulse(
            wall=readings.wall.isoformat(),
            boot_s=readings.boot_s,
            complete_boot_s=self.complete_boot_s,
            trust=trust,
            profile_number=self.profile_number,
            profile_problems=self._problems,
            not_followed=self._not_followed,
            not_followed_kind=self._not_followed_kind,
            unplanned=self._unplanned(),
            lacks=self._lacks,
            fault=self._fault,
            deaf=deaf.reason if deaf else "",
            deaf_since=deaf.since(readings.wall).isoformat() if deaf else "",
            oldest_tick_s=self.oldest_tick_s,
        )

    def _unplanned(self) -> tuple[str, ...]:
        coops = self.household.profile.coop
        return tuple(one.name for one in coops if one.id in self.almanac.quarantined)

    def _work(self, readings: Readings, judged: Judgement) -> None:
        now = readings.wall
        self._open_again(now)
        changes = self.journal.changes()
        quiet = self._quiet_until is not None and now < self._quiet_until
        quiet = quiet and self._told_deaf == bool(self.deafness())
        if quiet and changes == self._changes and not self.post.changed.is_set():
            return
        self.post.changed.clear()
        # Taken before the transaction: what others commit after it is seen next time.
        self._changes = changes
        gone = self.post.unwritten.gone()
        is_sure = self._watchfulness.is_vouched_for(readings)
        with self.journal.writing() as writing:
            for one, outcome, at in gone:
                deliveries.add_tried(writing.connection, one, outcome, at)
            claimed = self._write(writing, now, judged, is_sure=is_sure)
        # What was undone with a transaction that failed is done again at the next tick.
        self._started, self._trust, self._was_sure = True, judged.trust, is_sure
        self.post.unwritten.forget(gone)
        self.post.hand_over(claimed)

    def _write(
        self, writing: Writing, now: datetime, judged: Judgement, *, is_sure: bool
    ) -> list[Claimed]:
        connection, site_id, trust = writing.connection, self.site_id, judged.trust
        if trust == "trusted":  # before the plan: a job first known today is not due today
            own_jobs.note_added(connection, self.household, self.household.today(now))
        self._use_records(writing)
        if not self._started:
            self._start(writing, now)
        shown = self.clock.read().wall
        deliveries.rescue(connection, site_id, now, self.post.in_flight, shown)
        self._judged(writing, now, judged, is_sure=is_sure)
        if trust == "untrusted":
            self._quiet_until = None
            step = Step("clock", day=f"{self._watchfulness.floor.date()}")
            self._add_for_all(writing, step, now.date(), own_faults.unknown_time(), now)
            return self.post.claim(writing, now)
        if trust == "doubtful":
            self._doubt(writing, now)
        if trust == "trusted":
            deliveries.expire(connection, site_id, now)
            if self.almanac.watched_since is None and self._reaches_anybody:
                memos.note(connection, site_id, ran_ahead.FIRST_TICK, now.isoformat())
                self.almanac = replace(self.almanac, watched_since=now)
        nights = self._nights(writing, now)
        pursuits = [(night, self._pursued(night, now)) for night in nights]
        for night, pursuit in pursuits:
            carry_out(connection, night, pursuit)
        deliveries.add(connection, self._strays(nights, now))
        if trust == "trusted":
            busy = any(pursuit.add for _, pursuit in pursuits)
            self._remember(writing, now, stepped=judged.stepped, busy=busy)
        self._take_note(writing, nights, now, trust)
        claimed = self.post.claim(writing, now)
        self._quiet_until = self._next(writing, nights, now)
        return claimed

    def _judged(self, writing: Writing, now: datetime, judged: Judgement, *, is_sure: bool) -> None:
        """Mends what a clock that was set left behind, and takes what somebody said of it."""
        if judged.stepped:
            deliveries.hurry(writing.connection, self.site_id, now)
        if judged.trust != "untrusted" and (judged.back or judged.trust != self._trust):
            self._forget_ahead(writing, now, is_sure=is_sure)
        elif is_sure and not self._was_sure:
            self._take_back_ahead(writing, now, is_sure=True)
        if judged.stepped or not self._started:
            memos.note(writing.connection, self.site_id, ran_ahead.CLOCK_SINCE, now.isoformat())
        if agreed := take_agreement(writing.connection, self.site_id):
            self._watchfulness.agree(agreed, now)

    def _forget_ahead(self, writing: Writing, now: datetime, *, is_sure: bool) -> None:
        """What was written down and said by a time that lay ahead, before a restart too."""
        ran_ahead.forget(writing.connection, self.site_id, now)
        self._take_back_ahead(writing, now, is_sure=is_sure)
        if ran_ahead.begins_anew(writing.connection, self.site_id, now):
            self.almanac = replace(self.almanac, watched_since=now)

    def _take_back_ahead(self, writing: Writing, now: datetime, *, is_sure: bool) -> None:
        today, connection = self.household.today(now), writing.connection
        undone = ran_ahead.take_back(connection, self.site_id, now, today=today, is_sure=is_sure)
        if undone:
            self._use_records(writing)
            _log.warning("clock.ran_ahead undone=%d", undone)
            step = step_at("said-ahead", now)
            message = own_faults.said_ahead(is_sure=is_sure)
            self._add_for_all(writing, step, now.date(), message, now)

    def _doubt(self, writing: Writing, now: datetime) -> None:
        """A clock far ahead: whoever knows better is asked."""
        watchful = self._watchfulness
        since_s = watchful.doubtful_since_s
        if since_s is not None and self.clock.read().boot_s - since_s >= _DOUBT_TOLD_AFTER_S:
            site = self.household.profile.site
            shown = local_clock(now, site.zone, site.region)
            message = own_faults.clock_ahead(now.astimezone(site.zone).date(), shown)
            self._add_for_all(writing, Step("clock-ahead"), watchful.floor.date(), message, now)

    def _take_note(
        self, writing: Writing, nights: Iterable[Night], now: datetime, trust: Trust
    ) -> None:
        """What the site tells besides its evenings; whatever is wrong with it, they go on."""
        try:
            self._tell_of_the_day(writing, now, trust)
            deaf, connection = self.deafness(), writing.connection
            self._told_deaf = bool(deaf)
            told = unheard_answers.follow(self.almanac, connection, nights, deaf, now)
            deliveries.add(connection, list(told))
        except (ArithmeticError, AttributeError, LookupError, TypeError, ValueError):
            _log.exception("notes.not_made")

    def _tell_of_the_day(self, writing: Writing, now: datetime, trust: Trust) -> None:
        if trust == "trusted" and self.almanac.watched_since:
            report = look_back(self.almanac, writing.connection, self._memory.said, now)
            deliveries.add(writing.connection, report)
        today = self.household.today(now)
        for coop_id in self.almanac.quarantined:
            message = own_faults.cannot_plan(self.household.profile.coop_of(coop_id).name)
            self._add_for_all(writing, Step("plan", about=coop_id), today, message, now)
        ended = emergency_calls.overs(self.almanac, writing.connection, self._memory.said, now)
        deliveries.add(writing.connection, list(ended))
        eggs = eggs_told.follow(self.almanac, writing.connection, now)
        deliveries.add(writing.connection, list(eggs))
        doubt_of = partial(self._doubt_of, writing.connection, trust)
        said = self._memory.said
        for one in site_messages.due_notes(self.almanac, writing.connection, said, now, doubt_of):
            deliveries.add(writing.connection, [one])
            if one.key.step.kind == "brief":
                crew = crew_of(self.household.profile, self.almanac.ways)
                to_duty = one.key.person_id in duty_ids(crew, one.key.day)
                morning_brief.told(writing.connection, self.site_id, to_duty=to_duty)

    def _doubt_of(self, connection: Connection, trust: Trust) -> str:
        """The worst reason not to rely on the reminders, for a brief that tells of buttons anyhow.

        What is written at this tick can be written.
        """
        profile, readings = self.household.profile, self.clock.read()
        tries = history.last_tries(connection, self.site_id)
        reach = who_can_be_told(profile, ways_of(profile), tries)
        pulse = self._pulse(readings, trust)
        if not self._fault:
            pulse = replace(pulse, complete_boot_s=readings.boot_s)
        found = everything(pulse, profile, reach, readings)
        worst = next((one for one in found if one.counts and one.kind != "deaf"), None)
        return own_faults.not_relied_on(worst.what) if worst else ""

    def _add_for_all(
        self, writing: Writing, step: Step, day: date, message: Message, now: datetime
    ) -> None:
        told = told_to_all(self.almanac, step, day, message, now)
        deliveries.add(writing.connection, told)

    def _next(self, writing: Writing, nights: Iterable[Night], now: datetime) -> datetime:
        instants = []
        try:
            instants += [next_instant(night, now) for night in nights]
            instants.append(site_messages.next_note(self.almanac, now, self._memory.said))
            if self._told_deaf and (ends := night_ends(self.almanac, now)):
                instants.append(ends)
        except Exception:  # noqa: BLE001 - what cannot be worked out must not silence the rest
            _log.exception("next.not_known")
            return now
        if due := deliveries.next_due(writing.connection, self.site_id):
            instants.append(due)
        return min(*instants, now + _REMEMBERED_EVERY)

    def _nights(self, writing: Writing, now: datetime) -> list[Night]:
        self._read(writing.connection, now)
        return self._assembled(now, self.post.unwritten.rows(under_way=True))

    def _read(self, connection: Connection, now: datetime) -> None:
        site_id, today = self.site_id, self.household.today(now)
        since = today - DAYS_BACK * _DAY
        self._memory = Memory(
            said=closings.closings(connection, site_id),
            begun=deliveries.evenings(connection, site_id, since),
            rows=deliveries.rows_since(connection, site_id, since),
            generations=access.generations(connection, site_id),
        )
        renewed = access.answers_generation(connection, site_id)
        if renewed != self.answers_generation:
            self.post.use_channels(self.channels_for(self.household.profile, renewed))
            self.answers_generation = renewed

    def _assembled(self, now: datetime, unwritten: tuple[Row, ...]) -> list[Night]:
        today = self.household.today(now)
        days = [today - ago * _DAY for ago in range(DAYS_BACK, -1, -1)]
        memory = self._memory
        rows = {row.key: row for row in (*memory.rows, *unwritten)}
        return list(
            assembled(
                self.almanac,
                memory.begun,
                memory.said,
                tuple(rows.values()),
                days,
                memory.generations,
            )
        )

    def _strays(self, nights: Iterable[Night], now: datetime) -> Iterable[Delivery]:
        """What is held for doors that are none any more; not while one is only out of sight."""
        return () if self.almanac.quarantined else strays(nights, self._memory.rows, now)

    def _pursued(self, night: Night, now: datetime) -> Pursuit:
        """What the evening needs; nothing when that cannot be worked out."""
        try:
            return pursue(night, now)
        except Exception:  # noqa: BLE001 - one evening that cannot be followed must not silence the others
            _log.exception("evening.not_followed")
            self.almanac.quarantined.update(one.coop_id for one in night.evening.doors)
            return Pursuit()

    def _start(self, writing: Writing, now: datetime) -> None:
        """The first tick: what a restart asks to look at."""
        connection, site_id = writing.connection, self.site_id
        first = memos.recall_instant(connection, site_id, ran_ahead.FIRST_TICK)
        if first is not None:
            memos.note(connection, site_id, morning_brief.RESTARTED, now.isoformat())
        if self.recovered:
            message = own_faults.recovered(self.recovered)
            self._add_for_all(writing, Step("recovered"), self.household.today(now), message, now)
        if first is not None:
            self.almanac = replace(self.almanac, watched_since=first)

    def _remember(self, writing: Writing, now: datetime, *, stepped: bool, busy: bool) -> None:
        connection, site_id = writing.connection, self.site_id
        if stepped:
            memos.note(connection, site_id, morning_brief.STEPPED, now.isoformat())
        since = self._remembered
        if since is None or busy or abs(now - since) >= _REMEMBERED_EVERY:
            memos.note(connection, site_id, memos.LAST_TICK, now.isoformat())
            self._remembered = now

    @property
    def outlives_a_restart(self) -> bool:
        """Whether a new process would find the same: a full disk, or one that may not be written.

        It would even know less: this one goes on from memory.
        """
        return any(sign in self._fault for sign in _LASTING)

    def begin(self, refused: Household | Problems | None = None) -> None:
        """What the first tick needs: the newest time that was believed, what is not followed.

        `refused` is what the profile's file holds while the last accepted one is in force.
        """
        self._changed = refused or self.household
        with suppress(JournalFault):
            self._recall_floor()
            if refused:
                self._recall_number()

    def _recall_number(self) -> None:
        with self.journal.reading() as connection:
            if last := memos.last_accepted(connection):
                self.profile_number = last[0]

    def _recall_floor(self) -> None:
        with self.journal.reading() as connection:
            last = memos.recall_instant(connection, self.site_id, memos.LAST_TICK)
        if last:
            known = last - _REMEMBERED_EVERY
            self._watchfulness.floor = max(self._watchfulness.floor, known)

    def _open_again(self, now: datetime) -> None:
        """Goes on with a new journal when the file was deleted or replaced under us."""
        if self._file_id is not None and self.journal.is_the_file(self._file_id):
            return
        _log.error("journal.gone")
        self.journal.close()
        opened = open_checked(self.folder, now, mounts="")
        self.journal = opened.journal
        self._file_id = self.journal.changes()[0]
        self._quiet_until = self._remembered = None
        self.post.use(self.journal)
        with self.journal.reading() as connection:
            is_new = memos.last_accepted(connection) is None
        if is_new:
            self.recovered, self._started = "empty", False
        elif opened.recovered:
            self.recovered, self._started = opened.recovered, False
        self.accept(self.household, now)

    def _use_records(self, writing: Writing) -> None:
        reports = writing.reports(self.site_id)
        told = as_records(writing.connection, self.household, reports)
        if not told.is_same(self.almanac.records):
            # What could not be planned is tried again by these.
            self.almanac = replace(self.almanac, records=told, quarantined=set())

    def _follow_profile(self, now: datetime) -> None:
        # Kept until it is dealt with: the journal may fail half way.
        self._changed = self.changed_profile(now) or self._changed or self._awaited()
        self._ask_for_secrets()
        if self._changed is None:
            return
        self._quiet_until = None
        self._take_over(self._changed, now)
        self._changed = None

    def _awaited(self) -> Household | None:
        """The changed profile that was not followed for want of secrets, once it has others."""
        if self._awaits is None:
            return None
        found, lacks = self._awaits
        return found if self.lacking(found.profile) != lacks else None

    def _take_over(self, found: Household | Problems, now: datetime) -> None:
        self._awaits = None
        if isinstance(found, tuple):
            self.refuse(found, now)
            return
        lacks = self.lacking(found.profile)
        if self._reaches_anybody and not reaches_anybody(found.profile, lacks):
            # Followed, it would silence every evening to come, and nobody would hear of it.
            self._awaits = (found, lacks)
            wanting = lacks if reaches_anybody(found.profile) else ()
            why = ": ".join(["nobody could be told by it", *(one.why for one in wanting[:1])])
            self._cannot_follow(_for_want_of(wanting), why, now)
            return
        if found.profile.site.id != self.site_id:
            why = f'it is of another site, id "{found.profile.site.id}" and not "{self.site_id}"'
            self._cannot_follow("another-site", why, now)
            return
        if ended := cut_off_by((self.household.profile, self._lacks), (found.profile, lacks)):
            _log.error("profile.needs_secret channel=%s", ended[0].channel)
            self._awaits = (found, lacks)
            self._cannot_follow(_for_want_of(ended), ended[0].why, now)
            return
        channels = self.channels_for(found.profile, self.answers_generation)
        almanac = self._almanac(found, frozenset(channels))
        today = self.household.today(now)
        emptied = no_birds_any_more(self.almanac, almanac, self._memory.begun, today)
        before = last_accepted(self.journal, now)
        renamed = what_may_be_renamed(before, found)
        self.accept(found, now, before)
        # Everything that can fail is done: now all of it changes at once.
        self._problems, self._not_followed = 0, ""
        self.household, self._lacks = found, lacks
        self.secrets_in_use = self.secrets_hash(found.profile)
        self.post.use_channels(channels)
        self.almanac = replace(almanac, watched_since=self.almanac.watched_since)
        if emptied:
            self._tell(step_at("emptied", now), profile_changed.no_more_reminders(emptied), now)
        if renamed:
            self._tell(step_at("renamed", now), profile_changed.renamed(renamed), now)
        self._tell_who_left(now)
        self._tell_what_is_missing(now)

    def _ask_for_secrets(self) -> None:
        """Goes on with a secret that is there by now, or another: a file may change at any time.

        What could be read and cannot be any more is kept as it was.
        """
        profile = self.household.profile
        lacks, secrets_hash = self.lacking(profile), self.secrets_hash(profile)
        is_same = (lacks, secrets_hash) == (self._lacks, self.secrets_in_use)
        if is_same or not {one.way for one in lacks} <= {one.way for one in self._lacks}:
            return
        _log.warning("secret.found missing_still=%d", len(lacks))
        self._lacks, self.secrets_in_use = lacks, secrets_hash
        channels = self.channels_for(profile, self.answers_generation)
        self.post.use_channels(channels)
        self.almanac = replace(self.almanac, ways=frozenset(channels))
        self._quiet_until = None

    def _tell_what_is_missing(self, now: datetime) -> None:
        """Tells everybody who can be told, once a day and way, that a secret is missing."""
        profile = self.household.profile
        reach = who_can_be_told(profile, ways_of(profile), {}).lacking(self._lacks)
        for lack in self._lacks:
            _log.error("way.lacks_secret channel=%s", lack.channel)
            names = [one.name for one in reach.ways if (one.channel, one.place) == lack.way]
            message = ways_out.lacks_secret(names, lack.channel, lack.why, in_file=lack.in_file)
            step = Step("lacks", channel=lack.channel, about=lack.place).fitted
            self._tell(step, message, now)

    def _cannot_follow(self, kind: NotFollowed, why: str, now: datetime) -> None:
        if why != self._not_followed:
            _log.error("profile.not_followed nobody_reachable=%s", kind == "nobody")
        self._problems, self._not_followed, self._not_followed_kind = 1, why, kind
        message = profile_changed.profile_not_followed(why, to_follow(kind))
        self._tell(step_at("profile", now), message, now)

    def _tell_who_left(self, now: datetime) -> None:
        today = self.household.today(now)
        with self.journal.writing() as writing:
            connection = writing.connection
            evenings = deliveries.evenings(connection, self.site_id, today)
            begun = [one for one in evenings if one.day == today and now < one.let_out]
            said = self._memory.said
            told = list(who_left.follow(self.almanac, connection, now, begun=begun, said=said))
            deliveries.add(connection, told)

    def _tell(self, step: Step, message: Message, now: datetime) -> None:
        with self.journal.writing() as writing:
            self._add_for_all(writing, step, self.household.today(now), message, now)

    def refuse(self, problems: Problems, now: datetime) -> None:
        """Tells everybody once that the changed profile cannot be used.

        Raises:
            JournalFault: the journal cannot be written.
        """
        self._problems, self._not_followed = len(problems), ""
        for problem in problems:
            _log.error("profile.problem line=%s", problem.line)
        self._tell(step_at("profile", now), profile_changed.profile_refused(len(problems)), now)

    def accept(self, household: Household, now: datetime, before: Household | None = None) -> None:
        """Writes the household's profile and its number to the journal.

        Whoever was in the one `before` and is not in it any more is signed in nowhere.

        Raises:
            JournalFault: the journal cannot be written.
        """
        pairs = people_renamed(before.profile, household.profile) if before else ()
        called = {was.id: came.id for was, came in pairs}
        with self.journal.writing() as writing:
            self.profile_number = memos.accept(
                writing.connection, self.site_id, household.text, now
            )
            people = [person.id for person in household.profile.person]
            ended = access.keep_only(writing.connection, self.site_id, people, now, called)
            if ended and before:
                profiles = before.profile, household.profile
                entry_notice.tell_ended(writing.connection, *profiles, ended, now)
            houses = [coop.id for coop in household.profile.coop]
            memos.note_houses(writing.connection, self.site_id, houses)
        _log.info("profile.accepted number=%d", self.profile_number)

    def _almanac(self, household: Household, ways: frozenset[ChannelName]) -> Almanac:
        told = records(self.journal, household)
        return Almanac(household=household, records=told, ways=ways, key=self.key)

    def _address_of(self, parcel: Claimed) -> tuple[str, str] | None:
        return self._reached(parcel.key)

    def _reached(self, key: Key) -> tuple[str, str] | None:
        """Name and address by the profile of today: whoever has left it is told nothing."""
        for contact in crew_of(self.household.profile, self.almanac.ways):
            if contact.person_id == key.person_id and (to := contact.address(key.channel)):
                return contact.name, to
        return None

    def _relays_of(self, parcel: Claimed, outcome: Outcome, at: datetime) -> Iterable[Delivery]:
        if all(one.id != parcel.key.person_id for one in self.household.profile.person):
            return ()  # taken out while it was on its way: the evening's next one is called
        crew = crew_of(self.household.profile, self.almanac.ways)
        return relay.relays(parcel, outcome, crew, self.site_id, at, self.post.destination)

    def _from_memory(self, now: datetime, fault: JournalFault) -> None:
        """Sends the reminders that are due without a record, as with one."""
        unwritten = self.post.unwritten
        # Behind a lock a look costs five seconds more, and what was known a tick ago will do.
        if not (self._started and "locked" in fault.reason):
            with suppress(JournalFault), self.journal.reading() as connection:
                self._read(connection, now)  # what can still be read is not told again
                # What waits there for its next try has nobody else to try it.
                in_flight = self.post.in_flight
                unwritten.add(deliveries.waiting(connection, self.site_id, now, in_flight))
        nights = self._assembled(now, unwritten.rows())
        for night in nights:
            found = self._pursued(night, now)
            unwritten.drop(found.drop)
            unwritten.add(found.add)
        if self.outlives_a_restart and can_be_said(self.almanac, nights, now):
            unwritten.add(self._not_written(now))
        for one in unwritten.take(now):
            name, address = self._reached(one.key) or ("", None)
            self.post.hand_over([FromMemory(delivery=one, person_name=name, address=address)])

    def _not_written(self, now: datetime) -> Iterable[Delivery]:
        """Tells whoever is on duty that nothing can be written, once a day."""
        today = self.household.today(now)
        told = {row.key for row in self._memory.rows}
        message = own_faults.not_written()
        found = told_to_duty(self.almanac, Step("not-written"), today, message, now)
        return [one for one in found if one.key not in told]


def _for_want_of(lacks: Sequence[Lack]) -> NotFollowed:
    """Why a changed profile that needs these secrets is not in force."""
    if not lacks:
        return "nobody"
    return "secret-file" if all(one.in_file for one in lacks) else "secret"
