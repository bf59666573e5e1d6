"""The one publisher: plan to feeds, moving the revisions of what changed in one transaction.

It commits first and hands out bytes afterwards: a feed never shows a revision that is not kept.
"""

import logging
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta

from sqlalchemy import Connection

from scheduler.cares.day_plan import DayPlan
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS, Records
from scheduler.feeds.called_off import called_off
from scheduler.feeds.event import PARTS, FeedEvent
from scheduler.feeds.feed_names import FeedName, feeds_of, house_of
from scheduler.feeds.identity import is_covered, settled, speak_for, told
from scheduler.feeds.planned_events import events, nothing_to_show
from scheduler.feeds.render import Heading, dressed, event_bytes, feed_bytes
from scheduler.feeds.revision import (
    KEPT_DAYS,
    Revision,
    Window,
    feed_week,
    is_past,
    revised,
    still_shown,
)
from scheduler.journal import revisions
from scheduler.journal.store import Journal
from scheduler.profile.values import Profile
from scheduler.service.calendars.calendar_files import MOST_BYTES, MOST_EVENTS, Feed
from scheduler.service.household.open_profile import Household
from scheduler.service.houses_emptied import emptied

LEAST_WEEKS = 4
PAST_WEEKS = 3
# The seasons come first: the feed of everything shows them as far as their own does.
WEEKS: dict[FeedName, int] = {"seasons": 53, "lockup": 12, "jobs": 8, "all": 8, "doors": 15}
_Windows = Mapping[FeedName, Window]
_Place = tuple[str, date]  # the kind of an event and its day
_WEEK = timedelta(weeks=1)
_DAY = timedelta(days=1)
_MEASURED_AT = datetime(2026, 1, 1, tzinfo=UTC)
_HEAD_BYTES = 1500  # the head of a feed with a name of the greatest length, with room to spare
# The path of an evening's page: /evening/DATE/PERSON/TOKEN with a person's longest id.
_LONGEST_PATH = "/evening/2026-01-01/" + "p" * 40 + "/" + "t" * 43

_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class FeedRequest:
    """What to publish: from which date (three weeks back), how many days (the default windows)."""

    first: date | None = None
    days: int | None = None


def publish(  # noqa: PLR0913, PLR0917 - all that a publication hangs on
    journal: Journal,
    household: Household,
    request: FeedRequest,
    now: datetime,
    records: Records = NO_RECORDS,
    put: Callable[[Connection, str, tuple[Feed, ...], datetime], None] | None = None,
) -> tuple[Feed, ...]:
    """The feeds of the site as of `now`; `put` has them in the transaction that publishes them.

    No forecast changes a byte of them: what was decided of the weather is left out of `records`.
    """
    site_id = household.profile.site.id
    today = household.today(now)
    widest = _widest(household.profile, request, today)
    first = min(window.first for window in widest.values())
    last = max(window.last for window in widest.values())
    from_day = first if request.first else max(first, today)
    empty = emptied(journal, household.profile, from_day, (last - from_day).days + 1)
    whole = plan(
        household.profile, records.without_weather, from_day, last, household.catalogue, empty
    )
    planned = list(events(whole))
    by_day = {day.day: day for day in whole.days}

    def issue(known: Mapping[str, Revision]) -> tuple[_Windows, list[Revision], list[Revision]]:
        return _issue(household, planned, by_day, known, widest, request, now)

    def feeds(windows: _Windows, shown: list[Revision]) -> tuple[Feed, ...]:
        return tuple(
            _feed(name, windows, shown, household.profile, today, shortened=windows[name] != window)
            for name, window in widest.items()
        )

    windows, changes, shown = issue(journal.revisions(site_id))
    if changes or put:
        with journal.writing() as writing:  # another process may have been first
            windows, changes, shown = issue(revisions.published(writing.connection, site_id))
            revisions.save(writing.connection, site_id, changes)
            revisions.prune(writing.connection, today - KEPT_DAYS * _DAY)
            if put:
                put(writing.connection, site_id, feeds(windows, shown), now)
    _log.info("feeds.published events=%d changed=%d", len(shown), len(changes))
    return feeds(windows, shown)


