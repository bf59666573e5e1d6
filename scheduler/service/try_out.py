"""A real test message over each of a person's channels."""

import logging
from collections.abc import Callable, Mapping, Sequence
from datetime import datetime
from functools import partial
from pathlib import Path
from secrets import token_hex

from scheduler.alerts import text
from scheduler.alerts.delivery import ChannelName, Delivery, Key, Outcome, Outgoing
from scheduler.alerts.evening import Contact, crew_of
from scheduler.journal import deliveries
from scheduler.journal.store import JournalFault, open_journal
from scheduler.profile.values import Profile, Site
from scheduler.service import clock
from scheduler.service.places import JOURNAL_NAME
from scheduler.service.reach import ways_of
from scheduler.service.secrets import secret
from scheduler.service.signing_key import signing_key
from scheduler.service.ways import channels_for

_log = logging.getLogger(__name__)
_Tried = tuple[ChannelName, str, Outcome]


def send_test(  # noqa: PLR0913 - what a test needs of the world, by name
    profile: Profile,
    person_id: str,
    folder: Path,
    environment: Mapping[str, str],
    *,
    now: Callable[[], datetime] = clock.now,
    migrate: bool = True,
) -> list[tuple[ChannelName, Outcome]]:
    """What came of each channel, the loudest first; empty when nothing reaches the person.

    It is written down as what came of a reminder is, and counts as much. Without `migrate` an
    older data file is left alone.

    Raises:
        SecretFault: a secret that one of them needs is missing or cannot be read.
        OSError: the key cannot be read.
    """
    key = signing_key(folder, environment)
    crew = crew_of(profile, ways_of(profile))
    contact = next((one for one in crew if one.person_id == person_id), None)
    if contact is None:
        return []
    theirs = {name for name, _ in contact.addresses}
    secret_of = partial(secret, environment=environment)
    channels = channels_for(profile, secret_of, key, now, only=theirs)
    message = text.test(contact.name)
    tried: list[_Tried] = []
    for name, address in contact.addresses:
        outgoing = Outgoing(
            operation="send",
            message=message,
            address=address,
            person_name=contact.name,
            message_id=token_hex(16),
            thread_id=token_hex(16),
        )
        tried.append((name, address, channels[name].deliver(outgoing)))
    try:
        _write_down(profile.site, contact, tried, folder, now(), migrate=migrate)
    except JournalFault as fault:  # whoever asked hears all the same what came of it
        _log.warning("test.not_written reason=%s", fault.reason)
    return [(name, outcome) for name, _, outcome in tried]


def _write_down(  # noqa: PLR0913 - one test in parts
    site: Site,
    contact: Contact,
    tried: Sequence[_Tried],
    folder: Path,
    now: datetime,
    *,
    migrate: bool,
) -> None:
    journal = open_journal(folder / JOURNAL_NAME, migrate=migrate)
    try:
        with journal.writing() as writing:
            for name, address, outcome in tried:
                key = Key(
                    site_id=site.id,
                    subject_id=site.id,
                    day=now.astimezone(site.zone).date(),
                    step=f"test-{token_hex(8)}",
                    opening=0,
                    person_id=contact.person_id,
                    channel=name,
                )
                one = Delivery(
                    key=key,
                    message=text.test(contact.name),
                    due_at=now,
                    useful_until=now,
                    address=address,
                )
                deliveries.add_tried(writing.connection, one, outcome, now)
    finally:
        journal.close()
