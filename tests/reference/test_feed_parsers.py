"""Independent parsers read a feed strictly and agree with its events on titles and instants."""

import ctypes
import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import pairwise
from typing import Any
from zoneinfo import ZoneInfo

import ics
import ics.grammar.parse
import pytest
import vobject
from ical.calendar_stream import IcsCalendarStream
from ical.exceptions import CalendarParseError

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.feeds.backup_alarm import backup_events, backup_file, days_of
from scheduler.feeds.event import FeedEvent
from scheduler.feeds.planned_events import events
from scheduler.feeds.render import Heading, dressed, feed_bytes
from scheduler.feeds.revision import revised
from scheduler.profile.values import Profile
from scheduler.service.almanac import Almanac
from scheduler.service.household.open_profile import Household

# UID to start, end and title.
Read = dict[str, tuple[datetime | date, datetime | date, str]]
Reader = Callable[[bytes], Read]

FIRST = date(2026, 3, 16)
ODD_NAMES = (
    "👩🏽‍🌾" * 20,
    'The "old"; barn, by the \\n mill: C:\\new',
    r"Old \N Barn",
    "לול התרנגולות",
    "حظيرة الدجاج",
)


class RefusedError(Exception):
    """A parser has not taken a feed."""


def planned(
    profile: Profile, catalogue: Catalogue, first: date = FIRST, *, days: int = 28
) -> list[FeedEvent]:
    last = first + timedelta(days=days - 1)
    return list(events(plan(profile, NO_RECORDS, first, last, catalogue)))


def page(day: date) -> str:
    """The page of an evening, as somebody's calendar has it."""
    return f"https://hens.example.org/evening/{day}/ana/{'t' * 43}"


def written(planned: list[FeedEvent], *, alarms: bool = True) -> bytes:
    now = datetime(2026, 3, 16, 9, 30, tzinfo=UTC)
    revisions = revised(planned, {}, {}, now=now, today=now.date())
    content = feed_bytes(Heading(feed="all", site_name="Orchard"), revisions)
    return dressed(content, link=page, lead_minutes=30 if alarms else None)


def said(planned: list[FeedEvent]) -> Read:
    return {event.uid: (event.start, event.end, event.title) for event in planned}


def in_utc(value: datetime | date) -> datetime | date:
    """The value itself; fails when it is a time in anything but UTC."""
    if isinstance(value, datetime):
        assert value.utcoffset() == timedelta()
        return value.astimezone(UTC)
    return value


def by_ical(feed: bytes) -> Read:
    try:
        calendar = IcsCalendarStream.calendar_from_ics(feed.decode())
    except CalendarParseError as error:
        raise RefusedError from error
    read: Read = {}
    for event in calendar.events:
        assert event.uid
        assert event.dtstart
        assert event.dtend
        assert event.summary
        read[event.uid] = (in_utc(event.dtstart), in_utc(event.dtend), event.summary)
    return read


def by_vobject(feed: bytes) -> Read:
    try:
        calendar = vobject.readOne(feed.decode())
        calendar.validate(raiseException=True)
    except vobject.base.VObjectError as error:
        raise RefusedError from error
    return {
        event.uid.value: (
            in_utc(event.dtstart.value),
            in_utc(event.dtend.value),
            event.summary.value,
        )
        for event in calendar.vevent_list
    }


def by_ics(feed: bytes) -> Read:
    try:
        calendar = ics.Calendar(feed.decode())
    except (ics.grammar.parse.ParseError, ValueError) as error:
        raise RefusedError from error
    read: Read = {}
    for event in calendar.events:
        start, end = in_utc(event.begin.datetime), in_utc(event.end.datetime)
        if event.all_day:
            start, end = event.begin.date(), event.end.date()
        read[event.uid] = (start, end, event.name)
    return read


