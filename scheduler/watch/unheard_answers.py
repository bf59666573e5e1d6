"""Buttons under messages that are not heard: whoever is on duty is told so, and when they are."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.delivery import Delivery
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.step import Step
from scheduler.journal import memos
from scheduler.messages import ways_out
from scheduler.messages.site_news import news
from scheduler.service.almanac import Almanac
from scheduler.watch.quiet_hours import can_be_said
from scheduler.watch.site_note import told_to_duty
from scheduler.wording.watch.morning import BriefWorries

DEAF = "deaf"
HELD = "deaf-held"  # nobody is told of it before the night ends


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
    site_id, today = almanac.site_id, almanac.household.today(now)
    known = memos.recall(connection, site_id, DEAF)
    if deaf and known is None:
        known = f"{deaf.since(now).isoformat()} {deaf.reason}"
        memos.note(connection, site_id, DEAF, known)
        memos.note(connection, site_id, HELD, known)
    held = memos.recall(connection, site_id, HELD)
    if known is None or (deaf and not (held and can_be_said(almanac, nights, now))):
        return
    memos.forget(connection, site_id, HELD)
    if deaf:
        matter = news(ways_out.deaf, *_deaf(almanac, known))
        yield from told_to_duty(almanac, Step("deaf"), today, matter, now)
        return
    memos.forget(connection, site_id, DEAF)
    if not held:
        heard = news(ways_out.heard_again)
        yield from told_to_duty(almanac, Step("heard-again"), today, heard, now)


def deaf_line(almanac: Almanac, connection: Connection) -> str:
    """That buttons under messages do not work, as a sentence; empty while they do."""
    known = memos.recall(connection, almanac.site_id, DEAF)
    return BriefWorries.deaf(since=_deaf(almanac, known)[0]) if known else ""


def _deaf(almanac: Almanac, known: str) -> tuple[str, str, str]:
    """Since when, why, and where the pages are."""
    since, _, reason = known.partition(" ")
    return almanac.clock(datetime.fromisoformat(since)), reason, almanac.page("")
