"""A real test message over each of a person's channels."""

import logging
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from secrets import token_hex
from typing import Any

from scheduler.alerts.crew import Contact, crew_of
from scheduler.alerts.delivery import ChannelName, Delivery, Outcome, Outgoing, site_key
from scheduler.alerts.phone import Phone
from scheduler.alerts.step import Step
from scheduler.journal import claims, phones
from scheduler.journal.fault import JournalFault
from scheduler.machine import clock
from scheduler.machine.phone_key import PhoneKey
from scheduler.machine.secrets import secret
from scheduler.machine.signing_key import signing_key
from scheduler.messages import ways_out
from scheduler.profile.site import Site
from scheduler.profile.values import Profile
from scheduler.service.data_place import DataPlace
from scheduler.service.people.open_channels import NOTHING, PhonesOut, channels_for, lacking
from scheduler.service.people.phones import own_phone_key, ringing, set_up_with
from scheduler.service.reachable import place_of, ways_of

_USEFUL = timedelta(minutes=5)  # a server may take its time to answer
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What came of a test over one way; `how` says at a terminal how to give a missing secret.

    `phone` is what the phone is called that was rung.
    """

    channel: ChannelName
    outcome: Outcome
    how: str = ""
    phone: str = ""


def send_test(  # noqa: PLR0913 - what a test needs of the world, by name
    profile: Profile,
    person_id: str,
    place: DataPlace,
    environment: Mapping[str, str],
    *,
    now: Callable[[], datetime] = clock.now,
    migrate: bool = True,
    phone_id: str | None = None,
    wired: Mapping[str, Any] = NOTHING,
) -> list[Tried]:
    """What came of each channel, the loudest first; empty when nothing reaches the person.

    With `phone_id` that phone alone is rung; `wired` is for a test's own push service.

    It is written down as what came of a reminder is, and counts as much, but for a way whose secret
    is missing here: the reminders may have it. Without `migrate` an older data file is left alone.

    Raises:
        OSError: the key cannot be read.
    """
    key, pair = signing_key(place.folder, environment), own_phone_key(place, environment)
    known = {one.id: one for one in _phones(profile, place, pair, migrate=migrate)}
    profile = profile.with_phones(ringing(known.values(), now())).at(now())
    crew = crew_of(profile, ways_of(profile), None)
    contact = next((one for one in crew if one.person_id == person_id), None)
    if contact is None:
        return []
    wanted = [way for way in contact.addresses if phone_id in {None, way[1]}]
    secret_of = partial(secret, environment=environment)
    phones_out = PhonesOut(
        key=lambda: pair, subscription_of=lambda one: known[one].subscription, wired=wired
    )
    channels = channels_for(profile, secret_of, key, now, phones=phones_out, only=dict(wanted))
    lacks = {lack.way: lack for lack in lacking(profile, secret_of)}
    tried, sent = [], []
    for name, address in wanted:
        if lack := lacks.get((name, place_of(name, address))):
            outcome = Outcome(kind="misconfigured", reason=lack.why)
            tried.append(Tried(channel=name, outcome=outcome, how=lack.how))
            continue
        one = _test(profile.site, contact, name, address, now())
        outcome = channels[name].deliver(_outgoing(one, contact))
        label = known[address].label if name == "phone" else ""
        tried.append(Tried(channel=name, outcome=outcome, phone=label))
        sent.append((one, outcome))
    try:
        _write_down(sent, place, now(), migrate=migrate)
    except JournalFault as fault:  # whoever asked hears all the same what came of it
        _log.warning("test.not_written reason=%s", fault.reason)
    return tried


def _phones(
    profile: Profile, place: DataPlace, pair: PhoneKey | None, *, migrate: bool
) -> tuple[Phone, ...]:
    """The phones that can be rung; none where the journal cannot be read."""
    if pair is None or not place.has_journal:
        return ()
    try:
        with closing(place.open(migrate=migrate)) as journal, journal.reading() as connection:
            return set_up_with(phones.phones(connection, profile.site.id), pair.public)
    except JournalFault as fault:
        _log.warning("phones.unread reason=%s", fault.reason)
        return ()


def _test(
    site: Site, contact: Contact, channel: ChannelName, address: str, now: datetime
) -> Delivery:
    day, step = now.astimezone(site.zone).date(), Step("test", about=token_hex(8))
    key = site_key(site.id, day, step, contact.person_id, channel, address)
    return Delivery(key=key, due_at=now, useful_until=now + _USEFUL, address=address)


def _outgoing(one: Delivery, contact: Contact) -> Outgoing:
    return Outgoing(
        operation="send",
        message=ways_out.test(contact.name),
        address=one.address or "",
        person_name=contact.name,
        message_id=one.key.message_id,
        thread_id=token_hex(16),
    )


def _write_down(
    sent: Sequence[tuple[Delivery, Outcome]], place: DataPlace, now: datetime, *, migrate: bool
) -> None:
    journal = place.open(migrate=migrate)
    with closing(journal), journal.writing() as writing:
        for one, outcome in sent:
            claims.add_tried(writing.connection, one, outcome, now)
            phones.follow_outcome(writing.connection, one.key, outcome, now)
