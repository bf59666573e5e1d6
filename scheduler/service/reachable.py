"""Who could be told tonight, and over which ways."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from typing import TYPE_CHECKING
from urllib.parse import urlsplit

from scheduler.alerts.crew import crew_of, key_address
from scheduler.alerts.delivery import ChannelName
from scheduler.profile.person import Person
from scheduler.profile.values import Profile
from scheduler.service.note import Keys, Note, note
from scheduler.wording.channels.ways import channel_words
from scheduler.wording.service.flock_notes import InProfile
from scheduler.wording.service.housing_notes import PeopleNotes
from scheduler.wording.service.phones import PhonesHeard
from scheduler.wording.service.ways import WayInWords
from scheduler.wording.told_later import told

if TYPE_CHECKING:
    from scheduler.journal.history import LastTry  # commands without a journal do without

_BROKEN = {"bad address", "misconfigured"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Lack:
    """A secret that is missing, and the way that cannot be used without it.

    `place` is the push server or the name of the service; empty for mail. `why` is for a page,
    `how` for a terminal: it names variables. `in_file`: a file is named that it is read from.
    """

    channel: ChannelName
    place: str
    why: str
    how: str = ""
    in_file: bool = False

    @property
    def way(self) -> tuple[ChannelName, str]:
        """Channel and place."""
        return self.channel, self.place

    @property
    def by(self) -> str:
        """The way in words: "mail", "push over https://push.example.net"."""
        way = channel_words(self.channel)
        return WayInWords.over(way=way, place=self.place) if self.place else way


@dataclass(frozen=True, slots=True, kw_only=True)
class WayTo:
    """One way to one person; `broken` says why nothing gets there, and is empty while it does.

    `failed` says why the last message did not get through, for a reason that may pass. `place` is
    as a lack's; the secret that it `lacks`, if any, is why it is broken.
    """

    person_id: str
    name: str
    channel: ChannelName
    broken: str = ""
    failed: str = ""
    place: str = field(default="", repr=False)
    lacks: Lack | None = field(default=None, repr=False)

    @property
    def said(self) -> str:
        """The way in words."""
        return WayInWords.of_person(who=self.name, way=channel_words(self.channel))


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """Every way to everybody, in the profile's order; `without` are those who have none."""

    ways: tuple[WayTo, ...] = ()
    without: tuple[str, ...] = ()

    @property
    def working(self) -> tuple[WayTo, ...]:
        """The ways that are not known to be broken."""
        return tuple(way for way in self.ways if not way.broken)

    @property
    def cut_off(self) -> tuple[str, ...]:
        """The names of those who have ways, all of them broken."""
        reached = {way.person_id for way in self.working}
        return tuple(dict.fromkeys(w.name for w in self.ways if w.person_id not in reached))

    @property
    def nothing_gets_through(self) -> bool:
        """Whether the last message over every way that still stands failed."""
        return bool(self.working) and all(way.failed for way in self.working)

    def lacking(self, lacks: Iterable[Lack]) -> "Reach":
        """The same where those secrets are missing: what needs one of them is broken."""
        by_way = {lack.way: lack for lack in lacks}
        ways = [
            replace(way, broken=told(found.why), failed=told(found.why), lacks=found)
            if (found := by_way.get((way.channel, way.place)))
            else way
            for way in self.ways
        ]
        return replace(self, ways=tuple(ways))


