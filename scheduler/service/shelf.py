"""The published calendars as files of the data folder: written by the reminders, read by the pages.

What is there was proved before, and is served until something better takes its place.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING

from scheduler.feeds.event import FeedName
from scheduler.service.places import write_whole

if TYPE_CHECKING:
    from scheduler.service.publish import Feed

SHELF_NAME = "calendars"
FEEDS: tuple[FeedName, ...] = ("lockup", "jobs", "seasons", "all")
Volume = tuple[FeedName, bool]  # which calendar, and whether with alarms


@dataclass(frozen=True, slots=True)
class Bytes:
    """One calendar as it is served, and when it last changed."""

    content: bytes
    changed_at: datetime


def put(folder: Path, site_id: str, feeds: Iterable["Feed"]) -> None:
    """Replaces each calendar that changed by rename.

    Raises:
        OSError: a file cannot be written; the old one is still there.
    """
    shelf = _shelf(folder, site_id)
    shelf.mkdir(parents=True, mode=0o700, exist_ok=True)
    for feed in feeds:
        write_whole(_file(shelf, (feed.name, feed.alarms)), feed.content)


def look(folder: Path, site_id: str) -> tuple[tuple[int, int], ...]:
    """Something that differs when a calendar was replaced; costs no reading."""
    shelf = _shelf(folder, site_id)
    found = []
    for volume in _VOLUMES:
        try:
            stat = _file(shelf, volume).stat()
        except OSError:
            found.append((0, 0))
        else:
            found.append((stat.st_ino, stat.st_mtime_ns))
    return tuple(found)


def read(folder: Path, site_id: str) -> Mapping[Volume, Bytes]:
    """Every calendar that is there."""
    shelf = _shelf(folder, site_id)
    found: dict[Volume, Bytes] = {}
    for volume in _VOLUMES:
        path = _file(shelf, volume)
        try:
            changed_at = datetime.fromtimestamp(int(path.stat().st_mtime), UTC)
            found[volume] = Bytes(path.read_bytes(), changed_at)
        except OSError:
            continue
    return found


_VOLUMES: tuple[Volume, ...] = tuple((name, alarms) for alarms in (False, True) for name in FEEDS)


def _shelf(folder: Path, site_id: str) -> Path:
    return folder / SHELF_NAME / site_id


def _file(shelf: Path, volume: Volume) -> Path:
    name, alarms = volume
    return shelf / f"{name}{'-alarms' if alarms else ''}.ics"
