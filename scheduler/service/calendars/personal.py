"""What a calendar is given when it is handed out: one person's links and alarms."""

from datetime import date

from scheduler.feeds.render import dressed
from scheduler.profile.values import Profile
from scheduler.service.calendars.calendar_files import Bytes
from scheduler.service.people.access import Pass
from scheduler.tokens.evening_link import DayLink


def dress(profile: Profile, key: bytes, one: Pass, found: Bytes) -> Bytes:
    """The published calendar as that address has it.

    Without a `base_url` there is no link: nobody knows how a phone reaches the pages.
    """
    base = profile.web.base_url

    def link(day: date) -> str:
        to = DayLink(
            site_id=profile.site.id, day=day, person_id=one.person_id, generation=one.generation
        )
        return f"{base}{to.path(key)}"

    content = dressed(
        found.content, link=link if base else None, lead_minutes=lead_minutes(profile, one)
    )
    return Bytes(content, found.changed_at)


def lead_minutes(profile: Profile, one: Pass) -> int | None:
    """How long before a lock-up the address's alarm rings; None where it has none."""
    if not one.alarms:
        return None
    if one.lead_minutes is not None:
        return one.lead_minutes
    return round(profile.reminders.heads_up_minutes)
