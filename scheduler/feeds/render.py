"""Events and their revisions to iCalendar bytes: the same facts give the same bytes.

Each property is written by the icalendar library once and kept; a feed is its head, its events
and its end joined, so that a change costs one event, not a feed.
"""

import re
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache

from icalendar import vDDDTypes, vInt, vText
from icalendar.parser import Contentline

from scheduler.feeds.event import FeedName
from scheduler.feeds.revision import Revision

_PRODID = "-//Duskfold//Flock care//EN"
_LONGEST_LINE = 75  # octets, RFC 5545 3.1
_CUT_ESCAPE = re.compile(rb"(?<!\\)(?:\\\\)*\\\r\n")
_END = b"END:VCALENDAR\r\n"
_EVENT_END = b"END:VEVENT\r\n"
# CSS3 colour names (RFC 7986 5.9) and the same as a number for clients that want one.
_COLOURS = {
    "lockup": ("darkorange", "#FF8C00"),
    "jobs": ("seagreen", "#2E8B57"),
    "seasons": ("steelblue", "#4682B4"),
    "all": ("darkorange", "#FF8C00"),
}
_ABOUT = {
    "lockup": ("lock-up", "When to let out, range and lock up, by the sun."),
    "jobs": ("jobs", "The jobs of each morning and evening."),
    "seasons": ("seasons", "What changes with the season."),
    "all": ("everything", "Lock-up, jobs and seasons."),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """What stands at the head of a feed."""

    feed: FeedName
    site_name: str


def feed_bytes(heading: Heading, revisions: Iterable[Revision], *, alarms: bool) -> bytes:
    """The feed as UTF-8 iCalendar bytes, events in the order given."""
    parts = [event_bytes(revision, alarms=alarms) for revision in revisions]
    return b"".join([_head(heading), *parts, _END])


def event_bytes(revision: Revision, *, alarms: bool) -> bytes:
    """One VEVENT; with `alarms`, a lock-up rings 30 minutes before."""
    plain = _event(revision)
    if not alarms or not revision.event.rings or revision.cancelled_on:
        return plain
    return plain.removesuffix(_EVENT_END) + _alarm(revision.event.title) + _EVENT_END


@lru_cache(maxsize=8)
def _head(heading: Heading) -> bytes:
    name, about = _ABOUT[heading.feed]
    title = f"{heading.site_name} · {name}"
    word, number = _COLOURS[heading.feed]
    lines = [
        b"BEGIN:VCALENDAR\r\n",
        _line("VERSION", "2.0"),
        _line("PRODID", _PRODID),
        _line("CALSCALE", "GREGORIAN"),
        _line("NAME", title),
        _line("X-WR-CALNAME", title),
        _line("DESCRIPTION", about),
        _line("X-WR-CALDESC", about),
        _line("COLOR", word),
        _line("X-APPLE-CALENDAR-COLOR", number),
        b"REFRESH-INTERVAL;VALUE=DURATION:PT1H\r\n",
        _line("X-PUBLISHED-TTL", "PT1H"),
    ]
    return b"".join(lines)


@lru_cache(maxsize=4096)
def _event(revision: Revision) -> bytes:
    event = revision.event
    lines = [
        b"BEGIN:VEVENT\r\n",
        _line("UID", event.uid),
        _line("DTSTAMP", revision.changed_at),
        _line("LAST-MODIFIED", revision.changed_at),
        _line("SEQUENCE", revision.sequence),
        _line("DTSTART", event.start),
        _line("DTEND", event.end),
        _line("SUMMARY", event.title),
        _line("DESCRIPTION", event.description),
        _line("STATUS", "CANCELLED" if revision.cancelled_on else "CONFIRMED"),
    ]
    if event.part == "seasons":
        lines.append(_line("TRANSP", "TRANSPARENT"))
    return b"".join([*lines, _EVENT_END])


@lru_cache(maxsize=8192)
def _line(name: str, value: str | int | datetime | date) -> bytes:
    """One property as the library writes it; most stand in many events, so each is written once."""
    written: vText | vInt | vDDDTypes
    if isinstance(value, str):
        written = vText(value)
    else:
        written = vInt(value) if isinstance(value, int) else vDDDTypes(value)
    line = Contentline.from_parts(name, written.params, written)
    folded = bytes(line.to_ical())
    # icalendar 7.3 may fold between the two halves of an escaped backslash.
    return (_folded(line.encode()) if _CUT_ESCAPE.search(folded) else folded) + b"\r\n"


def _folded(line: bytes) -> bytes:
    """The line folded by octets, but neither inside a character nor behind half an escape."""
    pieces, room = [], _LONGEST_LINE
    while len(line) > room:
        end = room
        while line[end] & 0xC0 == 0x80 or (end - len(line[:end].rstrip(b"\\"))) % 2:  # noqa: PLR2004 - UTF-8
            end -= 1
        pieces.append(line[:end])
        line, room = line[end:], _LONGEST_LINE - 1
    return b"\r\n ".join([*pieces, line])


def _alarm(text: str) -> bytes:
    lines = [
        b"BEGIN:VALARM\r\n",
        _line("ACTION", "DISPLAY"),
        _line("DESCRIPTION", text),
        b"TRIGGER:-PT30M\r\n",
        b"END:VALARM\r\n",
    ]
    return b"".join(lines)
