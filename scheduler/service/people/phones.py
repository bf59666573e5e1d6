"""People's own phones: added, tried, heard from, ended; each belongs to a person and a session."""

import logging
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from datetime import datetime
from secrets import token_hex

from sqlalchemy import Connection

from scheduler.alerts.phone import Phone, Rang, Subscription
from scheduler.journal import phones
from scheduler.journal.store import Journal
from scheduler.machine.phone_key import PhoneKey, read_phone_key
from scheduler.profile.ringing_phone import RingingPhone
from scheduler.service.data_place import DataPlace
from scheduler.tokens.receipt import Receipt

MOST_PHONES = 8  # of a person; phone-push.md has the number, a household the reason
_log = logging.getLogger(__name__)


class TooMany(Exception):  # noqa: N818 - a refusal by its name
    """The person has eight phones already."""


def add(  # noqa: PLR0913 - whose, on which device
    journal: Journal,
    site_id: str,
    *,
    person_id: str,
    session: str,
    label: str,
    subscription: Subscription,
    now: datetime,
) -> Phone:
    """Keeps a phone of the person's; one that was reached at the same place before ends.

    Raises:
        TooMany: they have as many as may be.
    """
    with journal.writing() as writing:
        connection = writing.connection
        known = phones.phones(connection, site_id)
        before = [one for one in known if one.subscription.endpoint == subscription.endpoint]
        mine = [one for one in known if one.person_id == person_id and one not in before]
        if len(mine) >= MOST_PHONES:
            raise TooMany
        there = phones.of_endpoint(connection, site_id, subscription.endpoint)
        phones.end(connection, site_id, there, now, "taken over")
        phone = Phone(
            id=token_hex(8),
            person_id=person_id,
            session=session,
            label=label,
            subscription=subscription,
            made_at=now,
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

    _known: Mapping[str, Subscription] = field(default_factory=dict, repr=False)

    def know(self, known: Iterable[Phone]) -> None:
        """These there are, and no others."""
        self._known = {one.id: one.subscription for one in known}

    def of(self, phone_id: str) -> Subscription | None:
        """Where that phone is reached; None for one that has ended."""
        return self._known.get(phone_id)


def own_phone_key(place: DataPlace, environment: Mapping[str, str]) -> PhoneKey | None:
    """The key pair that phones are rung with; None where there is none that can be read."""
    try:
        return read_phone_key(place.folder, environment)
    except OSError as error:
        _log.error("phone_key.unreadable error=%s", type(error).__name__)
        return None


def own_key_id(place: DataPlace, environment: Mapping[str, str]) -> str | None:
    """The public key that phones are set up with; None where there is none that can be read."""
    key = own_phone_key(place, environment)
    return key.public if key else None


def read_ringing(
    connection: Connection, site_id: str, now: datetime, key_id: str | None
) -> tuple[RingingPhone, ...]:
    """The phones that ring now, by the journal, of those that were set up with that key."""
    return ringing(set_up_with(phones.phones(connection, site_id), key_id), now)
