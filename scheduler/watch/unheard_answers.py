"""Buttons under messages that are not heard: whoever is on duty is told so, and when they are."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.delivery import Delivery
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.words import ways_out
from scheduler.journal import memos
from scheduler.service.evenings_around import Almanac
from scheduler.watch import site_messages


@dataclass(frozen=True, slots=True, kw_only=True)
class Deafness:
    """How long nothing has been heard of the line over which buttons answer, and why."""

    age_s: float
    reason: str

    def since(self, now: datetime) -> datetime:
        """From when on nothing was heard."""
        return now - timedelta(seconds=round(self.age_s))


def follow(
    almanac: Almanac,
    connection: Connection,
    nights: Iterable[Night],
    deaf: Deafness | None,
    now: datetime,
) -> Iterator[Delivery]:
    """What to tell whoever is on duty; at night only while a door waits.

    Else the morning is soon enough.
    """
    site_id, today = almanac.household.profile.site.id, almanac.household.today(now)
    known = memos.recall(connection, site_id, site_messages.DEAF)
    if deaf and known is None:
        known = f"{deaf.since(now).isoformat()} {deaf.reason}"
        memos.note(connection, site_id, site_messages.DEAF, known)
        memos.note(connection, site_id, site_messages.DEAF_HELD, known)
    held = memos.recall(connection, site_id, site_messages.DEAF_HELD)
    if known is None or (deaf and not (held and site_messages.can_be_said(almanac, nights, now))):
        return
    memos.forget(connection, site_id, site_messages.DEAF_HELD)
    if deaf:
        since, _, reason = known.partition(" ")
        message = site_messages.deaf(almanac, datetime.fromisoformat(since), reason)
        yield from site_messages.told_to_duty(almanac, "deaf", today, message, now)
        return
    memos.forget(connection, site_id, site_messages.DEAF)
    if not held:
        yield from site_messages.told_to_duty(
            almanac, "heard-again", today, ways_out.heard_again(), now
        )
