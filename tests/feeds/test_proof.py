import re
from collections.abc import Callable
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from importlib.util import find_spec, module_from_spec
from types import ModuleType

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic.color import COLORS_BY_NAME

from scheduler.cares.catalogue import Catalogue
from scheduler.cares.plan import plan
from scheduler.cares.records import NO_RECORDS
from scheduler.feeds.event import PARTS, FeedEvent
from scheduler.feeds.planned_events import events
from scheduler.feeds.render import Heading, dressed, feed_bytes
from scheduler.feeds.revision import Revision, Window, revised
from scheduler.profile.values import Profile
from tests.feeds.proof import CHECKS, COLOURS, faults

FIRST = date(2026, 3, 16)
LAST = FIRST + timedelta(days=13)
NOW = datetime(2026, 3, 18, 9, 30, 12, tzinfo=UTC)
DTSTAMP = re.compile(rb"\r\nDTSTAMP:(.*)\r\n")
UID = re.compile(rb"\r\nUID:(.*)\r\n")

FARMER = "👩🏽‍🌾"
# 80 characters is the longest name; these 20 emoji of 4 code points fill it.
EMOJI_NAMES = [FARMER * 20] * 10
ODD_NAMES = (
    *EMOJI_NAMES,
    'The "old"; barn, by the \\n mill: C:\\new\\\\',
    ";,:" * 26,
    "לול התרנגולות",
    "حظيرة الدجاج",
    "BEGIN:VALARM RRULE:FREQ=DAILY METHOD:PUBLISH DTSTART;TZID=Europe/Paris:2026",
)


def toml_text(text: str) -> str:
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def profile_text(*coop_names: str) -> str:
    coops = "".join(
        f"""
[[coop]]
name = {toml_text(name)}
id = "coop-{n}"
[[flock]]
name = {toml_text(name)}
id = "flock-{n}"
coop = "coop-{n}"
hens = {n + 2}
"""
        for n, name in enumerate(coop_names)
    )
    return f"""
[site]
name = {toml_text(coop_names[0])}
id = "yard"
latitude = 51.5
longitude = -0.1
timezone = "Europe/London"
region = "UK"
{coops}"""


def page(day: date) -> str:
    """The page of an evening, as somebody's calendar has it."""
    return f"https://hens.example.org/evening/{day}/ana/{'t' * 43}"


def planned(profile: Profile, catalogue: Catalogue) -> list[FeedEvent]:
    return list(events(plan(profile, NO_RECORDS, FIRST, LAST, catalogue)))


def feed(profile: Profile, catalogue: Catalogue, *, alarms: bool = True) -> bytes:
    revisions = revised(planned(profile, catalogue), {}, {}, now=NOW, today=NOW.date())
    content = feed_bytes(Heading(feed="all", site_name=profile.site.name), revisions)
    return dressed(content, link=page, lead_minutes=30 if alarms else None)


@pytest.fixture(scope="module")
def good(small: Profile, catalogue: Catalogue) -> bytes:
    return feed(small, catalogue)


def failed_checks(broken: bytes) -> set[str]:
    return {fault.check for fault in faults(broken)}


@pytest.mark.parametrize("alarms", [True, False])
def test_a_feed_as_published_has_no_fault(
    small: Profile, catalogue: Catalogue, *, alarms: bool
) -> None:
    written = feed(small, catalogue, alarms=alarms)
    assert (b"BEGIN:VALARM" in written) == alarms
    assert b"DTSTART;VALUE=DATE:" in written
    assert faults(written) == []


@pytest.mark.parametrize("alarms", [True, False])
@pytest.mark.parametrize("names", [ODD_NAMES, *((name,) for name in dict.fromkeys(ODD_NAMES))])
def test_no_name_that_a_profile_accepts_breaks_a_feed(
    declare: Callable[[str], Profile],
    catalogue: Catalogue,
    names: tuple[str, ...],
    *,
    alarms: bool,
) -> None:
    assert faults(feed(declare(profile_text(*names)), catalogue, alarms=alarms)) == []


@pytest.mark.parametrize("name", ["\\" * 80, "a" * 60 + "\\" + "🐔" * 9, ("\\" * 7 + "é") * 9])
def test_a_name_of_backslashes_is_folded_between_them(
    declare: Callable[[str], Profile], catalogue: Catalogue, name: str
) -> None:
    # icalendar 7.3.2 by itself may fold between the two halves of an escaped backslash.
    assert faults(feed(declare(profile_text(name)), catalogue)) == []


