"""The profile in force: whom it reaches over what, and the days that are planned by it."""

import logging
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import InitVar, dataclass, field, replace
from datetime import datetime

from sqlalchemy import Connection

from scheduler.alerts.delivery import ChannelName, Delivery, Key, Outcome
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.phone import Phone
from scheduler.alerts.pursue import with_what_was_said_late
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.channels.port import Channel
from scheduler.journal import access, memos, phones, reports
from scheduler.journal.claims import Claimed
from scheduler.journal.store import Journal, Writing
from scheduler.machine.clock import Clock
from scheduler.profile.values import Profile
from scheduler.service.almanac import Almanac
from scheduler.service.evenings_around import nights as nights_around
from scheduler.service.household.open_profile import Household
from scheduler.service.people.phones import Subscriptions, key_in_force, ringing, set_up_with
from scheduler.service.reachable import Lack, reaches_anybody, ways_of
from scheduler.service.reports.report import as_records, records
from scheduler.service.weather_asked import around
from scheduler.watch import relay
from scheduler.watch.couriers import Post
from scheduler.watch.opening import OpenedWatch
from scheduler.watch.worded import Worded, worded

FIRST_TICK = "first-tick"
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class WaysOut:
    """What a profile sends over, with the secrets that there are now.

    `channels_for`: with the return topic of that generation. `for_cancels`: a channel that the
    profile has no more. `secrets_hash` differs when a secret does. `subscriptions` are where the
    phones are reached; `key_id` is the public key that they are to be set up with.
    """

    channels_for: Callable[[Profile, int], Mapping[ChannelName, Channel]]
    for_cancels: Callable[[ChannelName, Profile], Channel | None]
    lacking: Callable[[Profile], tuple[Lack, ...]] = lambda _: ()
    secrets_hash: Callable[[Profile], int] = lambda _: 0
    subscriptions: Subscriptions = field(default_factory=Subscriptions)
    key_id: Callable[[], str | None] = lambda: None


