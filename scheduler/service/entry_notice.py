"""Everybody hears when somebody is let in: quietly, and so that it can be ended at once."""

from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.delivery import Delivery, Key, Message
from scheduler.alerts.evening import crew_of
from scheduler.journal import deliveries
from scheduler.profile.values import Profile
from scheduler.service.reach import ways_of

_USEFUL = timedelta(days=1)


def tell(
    connection: Connection, profile: Profile, step: str, message: Message, now: datetime
) -> None:
    """The message to everybody over their loudest way, once for that step."""
    site = profile.site
    deliveries.add(
        connection,
        [
            Delivery(
                key=Key(
                    site_id=site.id,
                    subject_id=site.id,
                    day=now.astimezone(site.zone).date(),
                    step=f"entry-{step}",
                    opening=0,
                    person_id=contact.person_id,
                    channel=contact.addresses[0][0],
                ),
                message=message,
                due_at=now,
                useful_until=now + _USEFUL,
            )
            for contact in crew_of(profile, ways_of(profile))
        ],
    )


def name_of(profile: Profile, person_id: str) -> str:
    """What the person is called."""
    return next((one.name for one in profile.person if one.id == person_id), person_id)