def _issue(  # noqa: PLR0913, PLR0917 - all that a publication hangs on
    household: Household,
    planned: list[FeedEvent],
    by_day: Mapping[date, DayPlan],
    kept: Mapping[str, Revision],
    widest: _Windows,
    request: FeedRequest,
    now: datetime,
) -> tuple[_Windows, list[Revision], list[Revision]]:
    """The windows, what changes, and what is shown: by the plan and what was published before."""
    profile, today = household.profile, household.today(now)
    kinds = {event.kind for event in planned} | {"lockup", "letout", "range", "midday"}
    old = {uid: one for uid, one in kept.items() if not one.event.kind}
    anew = {uid for uid, one in old.items() if one.event.day >= today and not one.cancelled_on}
    known = {**kept} | {uid: replace(one, event=told(one.event, kinds)) for uid, one in old.items()}
    past = {(one.event.part, one.event.day) for one in known.values() if one.event.day < today}
    ids = {profile.site.id, *profile.house_names, *(each.id for each in profile.flock)}
    # A past that was published stays as it was; one that was not is shown when asked for.
    ahead = [one for one in planned if one.day >= today or (one.part, one.day) not in past]
    here = settled(ahead, known, ids, today)
    horizon = dict.fromkeys(PARTS, Window(min(by_day), max(by_day)))
    tonights = _tonights(here, known, today)
    found = revised(
        here,
        known,
        horizon,
        now=now,
        today=today,
        called_off=lambda event: called_off(event, profile, by_day.get(event.day)),
        anew=anew,
        stays=tonights,
    )
    news = list(found)
    gone = {one.event.uid: one for one in news if one.cancelled_on}
    still = _still_there(here, known | gone, now, today, tonights)
    visible = [*here, *(one.event for one in still)]
    windows = widest if request.days else _fitting(widest, visible, profile)
    here = [event for event in here if any(_belongs(event, name, windows) for name in windows)]
    uids = {event.uid for event in here}
    changes = [one for one in news if one.cancelled_on or one.event.uid in uids]
    known |= {one.event.uid: one for one in changes}
    shown = [*(known[uid] for uid in uids), *still]
    return windows, changes, sorted(shown, key=lambda one: (one.event.day, one.event.uid))


def _tonights(
    here: Iterable[FeedEvent], known: Mapping[str, Revision], today: date
) -> frozenset[str]:
    """Lock-ups of today that are planned no more: the door may be open, so they are not off."""
    place = ("lockup", today)
    mine = {one.uid: one for one in here if (one.kind, one.day) == place}
    gone = {
        uid: one.event
        for uid, one in known.items()
        if (one.event.kind, one.event.day) == place and uid not in mine
    }
    return frozenset(uid for uid, one in gone.items() if not is_covered(one, mine.values()))


def _still_there(
    here: Iterable[FeedEvent],
    known: Mapping[str, Revision],
    now: datetime,
    today: date,
    tonights: frozenset[str],
) -> list[Revision]:
    """What is shown though it is planned no more: the past, and for a fortnight what is off.

    What was off on its day is past with it, and stays.
    """
    uids = {event.uid for event in here}
    others = [one for uid, one in known.items() if uid not in uids]
    found = [
        one
        for one in others
        if not one.cancelled_on and (one.event.uid in tonights or is_past(one.event, now, today))
    ]
    off = [one for one in others if still_shown(one, feed_week(min(today, one.event.day)))]
    live: dict[_Place, list[FeedEvent]] = {}
    for event in (*here, *(one.event for one in found)):
        live.setdefault((event.kind, event.day), []).append(event)
    # The last to be called off first: what had taken another's place speaks for it.
    said: list[FeedEvent] = []
    for one in sorted(off, key=lambda one: (one.changed_at, one.event.uid), reverse=True):
        there = live.get((one.event.kind, one.event.day), [])
        if not is_covered(one.event, there) and not speak_for(one.event, said):
            found.append(one)
            said.append(one.event)
    return found


