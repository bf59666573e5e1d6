"""When somebody cannot be reached: the same reminder another way and to the next one, at once."""

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from scheduler.alerts.crew import Contact, Way, key_address
from scheduler.alerts.delivery import ChannelName, Delivery, Outcome, site_key
from scheduler.alerts.step import Step
from scheduler.journal.claims import Claimed
from scheduler.messages import ways_out
from scheduler.messages.site_news import news, of_site
from scheduler.wording.spoken import in_a_row

_TROUBLE_USEFUL = timedelta(hours=12)
_TO_ALL = {"everybody", "dawn", "open-again"}  # nobody is left who has not been told

DestinationOf = Callable[[ChannelName, str], str]


def relays(
    failed: Claimed,
    outcome: Outcome,
    crew: tuple[Contact, ...],
    now: datetime,
    destination: DestinationOf = lambda way, _: way,
) -> Iterator[Delivery]:
    """What goes out because of a refused address or message, or a wrong set-up.

    It goes to the same person over their other ways; a reminder, or an emergency, also to the next
    person unless it was for everybody; whoever refuses it as well passes it on. Everybody else
    hears once a day that a way is broken. A wrong set-up is that of one server: `destination` tells
    which.
    """
    key, step = failed.key, failed.key.step
    broken = _Broken(
        way=key.channel if outcome.kind == "misconfigured" else None,
        server=destination(key.channel, failed.address or ""),
        destination=destination,
    )
    person = next((one for one in crew if one.person_id == key.person_id), None)
    for way in person.addresses if person else ():
        if way[0] != key.channel and not broken.is_at(*way):
            yield _again(failed, step, key.person_id, way, now)
    rings = step.is_urgent or (step.is_reminder and step.kind not in _TO_ALL)
    if rings and (following := _next_one(failed, crew, broken)):
        if not step.origin:
            failed = replace(failed, matter=replace(failed.matter, not_by=key.channel))
        passed_on = replace(step, origin=step.origin or key.person_id)
        for way in broken.ways_to(following):
            yield _again(failed, passed_on, following.person_id, way, now)
    if failed.address is not None:  # else it was no refusal: that way has left the profile
        yield from _told(failed, outcome, crew, broken, now)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Broken:
    """The server that cannot be used by anybody; no `way`: it was one address alone."""

    way: ChannelName | None
    server: str
    destination: DestinationOf

    def is_at(self, way: ChannelName, to: str) -> bool:
        """Whether that address cannot be reached either."""
        return way == self.way and self.destination(way, to) == self.server

    def has_all(self, contact: Contact, channel: ChannelName) -> bool:
        """Whether none of their addresses over the channel can be reached."""
        return all(self.is_at(*way) for way in contact.addresses if way[0] == channel)

    def ways_to(self, contact: Contact) -> list[Way]:
        """By which the person is told once, of those that are not broken."""
        working = tuple(way for way in contact.addresses if not self.is_at(*way))
        return [*replace(contact, addresses=working).first_ways]


def _again(failed: Claimed, step: Step, person_id: str, way: Way, now: datetime) -> Delivery:
    address = key_address(way)
    return Delivery(
        key=replace(failed.key, step=step, person_id=person_id, channel=way[0], address=address),
        priority=failed.priority,
        matter=failed.matter,
        due_at=now,
        useful_until=failed.useful_until,
    )


def _told(
    failed: Claimed, outcome: Outcome, crew: tuple[Contact, ...], broken: _Broken, now: datetime
) -> Iterator[Delivery]:
    channel, person_id = failed.key.channel, failed.key.person_id
    users = [one for one in crew if one.address(channel)]
    mine = [one for one in crew if one.person_id == person_id]
    struck = [one for one in users if broken.has_all(one, channel)] or mine
    everybody = broken.way is not None and len(struck) == len(users)
    names = [one.name for one in struck] or [person_id]
    about = "all" if everybody else person_id if broken.way is None else struck[0].person_id
    whose = None if everybody else in_a_row(names)
    matter = news(ways_out.trouble, whose, channel, outcome.reason)
    step = Step("trouble", channel=channel, about=about)
    for contact in crew:
        if broken.way is None and contact.person_id == person_id:
            continue
        for way in broken.ways_to(contact):
            yield Delivery(
                key=site_key(failed.key.site_id, failed.key.day, step, contact.person_id, *way),
                priority=of_site(matter).priority,
                matter=matter,
                due_at=now,
                useful_until=now + _TROUBLE_USEFUL,
            )


def _next_one(failed: Claimed, crew: tuple[Contact, ...], broken: _Broken) -> Contact | None:
    """Who comes after the person and has a way that works; nobody once all were asked."""
    ids = [contact.person_id for contact in crew]
    person_id, origin = failed.key.person_id, failed.key.step.origin
    start = ids.index(person_id) + 1 if person_id in ids else 0
    for one in (*crew[start:], *crew[: max(start - 1, 0)]):
        if one.person_id == origin:
            return None
        if broken.ways_to(one):
            return one
    return None
