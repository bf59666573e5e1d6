"""Events and their revisions to iCalendar bytes: the same facts give the same bytes.

Each property is written once and kept; a feed is its head, its events and its end joined, so that
a change costs one event, not a feed. One rendering serves everybody: where a person's link and
alarm go is marked, and they are put in when a feed is handed out.
"""

import re
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date, datetime
from functools import lru_cache

from icalendar import vDDDTypes, vInt
from icalendar.parser import Contentline

from scheduler.feeds.event import Part
from scheduler.feeds.feed_names import FeedName, house_of
from scheduler.feeds.revision import Revision
from scheduler.wording.feeds.calendars import (
    CalendarAbouts,
    CalendarNames,
    EveningLink,
    EventCategories,
)
from scheduler.wording.words import every, kept

PRODID = "-//Duskfold//Flock care//EN"
_LONGEST_LINE = 75  # octets, RFC 5545 3.1
_END = b"END:VCALENDAR\r\n"
_EVENT_END = b"END:VEVENT\r\n"
_LINK_MARK = re.compile(rb"(?<=\r\n)X-DUSKFOLD-LINK:(\d{8})\r\n")
_ALARM_MARK = b"X-DUSKFOLD-ALARM:1\r\n"
_SUMMARY = re.compile(rb"\r\nSUMMARY:((?:[^\r]|\r\n )*)\r\n")
_CATEGORIES = {
    "lockup": EventCategories.lock_up,
    "letout": EventCategories.let_out,
    "range": EventCategories.free_range,
}
_BY_PART = {
    "lockup": EventCategories.evenings,
    "jobs": EventCategories.jobs,
    "seasons": EventCategories.seasons,
}
# CSS3 colour names (RFC 7986 5.9) and the same as a number for clients that want one.
_ORANGE = ("darkorange", "#FF8C00")
_COLOURS = {
    "jobs": ("seagreen", "#2E8B57"),
    "seasons": ("steelblue", "#4682B4"),
    "doors": ("firebrick", "#B22222"),
}
_NAMES, _ABOUTS = every(CalendarNames), every(CalendarAbouts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Heading:
    """What stands at the head of a feed."""

    feed: FeedName
    site_name: str
    house_name: str = ""


def feed_bytes(heading: Heading, revisions: Iterable[Revision]) -> bytes:
    """The feed as UTF-8 iCalendar bytes, events in the order given, with its marks."""
    return b"".join([_head(heading), *map(event_bytes, revisions), _END])


def imported_bytes(title: str, about: str, revisions: Iterable[Revision]) -> bytes:
    """A calendar to import once: it has no feed's colour, and nothing is to fetch it again.

    It has no METHOD, as a file of events that nobody is invited to (RFC 5545 3.7.2).
    """
    return b"".join([*_named(title, about), *map(event_bytes, revisions), _END])


def event_bytes(revision: Revision) -> bytes:
    """One VEVENT, with the marks of a lock-up that is not called off."""
    # An event is equal whatever its kind and whether it rings; its bytes are not.
    event = revision.event
    return _event(revision, _category(event.kind, event.part), event.rings)


@kept(most=64)
def _category(kind: str, part: Part) -> str:
    return _CATEGORIES.get(kind, _BY_PART[part])()


Link = Callable[[date], str]  # to the page of the evening of that date


def dressed(content: bytes, *, link: Link | None = None, lead_minutes: int | None = None) -> bytes:
    """The feed with a person's links and alarms in place of the marks; without them, bare."""
    dress: bytes = _LINK_MARK.sub(lambda at: _link(at[1], link) if link else b"", content)
    if lead_minutes is None:
        return dress.replace(b"\r\n" + _ALARM_MARK, b"\r\n")
    *ringing, rest = dress.split(b"\r\n" + _ALARM_MARK)
    alarmed = [one + b"\r\n" + _alarm(_title_of(one), lead_minutes) for one in ringing]
    return b"".join([*alarmed, rest])


def _link(day: bytes, link: Link) -> bytes:
    """More of the description, whose last line is right before the mark, and the URL."""
    url = link(datetime.strptime(day.decode(), "%Y%m%d").date())  # noqa: DTZ007 - a civil date
    text = _escaped(f"\n{EveningLink.is_it_shut(link=url)}").encode()
    more = _folded(b" " + text)
    return more + b"\r\n" + _folded(b"URL:" + url.encode()) + b"\r\n"


def _title_of(events: bytes) -> bytes:
    """The title of the last event, escaped as it stands there."""
    whole = b"\r\n" + events  # a name may say "BEGIN:VEVENT", too, but not as a line
    found: list[bytes] = _SUMMARY.findall(whole[whole.rindex(b"\r\nBEGIN:VEVENT\r\n") :])
    return found[-1].replace(b"\r\n ", b"")


@kept(most=8)
def _head(heading: Heading) -> bytes:
    is_house = house_of(heading.feed) is not None
    name = heading.house_name if is_house else _NAMES[heading.feed]()
    about = CalendarAbouts.house() if is_house else _ABOUTS[heading.feed]()
    title = f"{heading.site_name} · {name}"
    word, number = _COLOURS.get(heading.feed, _ORANGE)
    lines = [
        *_named(title, about),
        _line("COLOR", word),
        _line("X-APPLE-CALENDAR-COLOR", number),
        b"REFRESH-INTERVAL;VALUE=DURATION:PT1H\r\n",
        _line("X-PUBLISHED-TTL", "PT1H"),
    ]
    return b"".join(lines)


def _named(title: str, about: str) -> list[bytes]:
    return [
        b"BEGIN:VCALENDAR\r\n",
        _line("VERSION", "2.0"),
        _line("PRODID", PRODID),
        _line("CALSCALE", "GREGORIAN"),
        _line("NAME", title),
        _line("X-WR-CALNAME", title),
        _line("DESCRIPTION", about),
        _line("X-WR-CALDESC", about),
    ]


@lru_cache(maxsize=4096)
def _event(revision: Revision, category: str, rings: bool) -> bytes:
    event = revision.event
    is_marked = rings and not revision.cancelled_on
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
    ]
    if is_marked:
        lines.append(b"X-DUSKFOLD-LINK:%s\r\n" % event.day.strftime("%Y%m%d").encode())
    lines += [
        _line("STATUS", "CANCELLED" if revision.cancelled_on else "CONFIRMED"),
        _line("CATEGORIES", category),
        _line("TRANSP", "TRANSPARENT"),
        b"X-MICROSOFT-CDO-BUSYSTATUS:FREE\r\n",
    ]
    if is_marked:
        lines.append(_ALARM_MARK)
    return b"".join([*lines, _EVENT_END])


@lru_cache(maxsize=8192)
def _line(name: str, value: str | int | datetime | date) -> bytes:
    """One property; most stand in many events, so each is written once."""
    if isinstance(value, str):
        return _folded(f"{name}:{_escaped(value)}".encode()) + b"\r\n"
    written = vInt(value) if isinstance(value, int) else vDDDTypes(value)
    return bytes(Contentline.from_parts(name, written.params, written).to_ical()) + b"\r\n"


_ESCAPES = str.maketrans({"\\": r"\\", ";": r"\;", ",": r"\,", "\n": r"\n", "\r": ""})


def _escaped(text: str) -> str:
    """As RFC 5545 3.3.11 says; icalendar 7.3 takes a backslash before N for a line break."""
    return text.translate(_ESCAPES)


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


def _alarm(title: bytes, lead_minutes: int) -> bytes:
    return (
        b"BEGIN:VALARM\r\n"
        + _line("ACTION", "DISPLAY")
        + _folded(b"DESCRIPTION:" + title)
        + b"\r\nTRIGGER:-PT%dM\r\nEND:VALARM\r\n" % lead_minutes
    )
