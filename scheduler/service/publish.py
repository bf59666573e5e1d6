"""The one publisher: plan to feeds, moving the revisions of what changed in one transaction.

It commits first and hands out bytes afterwards: a feed never shows a revision that is not kept.
"""

import logging
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta

from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.feeds.event import (
    PARTS,
    FeedEvent,
    FeedName,
    Part,
    events,
    nothing_to_show,
    superseded,
)
from scheduler.feeds.proof import faults
from scheduler.feeds.render import Heading, event_bytes, feed_bytes
from scheduler.feeds.revision import KEPT_DAYS, Revision, Window, feed_week, revised, still_shown
from scheduler.journal.store import Journal
from scheduler.service.emptied import emptied
from scheduler.service.open_profile import Household
from scheduler.service.shelf import FEEDS

MOST_EVENTS = 500
MOST_BYTES = 195_000
LEAST_WEEKS = 4
# The seasons come first: the feed of everything shows them as far as their own does.
WEEKS: dict[FeedName, int] = {"seasons": 53, "lockup": 15, "jobs": 8, "all": 8}
_WEEK = timedelta(weeks=1)
_DAY = timedelta(days=1)
_MEASURED_AT = datetime(2026, 1, 1, tzinfo=UTC)
_HEAD_BYTES = 1500  # the head of a feed with a name of the greatest length, with room to spare

_log = logging.getLogger(__name__)


