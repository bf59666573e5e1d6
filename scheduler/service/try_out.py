"""A real test message over each of a person's channels."""

from collections.abc import Mapping
from functools import partial
from pathlib import Path
from secrets import token_hex

from scheduler.alerts import text
from scheduler.alerts.delivery import ChannelName, Outcome, Outgoing
from scheduler.alerts.evening import crew_of
from scheduler.profile.values import Profile
from scheduler.service import clock
from scheduler.service.reach import ways_of
from scheduler.service.secrets import secret
from scheduler.service.signing_key import signing_key
from scheduler.service.ways import channels_for


def send_test(
    profile: Profile, person_id: str, folder: Path, environment: Mapping[str, str]
) -> list[tuple[ChannelName, Outcome]]:
    """What came of each channel, the loudest first; empty when nothing reaches the person.

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
    channels = channels_for(profile, secret_of, key, clock.now, only=theirs)
    message = text.test(contact.name)
    found = []
    for name, address in contact.addresses:
        outgoing = Outgoing(
            operation="send",
            message=message,
            address=address,
            person_name=contact.name,
            message_id=token_hex(16),
            thread_id=token_hex(16),
        )
        found.append((name, channels[name].deliver(outgoing)))
    return found
