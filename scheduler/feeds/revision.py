"""What publishing changes: which events are new, moved, cancelled or back, and their numbers.

DTSTAMP, LAST-MODIFIED and SEQUENCE move together and only with the content: clients differ in
which of the three they look at.
"""

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

from scheduler.feeds.event import FeedEvent, Part

_SEQUENCE_EPOCH = datetime(2025, 1, 1, tzinfo=UTC)
_MINUTE = timedelta(minutes=1)
CANCELLED_DAYS = 14
KEPT_DAYS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Revision:
    """The published state of one event; `cancelled_on` is set while it is called off."""

    event: FeedEvent
    sequence: int
    changed_at: datetime
    cancelled_on: date | None = None


@dataclass(frozen=True, slots=True)
class Window:
    """Civil dates, both included."""

    first: date
    last: date

    def __contains__(self, day: date) -> bool:
        """Both ends belong to the window."""
        return self.first <= day <= self.last


def feed_week(today: date) -> date:
    """The Monday on or before yesterday: where a feed's window starts."""
    yesterday = today - timedelta(days=1)
    return yesterday - timedelta(days=yesterday.weekday())


def revised(  # noqa: PLR0913 - what is planned, what was published, when
    planned: Iterable[FeedEvent],
    known: Mapping[str, Revision],
    windows: Mapping[Part, Window],
    *,
    now: datetime,
    today: date,
    called_off: Callable[[FeedEvent], FeedEvent] = lambda event: event,
    anew: Collection[str] = frozenset(),
    stays: Collection[str] = frozenset(),
) -> Iterator[Revision]:
    """Every revision that publishing `planned` adds or changes; nothing when nothing changed.

    An event that was published, is not over, lies inside its part's window and is planned no more
    is cancelled, and shown as `called_off` words it. One that has left the window is not, nor is
    one whose part has no window; what was published for the past stays. Those `anew` are told
    again though nothing of them changed; what `stays` is left as it was published.
    """
    at = now.replace(microsecond=0)
    uids = set()
    for event in planned:
        uids.add(event.uid)
        old = known.get(event.uid)
        if old and is_past(old.event, now, today):
            continue
        if not old or old.cancelled_on or old.event != event or event.uid in anew:
            yield Revision(event=event, sequence=_next(old, at), changed_at=_later(old, at))
        elif old.event.houses != event.houses:
            # A calendar shows the same; whose it is must be known when it is called off.
            yield replace(old, event=event)
    for uid, old in known.items():
        if uid in uids or uid in stays or old.cancelled_on or is_past(old.event, now, today):
            continue
        window = windows.get(old.event.part)
        if window and old.event.day in window:
            yield Revision(
                event=called_off(old.event),
                sequence=_next(old, at),
                changed_at=_later(old, at),
                cancelled_on=today,
            )


def is_past(event: FeedEvent, now: datetime, today: date) -> bool:
    """Whether it is over: then it stays as it was published."""
    return event.end <= now if isinstance(event.end, datetime) else event.end <= today


def still_shown(revision: Revision, week: date) -> bool:
    """Whether a cancelled event is still published in the feed week that starts on `week`."""
    since = revision.cancelled_on
    return since is not None and week < since + timedelta(days=CANCELLED_DAYS)


def _later(old: Revision | None, at: datetime) -> datetime:
    """Now, but after the change before: some clients look at nothing else."""
    return max(at, old.changed_at + timedelta(seconds=1)) if old else at


def _next(old: Revision | None, at: datetime) -> int:
    """Minutes since 2025, or one more than before: it never falls, even after a lost journal."""
    minutes = (at - _SEQUENCE_EPOCH) // _MINUTE
    return max(minutes, old.sequence + 1) if old else max(minutes, 0)