@cache
def libical() -> ctypes.CDLL:
    try:
        library = ctypes.CDLL("libical.so.3")
    except OSError:
        pytest.skip("libical3 is not installed; apt-get install libical3")
    component, kind, text = ctypes.c_void_p, ctypes.c_int, ctypes.c_char_p
    for name, result, *arguments in (
        ("icalparser_parse_string", component, text),
        ("icalcomponent_count_errors", ctypes.c_int, component),
        ("icalrestriction_check", ctypes.c_int, component),
        ("icalcomponent_as_ical_string", text, component),
        ("icalcomponent_string_to_kind", kind, text),
        ("icalcomponent_get_first_component", component, component, kind),
        ("icalcomponent_get_next_component", component, component, kind),
        ("icalcomponent_get_uid", text, component),
        ("icalcomponent_get_summary", text, component),
        ("icalproperty_string_to_kind", kind, text),
        ("icalcomponent_get_first_property", component, component, kind),
        ("icalproperty_get_value_as_string", text, component),
        ("icalcomponent_free", None, component),
    ):
        function = getattr(library, name)
        function.restype, function.argtypes = result, arguments
    return library


def by_libical(feed: bytes) -> Read:
    library = libical()
    calendar = library.icalparser_parse_string(feed)
    if not calendar:
        raise RefusedError
    try:
        valid = library.icalrestriction_check(calendar)
        errors = library.icalcomponent_count_errors(calendar)
        if not valid or errors or b"X-LIC-ERROR" in library.icalcomponent_as_ical_string(calendar):
            raise RefusedError
        return {
            library.icalcomponent_get_uid(event).decode(): (
                libical_moment(event, b"DTSTART"),
                libical_moment(event, b"DTEND"),
                library.icalcomponent_get_summary(event).decode(),
            )
            for event in libical_events(calendar)
        }
    finally:
        library.icalcomponent_free(calendar)


def libical_events(calendar: Any) -> Iterator[Any]:
    library = libical()
    kind = library.icalcomponent_string_to_kind(b"VEVENT")
    event = library.icalcomponent_get_first_component(calendar, kind)
    while event:
        yield event
        event = library.icalcomponent_get_next_component(calendar, kind)


def libical_moment(event: Any, name: bytes) -> datetime | date:
    library = libical()
    kind = library.icalproperty_string_to_kind(name)
    line = library.icalcomponent_get_first_property(event, kind)
    text = library.icalproperty_get_value_as_string(line).decode()
    return in_utc(datetime.fromisoformat(text)) if "T" in text else date.fromisoformat(text)


LIBICAL = pytest.param(by_libical, marks=pytest.mark.debian)
PARSERS = [by_ical, by_vobject, LIBICAL]


@pytest.mark.parametrize("alarms", [True, False])
@pytest.mark.parametrize("read", PARSERS)
def test_a_parser_reads_what_the_events_say(
    small: Profile, catalogue: Catalogue, read: Reader, *, alarms: bool
) -> None:
    told = planned(small, catalogue)
    assert {type(event.start) for event in told} == {datetime, date}
    assert read(written(told, alarms=alarms)) == said(told)


def test_ics_reads_what_the_events_of_a_fortnight_say(small: Profile, catalogue: Catalogue) -> None:
    told = planned(small, catalogue, days=14)
    assert {type(event.start) for event in told} == {datetime, date}
    assert by_ics(written(told)) == said(told)


@pytest.mark.parametrize("read", [*PARSERS, by_ics])
def test_a_parser_reads_the_backup_alarm(
    small: Profile, catalogue: Catalogue, read: Reader
) -> None:
    now = datetime(2026, 3, 16, 9, 30, tzinfo=UTC)
    household = Household(profile=small, catalogue=catalogue)
    days = Almanac(household=household, records=NO_RECORDS, ways=frozenset(), key=b"")
    evenings = [one for day in days_of(FIRST) for one in days.planned(day, ())]
    file = backup_file(small, evenings, FIRST, now)
    assert file
    told = list(backup_events(small, evenings, FIRST, file.last))
    assert len(told) == 105
    assert read(file.content) == said(told)