def test_a_title_of_200_emoji_is_folded_between_characters(
    declare: Callable[[str], Profile], catalogue: Catalogue
) -> None:
    event = planned(declare(profile_text("Walnut")), catalogue)[0]
    crowded = Revision(event=replace(event, title=FARMER * 200), sequence=1, changed_at=NOW)
    written = feed_bytes(Heading(feed="all", site_name="Yard"), [crowded])
    written = dressed(written, link=page, lead_minutes=30)
    longest = max(written.replace(b"\r\n ", b"").decode().split("\r\n"), key=len)
    assert longest.count(FARMER) >= 200
    assert faults(written) == []


def test_a_cancelled_event_has_no_fault(small: Profile, catalogue: Catalogue) -> None:
    known = {
        r.event.uid: r
        for r in revised(planned(small, catalogue), {}, {}, now=NOW, today=NOW.date())
    }
    windows = dict.fromkeys(PARTS, Window(FIRST, LAST))
    later = NOW + timedelta(hours=1)
    cancelled = list(revised([], known, windows, now=later, today=NOW.date()))
    written = feed_bytes(Heading(feed="all", site_name="Orchard"), cancelled)
    written = dressed(written, link=page, lead_minutes=30)
    assert b"\r\nSTATUS:CANCELLED\r\n" in written
    assert faults(written) == []


FRAGMENTS = b"""BEGIN:VCALENDAR END:VCALENDAR BEGIN:VEVENT END:VEVENT BEGIN:VALARM
END:VALARM VERSION:2.0 PRODID:x UID:1 SEQUENCE:1 DTSTART:20260318T180000Z
DTEND:20260318T190000Z BEGIN: :""".split()

