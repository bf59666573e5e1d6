"""A real test message over each of a person's channels."""

import logging
from collections.abc import Callable, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime, timedelta
from functools import partial
from secrets import token_hex

from scheduler.alerts.crew import Contact, crew_of
from scheduler.alerts.delivery import ChannelName, Delivery, Outcome, Outgoing, site_key
from scheduler.alerts.step import Step
from scheduler.journal import claims
from scheduler.journal.fault import JournalFault
from scheduler.machine import clock
from scheduler.machine.secrets import secret
from scheduler.machine.signing_key import signing_key
from scheduler.messages import ways_out
from scheduler.profile.site import Site
from scheduler.profile.values import Profile
from scheduler.service.data_place import DataPlace
from scheduler.service.people.open_channels import channels_for, lacking
from scheduler.service.reachable import place_of, ways_of

_USEFUL = timedelta(minutes=5)  # a server may take its time to answer
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What came of a test over one way; `how` says at a terminal how to give a missing secret."""

    channel: ChannelName
    outcome: Outcome
    how: str = ""


def send_test(  # noqa: PLR0913 - what a test needs of the world, by name
    profile: Profile,
    person_id: str,
    place: DataPlace,
    environment: Mapping[str, str],
    *,
    now: Callable[[], datetime] = clock.now,
    migrate: bool = True,
) -> list[Tried]:
    """What came of each channel, the loudest first; empty when nothing reaches the person.

    It is written down as what came of a reminder is, and counts as much, but for a way whose secret
    is missing here: the reminders may have it. Without `migrate` an older data file is left alone.

    Raises:
        OSError: the key cannot be read.
    """
    key = signing_key(place.folder, environment)
    crew = crew_of(profile, ways_of(profile), None)
    contact = next((one for one in crew if one.person_id == person_id), None)
    if contact is None:
        return []
    secret_of = partial(secret, environment=environment)
    channels = channels_for(profile, secret_of, key, now, only=dict(contact.addresses))
    lacks = {lack.way: lack for lack in lacking(profile, secret_of)}
    tried, sent = [], []
    for name, address in contact.addresses:
        if lack := lacks.get((name, place_of(name, address))):
            outcome = Outcome(kind="misconfigured", reason=lack.why)
            tried.append(Tried(channel=name, outcome=outcome, how=lack.how))
            continue
        one = _test(profile.site, contact, name, address, now())
        outcome = channels[name].deliver(_outgoing(one, contact))
        tried.append(Tried(channel=name, outcome=outcome))
        sent.append((one, outcome))
    try:
        _write_down(sent, place, now(), migrate=migrate)
    except JournalFault as fault:  # whoever asked hears all the same what came of it
        _log.warning("test.not_written reason=%s", fault.reason)
    return tried


def _test(
    site: Site, contact: Contact, channel: ChannelName, address: str, now: datetime
) -> Delivery:
    day, step = now.astimezone(site.zone).date(), Step("test", about=token_hex(8))
    key = site_key(site.id, day, step, contact.person_id, channel)
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
