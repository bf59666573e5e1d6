"""When somebody cannot be reached: the same reminder another way and to the next one, at once."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.alerts import text
from scheduler.alerts.decide import kind_of
from scheduler.alerts.delivery import ChannelName, Delivery, Key, Outcome
from scheduler.alerts.evening import Contact
from scheduler.journal.deliveries import Claimed

_TROUBLE_USEFUL = timedelta(hours=12)
_TO_ALL = {"everybody", "dawn"}  # nobody is left who has not been told


def relays(
    failed: Claimed, outcome: Outcome, crew: tuple[Contact, ...], site_id: str, now: datetime
) -> Iterator[Delivery]:
    """What goes out because of a refused address or message, or a wrong set-up.

    A reminder goes to the same person over their other ways, and to the next person unless it
    was for everybody. Everybody else hears once a day that a way is broken.
    """
    key = failed.key
    broken = key.channel if outcome.kind == "misconfigured" else None
    person = next((one for one in crew if one.person_id == key.person_id), None)
    if kind := kind_of(key.step):
        for way, _ in person.addresses if person else ():
            if way != key.channel:
                yield _again(failed, key.step, key.person_id, way, now)
        passable = kind not in _TO_ALL and "-for-" not in key.step
        if passable and (following := _next_one(crew, key.person_id, broken)):
            name = person.name if person else key.person_id
            step = f"{key.step}-for-{key.person_id}"
            passed_on = replace(failed, message=text.relayed(failed.message, name))
            yield _again(passed_on, step, *following, now)
    if failed.address is not None:  # else it was no refusal: that way has left the profile
        yield from _told(failed, outcome, person, crew, site_id, now)


def _again(failed: Claimed, step: str, person_id: str, way: ChannelName, now: datetime) -> Delivery:
    return Delivery(
        key=replace(failed.key, step=step, person_id=person_id, channel=way),
        message=failed.message,
        due_at=now,
        useful_until=failed.useful_until,
    )


def _told(  # noqa: PLR0913, PLR0917 - as relays
    failed: Claimed,
    outcome: Outcome,
    person: Contact | None,
    crew: tuple[Contact, ...],
    site_id: str,
    now: datetime,
) -> Iterator[Delivery]:
    everybody = outcome.kind == "misconfigured"
    whose = None if everybody else (person.name if person else failed.key.person_id)
    about = "all" if everybody else failed.key.person_id
    message = text.trouble(whose, failed.key.channel, outcome.reason)
    for contact in crew:
        way = _way(contact, failed.key.channel if everybody else None)
        if way is None or (not everybody and contact.person_id == failed.key.person_id):
            continue
        yield Delivery(
            key=Key(
                site_id=site_id,
                subject_id=site_id,
                day=failed.key.day,
                step=f"trouble-{failed.key.channel}-{about}",
                opening=0,
                person_id=contact.person_id,
                channel=way,
            ),
            message=message,
            due_at=now,
            useful_until=now + _TROUBLE_USEFUL,
        )


def _next_one(
    crew: tuple[Contact, ...], person_id: str, broken: ChannelName | None
) -> tuple[str, ChannelName] | None:
    """Who comes after the person, and over which way that is not broken."""
    ids = [contact.person_id for contact in crew]
    start = ids.index(person_id) + 1 if person_id in ids else 0
    for one in (*crew[start:], *crew[: max(start - 1, 0)]):
        if way := _way(one, broken):
            return one.person_id, way
    return None


def _way(contact: Contact, broken: ChannelName | None) -> ChannelName | None:
    return next((way for way, _ in contact.addresses if way != broken), None)