# One edit of a good feed a row: the checks that must fail, what is replaced, by what.
START = rb"(?<=\r\n)DTSTART:\d+T\d+Z"
END = rb"(?<=\r\n)DTEND:\d+T\d+Z"
STAMP = rb"(?<=\r\n)DTSTAMP:\d+T\d+Z"
STATUS = rb"(?<=\r\n)STATUS:CONFIRMED"
DAY = rb"(?<=\r\n)DTSTART;VALUE=DATE:(\d+)"
DAY_END = rb"(?<=\r\n)DTEND;VALUE=DATE:(\d+)"
REFRESH = rb"(?<=\r\n)REFRESH-INTERVAL;VALUE=DURATION:PT1H"
FIRST_EVENT = rb"(?s)BEGIN:VEVENT\r\n.*?END:VEVENT\r\n"
FIRST_ALARM = rb"(?s)(BEGIN:VALARM\r\n.*?END:VALARM\r\n)"
SAMPLES: tuple[tuple[set[str], bytes, bytes], ...] = (
    ({"1", "6", "7", "25"}, rb"\A", b"\xef\xbb\xbf"),
    ({"1"}, "·".encode(), "\N{REPLACEMENT CHARACTER}".encode()),
    ({"1"}, "·".encode(), "·".encode("latin-1")),
    ({"2"}, rb"\r\n", b"\n"),
    ({"2"}, rb"(\r\nSUMMARY:[^\r]*)", rb"\1\r"),
    ({"2"}, rb"\r\n\Z", b""),
    ({"2", "6"}, rb"(?s)(\r\nEND:VEVENT)\r\nEND:VCALENDAR.*", rb"\1"),
    ({"3"}, rb"(\r\nDESCRIPTION:)", rb"\1" + b"x" * 75),
    ({"1", "4"}, rb"(SUMMARY:[^\r]*\xc2)(\xb7)", rb"\1\r\n \2"),
    ({"4"}, rb"(\r\nSUMMARY:)", rb"\1\\\r\n ,"),
    ({"4"}, rb"(\r\nSUMMARY:)", rb"\1\\\\\\\r\n\t,"),
    ({"5"}, rb"(\r\nSUMMARY:)", rb"\1" + b"\x07"),
    ({"5"}, rb"(\r\nSUMMARY:)", rb"\1" + b"\x7f"),
    ({"6"}, rb"END:VEVENT\r\n", b""),
    ({"6"}, rb"END:VALARM\r\nEND:VEVENT\r\n", b"END:VEVENT\r\nEND:VALARM\r\n"),
    ({"6"}, rb"\Z", b"X-LATE:1\r\n"),
    ({"6", "7", "10"}, rb"(?s)\A(.*)\Z", rb"\1\1"),
    ({"7"}, rb"VERSION:2.0\r\n", b""),
    ({"7"}, rb"VERSION:2.0", b"VERSION:1.0"),
    ({"7"}, rb"PRODID:.*\r\n", b""),
    ({"7"}, rb"(PRODID:.*\r\n)", rb"\1\1"),
    ({"7"}, rb"(?s)(CALSCALE:GREGORIAN\r\n)(.*)(END:VCALENDAR)", rb"\2\1\3"),
    ({"8"}, rb"(?s)BEGIN:VEVENT.*END:VEVENT\r\n", b""),
    ({"9"}, START + rb"\r\n", b""),
    ({"9", "plain"}, rb"(CALSCALE)", rb"METHOD:PUBLISH\r\n\1"),
    ({"10"}, rb"\r\nUID:[^\r]*", b""),
    ({"10"}, rb"\r\nUID:[^\r]*", b"\r\nUID:"),
    ({"10"}, rb"(\r\nUID:[^\r]*)", rb"\1\1x"),
    ({"10"}, rb"(?s)\A(.*?)(" + FIRST_EVENT[4:] + rb")", rb"\1\2\2"),
    ({"11"}, STAMP + rb"\r\n", b""),
    ({"11"}, rb"(" + STAMP + rb"\r\n)", rb"\1\1"),
    ({"11"}, STAMP, b"DTSTAMP:20260318T093012"),
    ({"11"}, STAMP, b"DTSTAMP:20260318"),
    ({"11"}, STAMP, b"DTSTAMP:20260318T093060Z"),
    ({"12"}, rb"(" + START + rb"\r\n)", rb"\1\1"),
    ({"12"}, rb"(" + START + rb")", b"DTSTART:20260230T180000Z"),
    ({"12"}, rb"(?<=\r\n)DTSTART:", b"DTSTART;VALUE=PERIOD:"),
    ({"12", "14"}, rb"(?<=\r\n)DTSTART:", b"DTSTART;VALUE=DATE:"),
    ({"12", "14"}, DAY, rb"DTSTART:\1"),
    ({"13"}, END + rb"\r\n", b""),
    ({"13"}, rb"(" + END + rb"\r\n)", rb"\1\1"),
    ({"13"}, END, b"DURATION:PT15M"),
    ({"13"}, rb"(" + END + rb")", rb"\1\r\nDURATION:PT15M"),
    ({"13"}, END, b"DTEND:20260301T000000Z"),
    ({"13"}, END, b"DTEND:20270230T000000Z"),
    ({"13"}, rb"DTSTART:(\S+)\r\n" + END, rb"DTSTART:\1\r\nDTEND:\1"),
    ({"13"}, DAY + rb"\r\n" + DAY_END, rb"DTSTART;VALUE=DATE:\1\r\nDTEND;VALUE=DATE:\1"),
    ({"13"}, DAY_END, rb"DTEND:\1T000000Z"),
    ({"14"}, DAY_END, rb"DTEND:\1"),
    ({"14"}, DAY_END, rb"DTEND;VALUE=DATE-TIME:\1"),
    ({"14", "15", "plain"}, DAY, rb"DTSTART;TZID=Europe/London;VALUE=DATE:\1"),
    (
        {"15"},
        rb"DTSTART:(\S+)Z\r\nDTEND:(\S+)Z\r\n",
        rb"DTSTART:\1\r\nDTEND:\2\r\n",
    ),
    ({"15", "plain"}, rb"(?<=\r\n)DTSTART:", b"DTSTART;TZID=Europe/London:"),
    ({"20"}, rb"TRIGGER:-PT30M", b"TRIGGER:-30M"),
    ({"20"}, rb"TRIGGER:-PT30M", b"TRIGGER:-P30M"),
    ({"20"}, rb"TRIGGER:-PT30M", b"TRIGGER:-PT1H5S"),
    ({"20"}, rb"X-PUBLISHED-TTL:PT1H", b"X-PUBLISHED-TTL:PT1W"),
    ({"20"}, REFRESH, b"REFRESH-INTERVAL;VALUE=DURATION:P1H"),
    ({"21"}, rb"ACTION:DISPLAY\r\n", b""),
    ({"21"}, rb"(ACTION:DISPLAY\r\n)", rb"\1\1"),
    ({"21"}, rb"ACTION:DISPLAY", b"ACTION:EMAIL"),
    ({"21"}, rb"TRIGGER:-PT30M\r\n", b""),
    ({"21"}, rb"(TRIGGER:-PT30M\r\n)", rb"\1\1"),
    ({"21"}, rb"(TRIGGER:-PT30M\r\n)", rb"\1REPEAT:2\r\n"),
    ({"21"}, rb"(TRIGGER:-PT30M\r\n)", rb"\1DURATION:PT5M\r\n"),
    ({"21"}, rb"(TRIGGER:-PT30M\r\n)", rb"\1DURATION:PT5M\r\nREPEAT:2\r\nREPEAT:2\r\n"),
    ({"21"}, rb"(?s)DESCRIPTION:(?:(?!DESCRIPTION).)*?(TRIGGER)", rb"\1"),
    ({"21"}, FIRST_ALARM + rb"(END:VEVENT\r\n)", rb"\2\1"),
    ({"24"}, REFRESH, b"REFRESH-INTERVAL:PT1H"),
    ({"24"}, REFRESH, b"REFRESH-INTERVAL;VALUE=DURATION:PT0S"),
    ({"24"}, REFRESH, b"REFRESH-INTERVAL;VALUE=DURATION:-PT1H"),
    ({"24"}, rb"(" + REFRESH + rb"\r\n)", rb"\1\1"),
    ({"24"}, rb"\r\nCOLOR:.*", b"\r\nCOLOR:#FF8C00\r"),
    ({"24"}, rb"(CALSCALE)", rb"SOURCE:https://example.org/hens.ics\r\n\1"),
    ({"25"}, rb"(\r\nSUMMARY:)", rb"\1eggs, "),
    ({"25"}, rb"(\r\nSUMMARY:)", rb"\1eggs; "),
    ({"25"}, rb"(\r\nSUMMARY:)", rb"\1C:\\eggs "),
    ({"25"}, rb"(\r\nX-WR-CALNAME:)", rb"\1a,b"),
    ({"25"}, rb"\\n", b"\r\n"),
    ({"25"}, rb"(\r\nSUMMARY)", rb'\1;X-SAID="a"b'),
    ({"25"}, rb"(\r\nSUMMARY)", rb'\1;X-SAID=a"b'),
    ({"25"}, rb"(\r\nSUMMARY)", rb"\1;X-SAID"),
    ({"25"}, rb"(?<=\r\n)SEQUENCE:\d+\r\n", b""),
    ({"25"}, rb"((?<=\r\n)SEQUENCE:\d+\r\n)", rb"\1\1"),
    ({"25"}, rb"(?<=\r\n)SEQUENCE:\d+", b"SEQUENCE:-1"),
    ({"25"}, rb"(?<=\r\n)SEQUENCE:\d+", b"SEQUENCE:2147483648"),
    ({"25"}, rb"(?<=\r\n)LAST-MODIFIED:.*", b"LAST-MODIFIED:20260318T093012\r"),
    ({"25"}, rb"((?<=\r\n)LAST-MODIFIED:.*\n)", rb"\1\1"),
    ({"25"}, STATUS, b"STATUS:COMPLETED"),
    ({"25"}, STATUS, b"STATUS:CONFIRMED\r\nSTATUS:CONFIRMED"),
    ({"25"}, STATUS, b"STATUS:CONFIRMED\r\nPRIORITY:12"),
    ({"25"}, STATUS, b"STATUS:CONFIRMED\r\nCLASS:SECRET"),
    ({"25"}, STATUS, b"STATUS:CONFIRMED\r\nTRANSP:FREE"),
    ({"plain"}, rb"(BEGIN:VEVENT)", rb"BEGIN:VTIMEZONE\r\nEND:VTIMEZONE\r\n\1"),
    ({"plain"}, STATUS, b"STATUS:CONFIRMED\r\nRRULE:FREQ=DAILY;COUNT=3"),
    ({"plain"}, STATUS, b"STATUS:CONFIRMED\r\nEXDATE:20260318T180000Z"),
    ({"plain"}, STATUS, b"STATUS:CONFIRMED\r\nRDATE:20260318T180000Z"),
    ({"plain"}, STATUS, b"STATUS:CONFIRMED\r\nRECURRENCE-ID:20260318T180000Z"),
    ({"plain"}, STATUS, b"STATUS:CONFIRMED\r\nX-SEEN;TZID=Europe/London:20260318T180000"),
    ({"plain"}, rb"TRIGGER:-PT30M", b"TRIGGER:20260318T180000Z"),
    ({"plain"}, rb"TRIGGER:-PT30M", b"TRIGGER;VALUE=DATE-TIME:20260318T180000Z"),
    ({"plain"}, rb"TRIGGER:-PT30M", b"TRIGGER;VALUE=DATE-TIME:-PT30M"),
)


