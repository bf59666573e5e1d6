"""A feed's event as a value, and what the title and text of several kinds have in common."""

from dataclasses import dataclass, field
from datetime import date, datetime, timedelta
from typing import Literal

from scheduler.cares.coop_day import CoopDay
from scheduler.profile.values import Profile

Part = Literal["lockup", "jobs", "seasons"]
PARTS: tuple[Part, ...] = ("lockup", "jobs", "seasons")
LONGEST_HOUSES = 30


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedEvent:
    """One event: instants in whole UTC minutes, or civil dates for a whole day.

    Two are equal when a calendar shows the same; whether an alarm may ring does not count, nor
    do the kind and the houses, by which an event is known again.
    """

    part: Part
    uid: str
    day: date
    start: datetime | date
    end: datetime | date
    title: str
    description: str
    rings: bool = field(default=False, compare=False)
    kind: str = field(default="", compare=False)
    houses: frozenset[str] = field(default=frozenset(), compare=False)


def uid_of(kind: str, subject: str, day: date, profile: Profile) -> str:
    return f"{kind}-{subject}-{day.isoformat()}@{profile.site.id}"


def minute_begun(instant: datetime) -> datetime:
    return instant.replace(second=0, microsecond=0)


def span(start: datetime, end: datetime) -> tuple[datetime, datetime]:
    first, last = minute_begun(start), minute_begun(end)
    return first, max(last, first + timedelta(minutes=1))


def joined_title(*parts: str) -> str:
    return " · ".join(part for part in parts if part)


def house_names(profile: Profile, coops: tuple[CoopDay, ...]) -> str:
    """The names of the houses that share the event; nothing when all of the site do."""
    if len(coops) == len(profile.coop):
        return ""
    return cut_to([profile.coop_of(coop.coop_id).name for coop in coops], LONGEST_HOUSES, " + ")


def cut_to(names: list[str], room: int, joint: str) -> str:
    """As many of the names as there is room for, at least one, and how many more there are."""
    kept = len(names)
    while kept > 1 and len(joint.join(names[:kept])) > room:
        kept -= 1
    more = f" +{len(names) - kept}" if kept < len(names) else ""
    return joint.join(names[:kept]) + more