def _widest(profile: Profile, request: FeedRequest, today: date) -> dict[FeedName, Window]:
    """Each feed's window as asked for, or the longest it may have.

    Days that were asked for count from the first day asked for, else from today.
    """
    names = feeds_of(profile)
    if request.days:
        first = request.first or today
        return dict.fromkeys(names, Window(first, first + (request.days - 1) * _DAY))
    week = request.first or feed_week(today)
    first = request.first or week - PAST_WEEKS * _WEEK
    return {name: Window(first, week + weeks_of(name) * _WEEK - _DAY) for name in names}


def weeks_of(feed: FeedName) -> int:
    """How many weeks ahead a feed goes at most, from its feed week on."""
    return WEEKS["lockup"] if house_of(feed) else WEEKS[feed]


def _fitting(
    widest: _Windows, shown: Iterable[FeedEvent], profile: Profile
) -> dict[FeedName, Window]:
    """The windows shrunk by whole weeks until events and bytes hold.

    First those ahead, not below four; then the past; then those ahead, not below one.
    """
    windows = dict(widest)
    url = (profile.web.base_url or "") + _LONGEST_PATH
    sizes = [(event, _size(event, url)) for event in shown]
    for name in sorted(widest, key=lambda name: name != "seasons"):
        longest = widest[name]
        for window in _ever_shorter(longest):
            windows[name] = window
            belonging = [size for event, size in sizes if _belongs(event, name, windows)]
            if len(belonging) <= MOST_EVENTS and sum(belonging) + _HEAD_BYTES <= MOST_BYTES:
                break
    return windows


def _ever_shorter(longest: Window) -> Iterator[Window]:
    weeks = ((longest.last - longest.first).days + 1) // 7
    past = min(PAST_WEEKS, weeks - 1)
    for ahead in range(weeks - past, min(LEAST_WEEKS, weeks - past) - 1, -1):
        yield Window(longest.first, longest.first + (past + ahead) * _WEEK - _DAY)
    ahead = min(LEAST_WEEKS, weeks - past)
    last = longest.first + (past + ahead) * _WEEK - _DAY
    for left in range(past - 1, -1, -1):
        yield Window(longest.first + (past - left) * _WEEK, last)
    for fewer in range(1, ahead):
        yield Window(longest.first + past * _WEEK, last - fewer * _WEEK)


def _size(event: FeedEvent, url: str) -> int:
    """How long it is with a link and an alarm; stamps and numbers are equally long for years."""
    revision = Revision(event=event, sequence=1_000_000, changed_at=_MEASURED_AT)
    return len(dressed(event_bytes(revision), link=lambda _: url, lead_minutes=240))


def _belongs(event: FeedEvent, feed: FeedName, windows: _Windows) -> bool:
    window = windows[feed]
    if feed == "all":
        last = windows["seasons"].last if event.part == "seasons" else window.last
        return event.day in Window(window.first, last)
    if event.day not in window:
        return False
    if feed == "doors":
        return event.kind == "lockup"
    if house := house_of(feed):
        return event.part == "lockup" and house in event.houses
    return event.part == feed


def _feed(  # noqa: PLR0913 - what a feed is made of
    name: FeedName,
    windows: _Windows,
    shown: Iterable[Revision],
    profile: Profile,
    today: date,
    *,
    shortened: bool,
) -> Feed:
    listed = [revision for revision in shown if _belongs(revision.event, name, windows)]
    window, house = windows[name], house_of(name)
    if not listed:
        first = max(window.first, feed_week(today))
        at = datetime.combine(first, time(), UTC)
        listed = [Revision(event=nothing_to_show(profile, first), sequence=0, changed_at=at)]
    heading = Heading(
        feed=name,
        site_name=profile.site.name,
        house_name=profile.coop_of(house).name if house else "",
    )
    return Feed(
        name=name,
        content=feed_bytes(heading, listed),
        window=window,
        today=today,
        events=len(listed),
        shortened=shortened,
    )