def who_can_be_told(
    profile: Profile,
    ways: Iterable[ChannelName],
    last_tries: "Mapping[tuple[str, str, str], LastTry]",
    day: date | None,
) -> Reach:
    """Everybody's ways over the channels that are set up, as the last try over each showed them.

    Of those who can be told that day: without a day with every sitter, whenever invited. A try at
    an address that the profile no longer has counts for nothing. What the mail server holds against
    us it holds against every mail.
    """
    crew = crew_of(profile, ways, day)
    mails = [last for (_, channel, _), last in last_tries.items() if channel == "mail"]
    newest = max(mails, key=lambda last: last.at, default=None)
    against_us = newest if newest and newest.outcome == "misconfigured" else None
    found = []
    for contact in crew:
        for channel, address in contact.addresses:
            last = last_tries.get((contact.person_id, channel, key_address((channel, address))))
            if channel == "mail" and against_us:
                last = against_us
            moved = last is not None and last.address not in {None, address}
            if last is None or last.outcome == "sent" or (moved and last is not against_us):
                outcome, reason = "sent", ""
            else:
                outcome, reason = last.outcome, told(last.reason or last.outcome)
            if address in contact.unproven:
                outcome, reason = "bad address", PhonesHeard.not_tried()
            found.append(
                WayTo(
                    person_id=contact.person_id,
                    name=contact.name,
                    channel=channel,
                    broken=reason if outcome in _BROKEN else "",
                    failed=reason,
                    place=place_of(channel, address),
                )
            )
    reached = {contact.person_id for contact in crew}
    there = (person for person in profile.person if day is None or person.is_there(day))
    without = tuple(person.name for person in there if person.id not in reached)
    return Reach(ways=tuple(found), without=without)


def ways_of(profile: Profile) -> frozenset[ChannelName]:
    """The channels that the profile sets up for anybody."""
    set_up: dict[ChannelName, bool] = {
        "phone": bool(profile.phones),
        "push": any(person.push for person in profile.person),
        "service": any(person.service for person in profile.person),
        "mail": profile.mail is not None and any(person.mail for person in profile.person),
    }
    return frozenset(way for way, is_set_up in set_up.items() if is_set_up)


def place_of(channel: ChannelName, address: str) -> str:
    """The push server of that address, the service's name or the phone's id; empty for mail."""
    parts = urlsplit(address)
    server = f"{parts.scheme}://{parts.netloc}"
    return {"phone": address, "push": server, "service": address, "mail": ""}[channel]


def reaches_anybody(profile: Profile, lacks: Iterable[Lack] = ()) -> bool:
    """Whether a message could reach anybody over what the profile sets up without those secrets.

    Anybody but a sitter: the days of a sitter end.
    """
    working = who_can_be_told(profile, ways_of(profile), {}, None).lacking(lacks).working
    sitters = {person.id for person in profile.person if person.role == "sitter"}
    return any(way.person_id not in sitters for way in working)


def cut_off_by(
    before: tuple[Profile, tuple[Lack, ...]], after: tuple[Profile, tuple[Lack, ...]]
) -> tuple[Lack, ...]:
    """The missing secrets by which a change of profile would end a way that works.

    A way that somebody still has in the profile, or the last one of somebody who is still in it.
    """
    (old, old_lacks), (new, new_lacks) = before, after
    worked = who_can_be_told(old, ways_of(old), {}, None).lacking(old_lacks).working
    reach = who_can_be_told(new, ways_of(new), {}, None).lacking(new_lacks)
    ways = {(way.person_id, way.channel) for way in worked}
    people = {way.person_id for way in worked} - {way.person_id for way in reach.working}
    ended = {
        (way.channel, way.place)
        for way in reach.ways
        if way.lacks and ((way.person_id, way.channel) in ways or way.person_id in people)
    }
    return tuple(lack for lack in new_lacks if lack.way in ended)


def unreachable(profile: Profile) -> tuple[Person, ...]:
    """Everybody whom no message can reach."""
    reached = {contact.person_id for contact in crew_of(profile, ways_of(profile), None)}
    return tuple(person for person in profile.person if person.id not in reached)


def what_would_do(profile: Profile, person: Person) -> Note:
    """How such a person could be reached, in one sentence."""
    if person.mail and not profile.mail:
        server, topic = Keys("[mail]"), Keys("push")
        return note(PeopleNotes.name_server, server=server, topic=topic)
    return note(PeopleNotes.give_address, keys=Keys(InProfile.push_or_mail()))
