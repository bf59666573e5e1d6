"""Whom the profile lets us reach, and over which ways."""

from scheduler.alerts.delivery import ChannelName
from scheduler.alerts.evening import crew_of
from scheduler.profile.values import Person, Profile


def ways_of(profile: Profile) -> frozenset[ChannelName]:
    """The channels that the profile sets up for anybody."""
    found: set[ChannelName] = set()
    if any(person.push for person in profile.person):
        found.add("push")
    if any(person.service for person in profile.person):
        found.add("service")
    if profile.mail and any(person.mail for person in profile.person):
        found.add("mail")
    return frozenset(found)


def unreachable(profile: Profile) -> tuple[Person, ...]:
    """Everybody whom no message can reach."""
    reached = {contact.person_id for contact in crew_of(profile, ways_of(profile))}
    return tuple(person for person in profile.person if person.id not in reached)


def what_would_do(profile: Profile, person: Person) -> str:
    """How such a person could be reached, in one sentence."""
    if person.mail and not profile.mail:
        return "A [mail] table with the server that takes our mail, or a push topic."
    return "Give push or mail under [[person]]."