@pytest.mark.parametrize(("checks", "pattern", "replacement"), SAMPLES)
def test_each_fault_is_named_by_its_check_and_no_other(
    good: bytes, checks: set[str], pattern: bytes, replacement: bytes
) -> None:
    broken, edits = re.subn(pattern, replacement, good, count=1)
    assert edits == 1
    assert broken != good
    assert failed_checks(broken) == checks


def test_each_check_has_a_broken_sample() -> None:
    sampled = set().union(*(checks for checks, _, _ in SAMPLES))
    assert sampled == {number for number, *_ in CHECKS}


def test_the_sentence_shows_the_offending_line_shortened(good: bytes) -> None:
    [fault] = faults(good.replace(b"\r\nSUMMARY:", b"\r\nSUMMARY:eggs, " + b"x" * 60 + b"\r\n ", 1))
    assert "SUMMARY:eggs, xxx" in fault.sentence
    assert len(fault.sentence) < 200


def test_every_legal_duration_passes(good: bytes) -> None:
    # RFC 5545 3.3.6: its two examples, then one of each branch of the grammar.
    for legal in (b"P15DT5H0M20S", b"P7W", b"PT1H", b"PT1H30M", b"PT5M9S", b"+P1D", b"-PT0S"):
        assert faults(good.replace(b"TRIGGER:-PT30M", b"TRIGGER:" + legal, 1)) == []


