"""Everybody hears when somebody is let in, quietly, or signed out with whoever let them in."""

from collections.abc import Collection, Mapping
from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.crew import crew_of
from scheduler.alerts.delivery import Delivery, Matter, site_key
from scheduler.alerts.step import Step, step_at
from scheduler.journal import deliveries, phones
from scheduler.messages import let_in
from scheduler.messages.site_news import news, of_site
from scheduler.profile.shared_screen import screen_of
from scheduler.profile.values import Profile
from scheduler.service.people.phones import ringing
from scheduler.service.reachable import ways_of

_USEFUL = timedelta(days=1)


def tell(
    connection: Connection, profile: Profile, step: Step, matter: Matter, now: datetime
) -> None:
    """That to everybody over the ways by which they are told once, once for that step."""
    site, priority = profile.site, of_site(matter).priority
    day = profile.date_at(now)
    if not profile.phones:  # a command reads the profile alone
        profile = profile.with_phones(ringing(phones.phones(connection, site.id), now))
    deliveries.add(
        connection,
        [
            Delivery(
                key=site_key(site.id, day, step, contact.person_id, *way),
                priority=priority,
                matter=matter,
                due_at=now,
                useful_until=now + _USEFUL,
            )
            for contact in crew_of(profile, ways_of(profile), day)
            for way in contact.first_ways
        ],
    )


def tell_ended(
    connection: Connection,
    before: Profile,
    profile: Profile,
    ended: Mapping[str, Collection[str]],
    now: datetime,
) -> None:
    """Who is signed out although they remain: somebody had let them in who is not there any more.

    Nobody else can tell them, and at dusk their page is shut.
    """
    names = [name_of(profile, one) for one in sorted(ended)]
    gone = sorted({name_of(before, one) for those in ended.values() for one in those})
    matter = news(let_in.signed_out, names, gone)
    tell(connection, profile, step_at("entry-ended", now), matter, now)


def name_of(profile: Profile, person_id: str) -> str:
    """What the person or the shared screen is called."""
    screen = screen_of(person_id)
    return screen.words if screen else profile.person_names.get(person_id, person_id)