@pytest.mark.parametrize("read", [*PARSERS, by_ics])
def test_a_parser_refuses_a_line_break_inside_a_text(
    small: Profile, catalogue: Catalogue, read: Reader
) -> None:
    feed = written(planned(small, catalogue, days=1))
    with pytest.raises(RefusedError):
        read(feed.replace(b"\\n", b"\r\n", 1))


@pytest.mark.parametrize(
    ("read", "line"),
    [(by_vobject, rb"UID:.*\n"), (by_ical, rb"ACTION:.*\n"), (by_ics, rb"PRODID:.*\n")],
)
def test_a_parser_refuses_a_feed_that_lacks_a_line(
    small: Profile, catalogue: Catalogue, read: Reader, line: bytes
) -> None:
    feed = written(planned(small, catalogue, days=1))
    with pytest.raises(RefusedError):
        read(re.sub(line, b"", feed, count=1))


@pytest.mark.debian
@pytest.mark.parametrize("line", [rb"PRODID:.*\n", rb"VERSION:.*\n"])
def test_libical_refuses_a_feed_that_lacks_a_line(
    small: Profile, catalogue: Catalogue, line: bytes
) -> None:
    feed = written(planned(small, catalogue, days=1))
    with pytest.raises(RefusedError):
        by_libical(re.sub(line, b"", feed, count=1))


# ics is left out: it takes the end of an escaped backslash before an n for a line break.
@pytest.mark.parametrize("read", PARSERS)
def test_emoji_quotes_and_right_to_left_names_come_back_as_written(
    small: Profile, catalogue: Catalogue, read: Reader
) -> None:
    told = planned(small, catalogue)[: len(ODD_NAMES)]
    told = [replace(event, title=name) for event, name in zip(told, ODD_NAMES, strict=True)]
    titles = {title for _, _, title in read(written(told)).values()}
    assert titles == set(ODD_NAMES)


# The civil dates on which the clocks change, by the IANA time zone database.
CHANGES = [
    ("Europe/London", 51.5, -0.1, date(2026, 3, 29)),
    ("Europe/London", 51.5, -0.1, date(2026, 10, 25)),
    ("America/Nuuk", 64.2, -51.7, date(2026, 3, 28)),
    ("America/Nuuk", 64.2, -51.7, date(2026, 10, 24)),
    ("Pacific/Easter", -27.1, -109.4, date(2026, 4, 4)),
    ("Pacific/Easter", -27.1, -109.4, date(2026, 9, 5)),
]


@pytest.mark.parametrize("read", PARSERS)
@pytest.mark.parametrize(("zone", "latitude", "longitude", "change"), CHANGES)
def test_the_sun_sets_on_when_the_clock_changes(  # noqa: PLR0913, PLR0917 - a place is three values
    declare: Callable[[str], Profile],
    catalogue: Catalogue,
    read: Reader,
    zone: str,
    latitude: float,
    longitude: float,
    change: date,
) -> None:
    profile = declare(f"""
[site]
name = "Orchard"
latitude = {latitude}
longitude = {longitude}
timezone = "{zone}"
[[coop]]
name = "Walnut"
[[flock]]
name = "Girls"
hens = 12
""")
    told = planned(profile, catalogue, change - timedelta(days=3), days=7)
    found = read(written(told))
    assert found == said(told)
    lock_ups = sorted(
        (start.astimezone(ZoneInfo(zone)), title)
        for uid, (start, _, title) in found.items()
        if uid.startswith("lockup-") and isinstance(start, datetime)
    )
    assert len(lock_ups) == 7
    assert all(f"{start:%H:%M}" in title for start, title in lock_ups)
    day = timedelta(days=1)
    clocks = [start for start, _ in lock_ups]
    instants = [start.astimezone(UTC) for start in clocks]
    assert all(abs(b - a - day) < timedelta(minutes=6) for a, b in pairwise(instants))
    # Two times of one zone subtract as the clock shows them.
    jumps = [b - a - day for a, b in pairwise(clocks) if abs(b - a - day) > timedelta(minutes=50)]
    assert len(jumps) == 1