@dataclass(slots=True)
class ProfileInForce:
    """The household that is reminded: by the last profile that could be followed."""

    opened: InitVar[OpenedWatch]
    ways: WaysOut
    clock: InitVar[Clock]
    make_post: InitVar[type[Post]]
    post: Post = field(init=False)
    almanac: Almanac = field(init=False)
    answers_generation: int = field(init=False)
    secrets_in_use: int = field(init=False)  # a hash of them
    lacks: tuple[Lack, ...] = field(init=False)
    _key: bytes = field(init=False, repr=False)
    _is_shared: bool = field(init=False)

    def __post_init__(self, opened: OpenedWatch, clock: Clock, make_post: type[Post]) -> None:
        """Goes by the profile that was opened."""
        profile, self._key = opened.household.profile, opened.key
        self.answers_generation, self._is_shared = 0, bool(opened.place.server)
        if not opened.is_away:
            with opened.journal.reading() as connection:
                self.answers_generation = access.answers_generation(connection, profile.site.id)
        channels = self.ways.channels_for(profile, self.answers_generation)
        self.post = make_post(
            channels,
            clock,
            site_id=profile.site.id,
            address_of=lambda parcel: self.reached(parcel.key),
            relays_of=self.relays_of,
            worded_by=self.worded_by,
            for_cancels=lambda name: self.ways.for_cancels(name, self.household.profile),
        )
        today = opened.household.today(clock.read().wall)
        known, days = opened.household.on(today), around(today)
        told = NO_RECORDS if opened.is_away else records(opened.journal, known, days)
        if not opened.is_away:
            with opened.journal.reading() as connection:
                self._know_phones(connection, profile.site.id)
        self.almanac = self._almanac(known, told, channels)
        self.become(self.almanac, channels, self.ways.lacking(profile))

    @property
    def household(self) -> Household:
        """The household by it."""
        return self.almanac.household

    @property
    def site_id(self) -> str:
        """The site whose profile it is."""
        return self.household.profile.site.id

    @property
    def reaches_anybody(self) -> bool:
        """Whether a message can reach somebody."""
        return bool(self.almanac.everybody) and reaches_anybody(self.household.profile, self.lacks)

    def reached(self, key: Key) -> tuple[str, str] | None:
        """Name and address by the profile of today: whoever has left it is told nothing."""
        for contact in self.almanac.crew(key.day):
            if contact.person_id != key.person_id:
                continue
            if key.channel == "phone":
                is_theirs = ("phone", key.address) in contact.phones
                return (contact.name, key.address) if is_theirs else None
            if to := contact.address(key.channel):
                return contact.name, to
        return None

    def relays_of(self, parcel: Claimed, outcome: Outcome, at: datetime) -> Iterable[Delivery]:
        """What goes out instead of a message that was not taken."""
        if all(one.id != parcel.key.person_id for one in self.household.profile.person):
            return ()  # taken out while it was on its way: the evening's next one is called
        crew = self.almanac.crew(parcel.key.day)
        return relay.relays(parcel, outcome, crew, at, self.post.destination)

    def worded_by(self, connection: Connection, now: datetime) -> Callable[[Claimed], Worded]:
        """What deliveries are to say, by the profile of today and what that transaction reads."""
        almanac, read = self.almanac, list[Night]()

        def nights(at: datetime) -> Sequence[Night]:
            if not read:
                around = nights_around(almanac, connection, at)
                read.extend(map(with_what_was_said_late, around))
            return read

        names = almanac.profile.person_names
        return lambda one: worded(one, names, nights, now)

    def watched_since(self, at: datetime) -> None:
        """The reminders began then."""
        self.almanac = replace(self.almanac, watched_since=at)

    def begin_watching(self, connection: Connection, now: datetime) -> None:
        """The reminders begin with the first tick at which somebody can be told."""
        if self.almanac.watched_since is None and self.reaches_anybody:
            memos.note(connection, self.site_id, FIRST_TICK, now.isoformat())
            self.watched_since(now)

    def use_records(self, writing: Writing, now: datetime) -> None:
        """Plans by what has been reported; what could not be planned is tried again by it."""
        self.move_on(now)
        known = reports.in_force(writing.connection, self.site_id)
        days = around(self.household.today(now))
        told = as_records(writing.connection, self.household, known, days)
        if not told.is_same(self.almanac.records):
            self.almanac = replace(self.almanac, records=told, quarantined=set())
        self._use_phones(writing.connection, now)

    def _use_phones(self, connection: Connection, now: datetime) -> None:
        """Rings the phones that there are now; a proof of one gets old, another is new."""
        known = self._know_phones(connection, self.site_id)
        ring = ringing(set_up_with(known, self.ways.subscriptions.key_id), now)
        here = self.household.with_phones(ring, self.household.today(now))
        if here is not self.household:
            _log.info("phones.changed count=%d", len(ring))
            channels = self.ways.channels_for(here.profile, self.answers_generation)
            self.post.use_channels(channels)
            ways = _ways(channels, here.profile)
            self.almanac = replace(self.almanac, household=here, ways=ways)

    def _know_phones(self, connection: Connection, site_id: str) -> tuple[Phone, ...]:
        """Every phone, where it is reached, and which key is in force."""
        known = phones.phones(connection, site_id)
        own = self.ways.key_id() if known else None
        key_id = key_in_force(connection, site_id, own, is_shared=self._is_shared)
        self.ways.subscriptions.know(known, key_id)
        return known

    def move_on(self, now: datetime) -> None:
        """Goes by the place where the birds live today."""
        here = self.household.as_of(now)
        if here is not self.household:
            _log.info("household.moved")
            self.almanac = replace(self.almanac, household=here)

    def use_answers(self, generation: int) -> None:
        """Buttons answer over the return topic of that generation."""
        if generation != self.answers_generation:
            self.post.use_channels(self.ways.channels_for(self.household.profile, generation))
            self.answers_generation = generation

    def become(
        self, almanac: Almanac, channels: Mapping[ChannelName, Channel], lacks: tuple[Lack, ...]
    ) -> None:
        """Its days are these from now on; the reminders began when they did."""
        self.lacks = lacks
        self.secrets_in_use = self.ways.secrets_hash(almanac.profile)
        self.post.use_channels(channels)
        self.almanac = replace(almanac, watched_since=self.almanac.watched_since)

    def almanac_of(
        self,
        journal: Journal,
        household: Household,
        channels: Mapping[ChannelName, Channel],
        now: datetime,
    ) -> Almanac:
        """The days of the household, to be told over these channels."""
        today = household.today(now)
        told = records(journal, household, around(today))
        return self._almanac(household.on(today), told, channels)

    def ringing(self, household: Household, now: datetime) -> Household:
        """Another profile's household with the phones that ring for this one's people."""
        return household.with_phones(self.household.profile.phones, household.today(now))

    def _almanac(
        self, household: Household, told: Records, channels: Mapping[ChannelName, Channel]
    ) -> Almanac:
        ways = _ways(channels, household.profile)
        return Almanac(household=household, records=told, ways=ways, key=self._key)

    def ask_for_secrets(self) -> bool:
        """Goes on with a secret that is there by now, or another: a file may change at any time.

        What could be read and cannot be any more is kept as it was.
        """
        profile = self.household.profile
        lacks, secrets_hash = self.ways.lacking(profile), self.ways.secrets_hash(profile)
        is_same = (lacks, secrets_hash) == (self.lacks, self.secrets_in_use)
        if is_same or not {one.way for one in lacks} <= {one.way for one in self.lacks}:
            return False
        _log.warning("secret.found missing_still=%d", len(lacks))
        self.lacks, self.secrets_in_use = lacks, secrets_hash
        channels = self.ways.channels_for(profile, self.answers_generation)
        self.post.use_channels(channels)
        self.almanac = replace(self.almanac, ways=_ways(channels, profile))
        return True


def _ways(channels: Mapping[ChannelName, Channel], profile: Profile) -> frozenset[ChannelName]:
    """Over what people are told: of several hosts another one may ring the phones."""
    return frozenset(channels) | (ways_of(profile) & {"phone"})
