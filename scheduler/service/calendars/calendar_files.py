"""The published calendars as files of the data folder: written by the reminders, read by the pages.

What is there is served until something better takes its place. One file a calendar serves
everybody; a person's links and alarms are put in when it is handed out.
"""

import json
from collections.abc import Iterable, Mapping
from contextlib import suppress
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path

from scheduler.feeds.feed_names import FeedName, house_feed
from scheduler.feeds.revision import Window
from scheduler.machine.paths import write_whole
from scheduler.profile.values import Profile

MOST_EVENTS = 500  # more, or more bytes, not every calendar program takes without trouble
MOST_BYTES = 195_000
SHELF_NAME = "calendars"
_LENGTHS = "lengths.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class Feed:
    """A feed ready to be put on the shelf, with the marks for a person's links and alarms."""

    name: FeedName
    content: bytes
    window: Window
    today: date = field(compare=False)
    events: int
    shortened: bool


@dataclass(frozen=True, slots=True)
class Bytes:
    """One calendar as it was published, and when it last changed."""

    content: bytes
    changed_at: datetime


def put(folder: Path, site_id: str, feeds: Iterable[Feed]) -> None:
    """Replaces each calendar that changed by rename, and takes away those that are no more.

    Raises:
        OSError: a file cannot be written; the old one is still there.
    """
    shelf = _shelf(folder, site_id)
    shelf.mkdir(parents=True, mode=0o700, exist_ok=True)
    names, lengths = set(), {}
    for feed in feeds:
        write_whole(shelf / f"{feed.name}.ics", feed.content)
        names.add(feed.name)
        lengths[feed.name] = feed.window.last.isoformat()
    write_whole(shelf / _LENGTHS, json.dumps(lengths, indent=1).encode() + b"\n")
    for path in shelf.glob("*.ics"):
        if path.stem not in names:
            path.unlink(missing_ok=True)


def look(folder: Path, site_id: str) -> tuple[tuple[str, int, int], ...]:
    """Something that differs when a calendar was replaced; costs no reading."""
    found = []
    for path in _files(folder, site_id):
        with suppress(OSError):
            stat = path.stat()
            found.append((path.stem, stat.st_ino, stat.st_mtime_ns))
    return tuple(found)


def read(folder: Path, site_id: str) -> Mapping[FeedName, Bytes]:
    """Every calendar that is there."""
    found: dict[FeedName, Bytes] = {}
    for path in _files(folder, site_id):
        with suppress(OSError):
            changed_at = datetime.fromtimestamp(int(path.stat().st_mtime), UTC)
            found[path.stem] = Bytes(path.read_bytes(), changed_at)
    return found


def with_the_only_house(
    found: Mapping[FeedName, Bytes], profile: Profile
) -> Mapping[FeedName, Bytes]:
    """A house that was left alone has its own calendar still: whoever subscribed to it reads on."""
    if len(profile.coop) != 1 or "lockup" not in found:
        return found
    return {**found, house_feed(profile.coop[0].id): found["lockup"]}


def last_days(folder: Path, site_id: str) -> Mapping[FeedName, date]:
    """How far each published calendar goes; nothing of those not published yet."""
    try:
        told = json.loads((_shelf(folder, site_id) / _LENGTHS).read_bytes())
        return {name: date.fromisoformat(last) for name, last in told.items()}
    except (OSError, ValueError, AttributeError, TypeError):
        return {}


def _files(folder: Path, site_id: str) -> list[Path]:
    try:
        return sorted(_shelf(folder, site_id).glob("*.ics"))
    except OSError:
        return []


def _shelf(folder: Path, site_id: str) -> Path:
    return folder / SHELF_NAME / site_id