class BrokenFeed(Exception):  # noqa: N818 - a fault by its name in DEVELOPERS.md
    """The bytes of a feed failed their proof and were not handed out."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """A feed ready to be served."""

    name: FeedName
    alarms: bool
    content: bytes
    window: Window
    events: int
    shortened: bool

    @property
    def over_limit(self) -> bool:
        """Whether it is larger than calendar programs take without trouble."""
        return self.events > MOST_EVENTS or len(self.content) > MOST_BYTES


@dataclass(frozen=True, slots=True, kw_only=True)
class Request:
    """What to publish: from which date (the feed week), how many days (the default windows).

    `alarms` says for each set of the four feeds whether it has them.
    """

    first: date | None = None
    days: int | None = None
    alarms: tuple[bool, ...] = (False,)


def publish(
    journal: Journal,
    household: Household,
    request: Request,
    now: datetime,
    records: Records = NO_RECORDS,
) -> tuple[Feed, ...]:
    """The four feeds of the site as of `now`, once for each kind of alarms asked for.

    Raises:
        JournalFault: the journal cannot be read or written.
        BrokenFeed: a feed failed its proof.
    """
    profile = household.profile
    site_id = profile.site.id
    today = household.today(now)
    week = feed_week(today)
    first = request.first or week
    widest = _widest(first, request, today)
    last = max(window.last for window in widest.values())
    empty = emptied(journal, profile, first, (last - first).days + 1)
    whole = plan(profile, records, first, last, household.catalogue, empty)
    planned = _in_windows(events(whole), widest)
    known = journal.revisions(site_id)
    called_off = _called_off(planned, known, today)
    windows = widest if request.days else _fitting(widest, [*planned, *called_off])
    kept = _in_windows(planned, windows)
    part_windows = _part_windows(windows)
    changes = list(revised(kept, known, part_windows, now=now, today=today))
    beyond = [uid for uid, r in known.items() if r.event.day > part_windows[r.event.part].last]
    if changes or beyond:
        with journal.writing() as writing:
            known = writing.revisions(site_id)  # another process may have published meanwhile
            changes = list(revised(kept, known, part_windows, now=now, today=today))
            writing.save(site_id, changes)
            # What has left the window is published no more; if it comes back, it comes as new.
            writing.forget(site_id, beyond)
            writing.prune(today - KEPT_DAYS * _DAY)
        known |= {change.event.uid: change for change in changes}
        known = {uid: revision for uid, revision in known.items() if uid not in set(beyond)}
    _log.info("feeds.published events=%d changed=%d", len(kept), len(changes))
    shown = _shown({event.uid for event in kept}, known, household, week)
    return tuple(
        _feed(name, windows, shown, household, request, alarms=alarms)
        for alarms in request.alarms
        for name in FEEDS
    )


def _called_off(
    planned: Iterable[FeedEvent], known: Mapping[str, Revision], today: date
) -> list[FeedEvent]:
    """What is or will be shown as cancelled beside what is planned."""
    uids, week = {event.uid for event in planned}, feed_week(today)
    return [
        revision.event
        for uid, revision in known.items()
        if still_shown(revision, week)
        or (uid not in uids and not revision.cancelled_on and revision.event.day > today)
    ]


def _widest(first: date, request: Request, today: date) -> dict[FeedName, Window]:
    """Each feed's window as asked for, or the longest it may have.

    Days that were asked for count from the first day asked for, else from today.
    """
    if request.days:
        last = (request.first or today) + (request.days - 1) * _DAY
        return dict.fromkeys(FEEDS, Window(first, last))
    return {name: Window(first, first + weeks * _WEEK - _DAY) for name, weeks in WEEKS.items()}


def _fitting(
    widest: Mapping[FeedName, Window], shown: Iterable[FeedEvent]
) -> dict[FeedName, Window]:
    """The windows shrunk by whole weeks, not below four, until events and bytes hold."""
    windows = dict(widest)
    sizes = [(event, len(event_bytes(_any_revision(event), alarms=True))) for event in shown]
    for name, most_weeks in WEEKS.items():
        first = windows[name].first
        for weeks in range(most_weeks, LEAST_WEEKS - 1, -1):
            windows[name] = Window(first, first + weeks * _WEEK - _DAY)
            belonging = [size for event, size in sizes if _belongs(event, name, windows)]
            if len(belonging) <= MOST_EVENTS and sum(belonging) + _HEAD_BYTES <= MOST_BYTES:
                break
    return windows


def _any_revision(event: FeedEvent) -> Revision:
    """A revision to measure the event by: stamps and numbers are equally long for years."""
    return Revision(event=event, sequence=1_000_000, changed_at=_MEASURED_AT)


def _belongs(event: FeedEvent, feed: FeedName, windows: Mapping[FeedName, Window]) -> bool:
    if feed != "all":
        return event.part == feed and event.day in windows[feed]
    window = windows["seasons"] if event.part == "seasons" else windows["all"]
    return event.day in window


def _in_windows(
    planned: Iterable[FeedEvent], windows: Mapping[FeedName, Window]
) -> list[FeedEvent]:
    return [
        event
        for event in planned
        if _belongs(event, event.part, windows) or _belongs(event, "all", windows)
    ]


def _part_windows(windows: Mapping[FeedName, Window]) -> dict[Part, Window]:
    """Where each part is published: in its own feed, or as far as the feed of everything goes."""
    everything = windows["all"]
    return {
        part: Window(windows[part].first, max(windows[part].last, everything.last))
        for part in PARTS
    }


def _shown(
    planned: set[str], known: Mapping[str, Revision], household: Household, week: date
) -> list[Revision]:
    shown = (
        revision
        for uid, revision in known.items()
        if uid in planned
        or (still_shown(revision, week) and not superseded(household.profile, revision.event))
    )
    return sorted(shown, key=lambda revision: (revision.event.day, revision.event.uid))


def _feed(  # noqa: PLR0913 - what a feed is made of
    name: FeedName,
    windows: Mapping[FeedName, Window],
    shown: list[Revision],
    household: Household,
    request: Request,
    *,
    alarms: bool,
) -> Feed:
    site, first = household.profile.site, windows[name].first
    listed = [revision for revision in shown if _belongs(revision.event, name, windows)]
    if not listed:
        event = nothing_to_show(household.profile, first)
        at = datetime.combine(first, time(), UTC)
        listed = [Revision(event=event, sequence=0, changed_at=at)]
    content = feed_bytes(Heading(feed=name, site_name=site.name), listed, alarms=alarms)
    if broken := faults(content):
        raise BrokenFeed(f"{name}: " + "; ".join(map(str, broken)))
    window = windows[name]
    return Feed(
        name=name,
        alarms=alarms,
        content=content,
        window=window,
        events=len(listed),
        shortened=not request.days and window.last - window.first < WEEKS[name] * _WEEK - _DAY,
    )