def test_the_colours_are_those_of_css3() -> None:
    # CSS Color Module Level 3, 4.3, as listed in pydantic.color.
    assert {colour.decode() for colour in COLOURS} == set(COLORS_BY_NAME)


@settings(deadline=None)
@given(st.binary(max_size=200))
def test_any_bytes_are_judged_without_an_exception(junk: bytes) -> None:
    assert faults(junk)


@settings(deadline=None)
@given(st.lists(st.sampled_from(FRAGMENTS)))
def test_lines_in_any_order_are_judged_without_an_exception(lines: list[bytes]) -> None:
    # Without a DTSTAMP no order of the fragments makes a feed.
    assert faults(b"\r\n".join([*lines, b""]))


def test_a_feed_cut_off_anywhere_has_a_fault(good: bytes) -> None:
    ends = (*range(0, 1000, 7), *range(len(good) - 20, len(good)))
    assert [end for end in ends if not faults(good[:end])] == []


def fresh_render() -> ModuleType:
    """A second copy of the writer, which has kept nothing of what it wrote before."""
    spec = find_spec("scheduler.feeds.render")
    assert spec
    assert spec.loader
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


def test_a_feed_of_the_same_facts_has_the_same_bytes_at_any_time(
    small: Profile, catalogue: Catalogue
) -> None:
    heading = Heading(feed="all", site_name=small.site.name)
    known: dict[str, Revision] = {}
    windows = dict.fromkeys(PARTS, Window(FIRST, LAST))
    written = []
    for now in (NOW, NOW + timedelta(days=3, seconds=7)):
        news = revised(planned(small, catalogue), known, windows, now=now, today=now.date())
        known |= {revision.event.uid: revision for revision in news}
        written.append(fresh_render().feed_bytes(heading, known.values()))
    first, second = written
    assert len(UID.findall(first)) == len(known)
    assert UID.findall(second) == UID.findall(first)
    assert set(DTSTAMP.findall(first)) == {b"20260318T093012Z"}
    assert DTSTAMP.findall(second) == DTSTAMP.findall(first)
    assert second == first
