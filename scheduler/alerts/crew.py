"""Who can be called, over which ways, and whose duty a day is."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import Generic, TypeVar

from scheduler.alerts.delivery import ChannelName
from scheduler.profile.person import Person
from scheduler.profile.ringing_phone import RingingPhone
from scheduler.profile.values import Profile

T = TypeVar("T")
Way = tuple[ChannelName, str]


@dataclass(frozen=True, slots=True, kw_only=True)
class Contact:
    """Somebody who can be called, and their addresses in order of loudness.

    Of their phones `unproven` are not known to ring, and `says_shown` tell when they have shown a
    message, by id.
    """

    person_id: str
    name: str
    addresses: tuple[Way, ...]
    unproven: tuple[str, ...] = ()
    says_shown: tuple[str, ...] = ()

    def address(self, channel: ChannelName) -> str | None:
        """Where that channel reaches them first; None when it does not."""
        return next((to for way, to in self.addresses if way == channel), None)

    @property
    def phones(self) -> tuple[Way, ...]:
        """Their own phones."""
        return tuple(way for way in self.addresses if way[0] == "phone")

    @property
    def is_proven(self) -> bool:
        """Whether one of their phones is known to ring."""
        return any(to not in self.unproven for _, to in self.phones)

    @property
    def after_phones(self) -> tuple[Way, ...]:
        """Their other ways."""
        return tuple(way for way in self.addresses if way[0] != "phone")

    @property
    def first_ways(self) -> tuple[Way, ...]:
        """Over which they are told once: every phone, and the next way where none is proven."""
        return (*self.phones, *self.after_phones[: 0 if self.is_proven else 1])


def key_address(way: Way) -> str:
    """What a delivery's key says of the way's address: which of their phones, else nothing."""
    channel, address = way
    return address if channel == "phone" else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Duty(Generic[T]):
    """Who is called, and who is when they do not answer: they again, where there is nobody else."""

    first: T | None
    second: T | None


def in_turn(people: Sequence[T], usual: T | None) -> tuple[T, ...]:
    """The people in the order in which a day calls them: first whoever it usually is, if there."""
    first = [one for one in people if usual is not None and one == usual]
    return (*first, *(one for one in people if one not in first))


def duty(people: Sequence[T], day: date) -> Duty[T]:
    """Whose duty that day is of those who can be called on it: the first's in the day's order.

    In that order `crew_of` gives them, and an evening keeps it: whatever the profile says later,
    the evening stays whose it was.
    """
    del day  # the order is the day's; nobody swaps a single date yet
    first = next(iter(people), None)
    return Duty(first=first, second=next((one for one in people if one != first), first))


def duty_ids(crew: Sequence[Contact], day: date) -> tuple[str, ...]:
    """Whoever is on duty that day, by id; empty where nobody can be called."""
    first = duty(crew, day).first
    return (first.person_id,) if first else ()


def crew_of(profile: Profile, ways: Iterable[ChannelName], day: date | None) -> tuple[Contact, ...]:
    """Everybody who can be reached over the channels that are set up, in the profile's order.

    On that day: without a sitter who is not invited for it, and first whoever usually has that day
    of the week. Without a day with every sitter.
    """
    usable = set(ways)
    there = (person for person in profile.person if day is None or person.is_there(day))
    contacts = (_contact(profile, person, usable) for person in there)
    reached = [contact for contact in contacts if contact.addresses]
    whose = profile.duty.of(day) if day else None
    return in_turn(reached, next((one for one in reached if one.person_id == whose), None))


def _contact(profile: Profile, person: Person, usable: set[ChannelName]) -> Contact:
    known = profile.phones if "phone" in usable else ()
    mine = [one for one in known if one.person_id == person.id]
    written: Sequence[tuple[ChannelName, str | None]] = (
        *_phones(mine),
        ("push", person.push),
        ("service", person.service),
        ("mail", person.mail),
    )
    return Contact(
        person_id=person.id,
        name=person.name,
        addresses=tuple((way, to) for way, to in written if to and way in usable),
        unproven=tuple(one.id for one in mine if not one.is_proven),
        says_shown=tuple(one.id for one in mine if one.says_shown),
    )


def _phones(mine: Iterable[RingingPhone]) -> list[Way]:
    """Those that are known to ring first."""
    return [("phone", one.id) for one in sorted(mine, key=lambda one: not one.is_proven)]
