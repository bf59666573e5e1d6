"""The backup alarm: a calendar to import, which rings each evening and needs nothing of us.

Its events have UIDs of their own kind, the same in every file of the site: a program that goes by
UID and SEQUENCE replaces those of an older file. Some skip what they have, others double it, so
whoever imports a newer file is told to delete the calendar with the old one.
"""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta

from scheduler.alerts.held_messages import RINGS_AFTER
from scheduler.alerts.reminded_evening import Evening, RemindedDoor
from scheduler.feeds.event import FeedEvent, minute_begun, uid_of
from scheduler.feeds.render import dressed, imported_bytes
from scheduler.feeds.revision import revised
from scheduler.profile.values import Profile
from scheduler.profile.words import local_clock
from scheduler.wording.feeds.backup_alarm import BackupAlarm
from scheduler.wording.spoken import day_month_year

WEEKS = 15  # long enough to forget it, short enough that the sun's times still fit the profile
NAME = "backup-alarm.ics"
_KIND = "backup"
_LASTS = timedelta(minutes=10)
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class BackupFile:
    """The file as it is handed out, and the last date on which it rings."""

    content: bytes
    last: date


def days_of(today: date) -> tuple[date, ...]:
    """The dates of a file that is made today, today's included."""
    return tuple(today + number * _DAY for number in range(7 * WEEKS))


def rings_at(evenings: Iterable[Evening]) -> datetime | None:
    """When it rings for the evenings of one date: after the last door must be shut; None: never.

    A held message comes as soon after the first; the alarm rings once, so it waits for all.
    """
    doors = [door for evening in evenings for door in evening.doors]
    latest = max((door.latest for door in doors), default=None)
    return minute_begun(latest) + RINGS_AFTER if latest else None


def backup_file(
    profile: Profile, evenings: Iterable[Evening], today: date, now: datetime
) -> BackupFile | None:
    """The file made at `now` of the evenings of `days_of(today)`; what is over by then is left out.

    None where no evening is left: a calendar without events is none.

    Equal evenings make equal bytes but for when it was made, which its SEQUENCE follows: a file
    that was made later counts as newer.
    """
    last = days_of(today)[-1]
    planned = [one for one in backup_events(profile, evenings, today, last) if one.start > now]
    if not planned:
        return None
    about = BackupAlarm.about(day=day_month_year(last))
    content = imported_bytes(
        f"{profile.site.name} · {BackupAlarm.name()}",
        about,
        revised(planned, {}, {}, now=minute_begun(now), today=today),
    )
    return BackupFile(content=dressed(content, lead_minutes=0), last=last)


def backup_events(
    profile: Profile, evenings: Iterable[Evening], made: date, last: date
) -> Iterator[FeedEvent]:
    """One event for each date of the evenings, in order."""
    by_day: dict[date, list[Evening]] = {}
    for evening in evenings:
        by_day.setdefault(evening.day, []).append(evening)
    for day, of_day in sorted(by_day.items()):
        if start := rings_at(of_day):
            doors = [door for evening in of_day for door in evening.doors]
            yield FeedEvent(
                part="lockup",
                uid=uid_of(_KIND, profile.site.id, day, profile),
                day=day,
                start=start,
                end=start + _LASTS,
                title=BackupAlarm.title(),
                description=_text(profile, doors, day, made, last),
                rings=True,
                kind=_KIND,
                houses=frozenset(door.coop_id for door in doors),
            )


def _text(profile: Profile, doors: list[RemindedDoor], day: date, made: date, last: date) -> str:
    site = profile.on(day).site
    latest = max(door.latest for door in doors)
    shut_by = BackupAlarm.all_shut_by if len(doors) > 1 else BackupAlarm.shut_by
    made_on = day_month_year(made)
    runs = BackupAlarm.runs_to(made=made_on, day=day_month_year(last))
    return "\n".join([
        shut_by(time=local_clock(latest, site.zone, site.region, day)),
        BackupAlarm.look(),
        BackupAlarm.good_evenings(),
        BackupAlarm.last(made=made_on) if day == last else runs,
    ])  # fmt: skip
