"""People's own phones: added, tried, heard from, ended; each belongs to a person and a session."""

import logging
from collections.abc import Iterable, Mapping
from contextlib import closing
from dataclasses import dataclass, field
from datetime import datetime
from os import strerror
from secrets import token_hex

from sqlalchemy import Connection

from scheduler.alerts.phone import Phone, Rang, Subscription
from scheduler.journal import memos, phones
from scheduler.journal.store import Journal
from scheduler.machine.phone_key import PhoneKey, phone_key, read_phone_key
from scheduler.profile.ringing_phone import RingingPhone
from scheduler.service.data_place import DataPlace
from scheduler.tokens.receipt import Receipt

_KEY = "phone-key"  # the memo of the public key that phones were set up with last
MOST_PHONES = 8  # of a person; phone-push.md has the number, a household the reason
_log = logging.getLogger(__name__)


class TooMany(Exception):  # noqa: N818 - a refusal by its name
    """The person has eight phones already."""


class OtherKey(Exception):  # noqa: N818 - as above
    """This host has another key pair than the phones of the household are set up with."""


def add(  # noqa: PLR0913 - whose, on which device
    journal: Journal,
    site_id: str,
    *,
    person_id: str,
    session: str,
    label: str,
    subscription: Subscription,
    now: datetime,
    is_shared: bool = False,
) -> Phone:
    """Keeps a phone of the person's; one that was reached at the same place before ends.

    So does the session's other one: a browser has one address alone. That it does not ring, or is
    silent, holds on; that it rings is to be said again. `is_shared`: several hosts ring it.

    Raises:
        TooMany: they have as many as may be.
        OtherKey: of several hosts this one has another key than that phones are set up with.
    """
    with journal.writing() as writing:
        connection = writing.connection
        known = phones.phones(connection, site_id)
        in_use = {one.subscription.key_id for one in known}
        noted = memos.recall(connection, site_id, _KEY)
        if is_shared and noted in in_use and noted != subscription.key_id:
            raise OtherKey
        memos.note(connection, site_id, _KEY, subscription.key_id)
        own = [one for one in known if (one.session, one.person_id) == (session, person_id)]
        there = {*phones.of_endpoint(connection, site_id, subscription.endpoint)}
        there |= {one.id for one in own}
        if sum(one.person_id == person_id and one.id not in there for one in known) >= MOST_PHONES:
            raise TooMany
        phones.end(connection, site_id, there, now, "taken over")
        silent = next((one for one in own if one.rang in {"silent", "no"}), None)
        phone = Phone(
            id=token_hex(8),
            person_id=person_id,
            session=session,
            label=label,
            subscription=subscription,
            made_at=now,
            rang=silent.rang if silent else None,
            rang_at=silent.rang_at if silent else None,
        )
        phones.add(connection, site_id, phone)
    _log.info("phone.added")
    return phone


def rang(  # noqa: PLR0913 - of which phone, what, when
    journal: Journal, site_id: str, phone_id: str, answer: Rang, now: datetime, *, quiet: bool
) -> None:
    """Keeps what its person answered to "Did it ring?", `quiet` with Do Not Disturb on."""
    with journal.writing() as writing:
        phones.note_rang(writing.connection, site_id, phone_id, answer, now, quiet=quiet)
    _log.info("phone.tried rang=%s quiet=%s", answer, quiet)


def end(journal: Journal, site_id: str, phone_id: str, now: datetime) -> None:
    """Ends a phone because somebody says so; it is told nothing any more."""
    with journal.writing() as writing:
        phones.end(writing.connection, site_id, [phone_id], now, "removed")
    _log.info("phone.removed")


def arrived(journal: Journal, receipt: Receipt, now: datetime) -> bool:
    """Keeps that a phone has shown a message; False for a phone that has ended."""
    with journal.writing() as writing:
        return phones.note_arrived(writing.connection, receipt, now)


def ringing(known: Iterable[Phone], now: datetime) -> tuple[RingingPhone, ...]:
    """The phones as the reminders know them."""
    return tuple(
        RingingPhone(
            id=one.id,
            person_id=one.person_id,
            is_proven=one.is_proven(now),
            says_shown=one.arrived_at is not None,
        )
        for one in known
    )


def set_up_with(known: Iterable[Phone], key_id: str | None) -> tuple[Phone, ...]:
    """Those that can be rung with that key pair."""
    return tuple(one for one in known if one.subscription.key_id == key_id)


@dataclass(slots=True)
class Subscriptions:
    """Where phones are reached, as the last look at the journal saw them; asked on any thread."""

    key_id: str | None = None  # which phones are to be set up with
    _known: Mapping[str, Subscription] = field(default_factory=dict, repr=False)

    def know(self, known: Iterable[Phone], key_id: str | None) -> None:
        """These there are, and no others; that key is in force."""
        self._known = {one.id: one.subscription for one in known}
        self.key_id = key_id

    def of(self, phone_id: str) -> Subscription | None:
        """Where that phone is reached; None for one that has ended."""
        return self._known.get(phone_id)


@dataclass(slots=True)
class OwnKey:
    """This host's key pair; one that could be read and cannot be any more is kept as it was."""

    place: DataPlace
    environment: Mapping[str, str] = field(repr=False)
    _last: PhoneKey | None = field(default=None, repr=False)

    def __call__(self) -> PhoneKey | None:
        """None where there is none, or none that could ever be read."""
        try:
            self._last = read_phone_key(self.place.folder, self.environment)
        except OSError as error:
            _log.error("phone_key.unreadable error=%s", type(error).__name__)
        return self._last

    @property
    def key_id(self) -> str | None:
        """Its public key."""
        key = self()
        return key.public if key else None


def public_key(place: DataPlace, environment: Mapping[str, str], site_id: str) -> str:
    """The key that a browser is asked with; made with the first question.

    Of several hosts the first one makes it; each of the others needs that one.

    Raises:
        OSError: there is none, or it cannot be read or made.
        JournalFault: the journal that the hosts share cannot be read.
    """
    if place.server and read_phone_key(place.folder, environment) is None:
        with closing(place.open(migrate=False)) as journal, journal.reading() as connection:
            if memos.recall(connection, site_id, _KEY):
                raise FileNotFoundError(2, strerror(2), "vapid.key")
    return phone_key(place.folder, environment).public


def own_phone_key(place: DataPlace, environment: Mapping[str, str]) -> PhoneKey | None:
    """The key pair that phones are rung with; None where there is none that can be read."""
    return OwnKey(place, environment)()


def own_key_id(place: DataPlace, environment: Mapping[str, str]) -> str | None:
    """The public key that phones are set up with; None where there is none that can be read."""
    key = own_phone_key(place, environment)
    return key.public if key else None


def key_in_force(
    connection: Connection, site_id: str, own: str | None, *, is_shared: bool
) -> str | None:
    """The public key that phones are to be set up with: this host's `own`.

    Of several hosts that of the phones there are: whoever has another pair, or none, rings none,
    and counts on those that can.
    """
    return memos.recall(connection, site_id, _KEY) or own if is_shared else own


def read_ringing(
    connection: Connection,
    site_id: str,
    now: datetime,
    own_key: str | None,
    *,
    is_shared: bool = False,
) -> tuple[RingingPhone, ...]:
    """The phones that ring now, by the journal, of those that can be rung."""
    key_id = key_in_force(connection, site_id, own_key, is_shared=is_shared)
    return ringing(set_up_with(phones.phones(connection, site_id), key_id), now)
