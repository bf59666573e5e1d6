"""What a feed must be like: RFC 5545, RFC 7986 and what calendar programs trip over.

Stricter than the RFCs where the writer has no use for the freedom: names in capitals, DTEND and
SEQUENCE in each event, DISPLAY alarms only. Section numbers are RFC 5545's.
"""

import re
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass, field
from datetime import datetime

_LONGEST_LINE = 75
_LARGEST_SEQUENCE = 2**31 - 1
_DATE_LENGTH, _UTC_LENGTH = len("YYYYMMDD"), len("YYYYMMDDThhmmssZ")

_VALUE = rb'(?:"[^"\n]*"|[^";:,\n]*)'
_PARAMETER = rb";[A-Z0-9-]+=%b(?:,%b)*" % (_VALUE, _VALUE)
# A line that is not well-formed has no name, and is all value.
_LINE = re.compile(rb"(?:([A-Z0-9-]+)((?:%b)*):)?([^\n]*)\n" % _PARAMETER)
_MOMENT = re.compile(rb"\d{8}(?:T\d{6}Z?)?")
_PARAMETERS = re.compile(rb';([A-Z0-9-]+)=((?:"[^"]*"|[^";])*)')
_TIME = rb"T(?:\d+H(?:\d+M(?:\d+S)?)?|\d+M(?:\d+S)?|\d+S)"
_LENGTH = re.compile(rb"[+-]?P(?:\d+W|\d+D(?:%b)?|%b)" % (_TIME, _TIME))
_DIGITS = re.compile(rb"\d{1,10}")
_POSITIVE = re.compile(rb"\+?P.*[1-9].*")
_ESCAPED = re.compile(rb"[^\\;,]*(?:\\[\\;,nN][^\\;,]*)*")

_SPANS = (b"DTSTART", b"DTEND")
_LENGTHS = (b"DURATION", b"REFRESH-INTERVAL", b"TRIGGER", b"X-PUBLISHED-TTL")
_TEXTS = b"""COMMENT CONTACT DESCRIPTION LOCATION NAME PRODID SUMMARY UID X-WR-CALDESC
X-WR-CALNAME""".split()
_SINGLE = b"CLASS CREATED LAST-MODIFIED PRIORITY STATUS TRANSP".split()
_NOT_PLAIN = b"EXDATE METHOD RDATE RECURRENCE-ID RRULE".split()
# RFC 7986 5.8, 5.10, 5.11 and RFC 9073 6.5, 6.6.
_WITH_VALUE = b"CONFERENCE IMAGE SOURCE STRUCTURED-DATA STYLED-DESCRIPTION".split()
# CSS Color Module Level 3, 4.3, which RFC 7986 5.9 asks for.
COLOURS = frozenset(
    b"""
aliceblue antiquewhite aqua aquamarine azure beige bisque black blanchedalmond blue blueviolet
brown burlywood cadetblue chartreuse chocolate coral cornflowerblue cornsilk crimson cyan darkblue
darkcyan darkgoldenrod darkgray darkgreen darkgrey darkkhaki darkmagenta darkolivegreen darkorange
darkorchid darkred darksalmon darkseagreen darkslateblue darkslategray darkslategrey darkturquoise
darkviolet deeppink deepskyblue dimgray dimgrey dodgerblue firebrick floralwhite forestgreen fuchsia
gainsboro ghostwhite gold goldenrod gray green greenyellow grey honeydew hotpink indianred indigo
ivory khaki lavender lavenderblush lawngreen lemonchiffon lightblue lightcoral lightcyan
lightgoldenrodyellow lightgray lightgreen lightgrey lightpink lightsalmon lightseagreen lightskyblue
lightslategray lightslategrey lightsteelblue lightyellow lime limegreen linen magenta maroon
mediumaquamarine mediumblue mediumorchid mediumpurple mediumseagreen mediumslateblue
mediumspringgreen mediumturquoise mediumvioletred midnightblue mintcream mistyrose moccasin
navajowhite navy oldlace olive olivedrab orange orangered orchid palegoldenrod palegreen
paleturquoise palevioletred papayawhip peachpuff peru pink plum powderblue purple red rosybrown
royalblue saddlebrown salmon sandybrown seagreen seashell sienna silver skyblue slateblue slategray
slategrey snow springgreen steelblue tan teal thistle tomato turquoise violet wheat white whitesmoke
yellow yellowgreen
""".split()
)


@dataclass(frozen=True, slots=True)
class Fault:
    """A check that a feed fails, and a sentence that shows the first line which fails it."""

    check: str
    sentence: str

    def __str__(self) -> str:
        return f"check {self.check}: {self.sentence}"


_Line = tuple[bytes, bytes, bytes]  # name, parameters, value


@dataclass(slots=True)
class _Component:
    name: bytes
    parent: bytes
    lines: dict[bytes, _Line] = field(default_factory=dict)
    repeated: set[bytes] = field(default_factory=set)

    def value(self, name: bytes) -> bytes:
        return self.lines[name][2] if name in self.lines else b""

    @property
    def text(self) -> bytes:
        return b"%b %b" % (self.name, self.value(b"UID"))


@dataclass(slots=True)
class _Feed:
    raw: bytes
    physical: list[bytes]
    lines: dict[bytes, list[_Line]] = field(default_factory=dict)
    components: list[_Component] = field(default_factory=list)
    misplaced: list[bytes] = field(default_factory=list)
    late: list[bytes] = field(default_factory=list)


_Find = Callable[[_Feed], Iterator[bytes]]
_IsRightLine = Callable[[bytes, bytes], object]  # is given parameters and value
_IsRightComponent = Callable[[_Component], object]


def faults(feed: bytes) -> list[Fault]:
    """What is wrong with a feed, at most one fault a check; empty when it may be handed out."""
    read = _read(feed)
    found = []
    for number, promise, *finds in CHECKS:
        line = next((line for find in finds for line in find(read)), None)
        if line is not None:
            shown = line[:_LONGEST_LINE].decode(errors="backslashreplace")
            found.append(Fault(number, f"{promise}; not so at {shown!r}"))
    return found


def _read(raw: bytes) -> _Feed:
    feed = _Feed(raw, raw.split(b"\r\n"))
    ended = raw.replace(b"\r\n", b"\n").removesuffix(b"\n") + b"\n"
    unfolded = ended.replace(b"\n ", b"").replace(b"\n\t", b"")
    inside: list[_Component] = []
    for line in _LINE.findall(unfolded):
        name, _, value = line
        feed.lines.setdefault(name, []).append(line)
        if name == b"BEGIN":
            if len({value == b"VCALENDAR", not feed.components, not inside}) > 1:
                feed.misplaced.append(_text(line))
            inside.append(_Component(value, inside[-1].name if inside else b""))
            feed.components.append(inside[-1])
        elif not inside or (name == b"END" and inside.pop().name != value):
            feed.misplaced.append(_text(line))
        elif name != b"END":
            component = inside[-1]
            if component.lines.setdefault(name, line) is not line:
                component.repeated.add(name)
            if len(inside) == 1 < len(feed.components):
                feed.late.append(_text(line))
    feed.misplaced.extend(component.text for component in inside)
    return feed


def _text(line: _Line) -> bytes:
    name, parameters, value = line
    return name + parameters + b":" + value if name else value


def _bytes(pattern: bytes) -> _Find:
    compiled = re.compile(pattern)
    return lambda feed: (_line_at(feed.raw, at.start()) for at in compiled.finditer(feed.raw))


def _line_at(raw: bytes, at: int) -> bytes:
    return raw[raw.rfind(b"\n", 0, at) + 1 :].split(b"\n", 1)[0].rstrip(b"\r")


def _lines(names: Collection[bytes], is_right: _IsRightLine) -> _Find:
    return lambda feed: (
        _text(line)
        for name in names
        for line in feed.lines.get(name, ())
        if not is_right(line[1], line[2])
    )


def _one_of(name: bytes, words: bytes) -> _Find:
    return _lines([name], lambda _, value: value in words.split())


def _no(*names: bytes) -> _Find:
    return _lines(names, lambda _, __: False)


def _each(name: bytes, is_right: _IsRightComponent) -> _Find:
    return lambda feed: (x.text for x in feed.components if x.name == name and not is_right(x))


def _once(*names: bytes) -> _IsRightComponent:
    return lambda x: x.repeated.isdisjoint(names) and all(name in x.lines for name in names)


def _at_most_once(*names: bytes) -> _IsRightComponent:
    return lambda x: x.repeated.isdisjoint(names)


def _not_utf8(feed: _Feed) -> Iterator[bytes]:
    try:
        feed.raw.decode()
    except UnicodeDecodeError as error:
        yield _line_at(feed.raw, error.start)


def _bare_breaks(feed: _Feed) -> Iterator[bytes]:
    breaks = len(feed.physical) - 1
    if feed.raw.count(b"\r") != breaks or feed.raw.count(b"\n") != breaks:
        yield from (line for line in feed.physical if b"\r" in line or b"\n" in line)


def _same_uid(feed: _Feed) -> Iterator[bytes]:
    seen = set()
    for line in feed.lines.get(b"UID", ()):
        if line in seen:
            yield _text(line)
        seen.add(line)


def _is_moment(value: bytes) -> bool:
    """Whether there is such a day or time, in a form of RFC 5545."""
    try:
        return bool(_MOMENT.fullmatch(value) and datetime.fromisoformat(value.decode()))
    except ValueError:
        return False


def _is_utc(_: bytes, value: bytes) -> bool:
    return len(value) == _UTC_LENGTH and _is_moment(value)


def _is_as_declared(parameters: bytes, value: bytes) -> bool:
    form = b"DATE" if len(value) == _DATE_LENGTH else b"DATE-TIME"
    return _is_moment(value) and (_parameter(b"VALUE", parameters) or b"DATE-TIME") == form


def _parameter(name: bytes, parameters: bytes) -> bytes:
    return dict(_PARAMETERS.findall(parameters)).get(name, b"") if parameters else b""


def _ends_later(event: _Component) -> bool:
    """Two times of the same form compare as text."""
    start, end = event.value(b"DTSTART"), event.value(b"DTEND")
    return not start or (len(start) == len(end) and start < end and _is_moment(end))


CHECKS: tuple[tuple[str, str, *tuple[_Find, ...]], ...] = (
    (
        "1",
        "UTF-8 without byte order mark or replacement character",
        _not_utf8,
        _bytes("\N{REPLACEMENT CHARACTER}".encode()),
        lambda feed: (x for x in feed.physical[:1] if not x.startswith(b"BEGIN:")),
    ),
    (
        "2",
        "CRLF after each line",
        _bare_breaks,
        lambda feed: (x for x in feed.physical[-1:] if x),
    ),
    (
        "3",
        "lines of at most 75 octets",
        lambda feed: (x for x in feed.physical if len(x) > _LONGEST_LINE),
    ),
    (
        "4",
        "no fold inside a character or an escape",
        _bytes(rb"\r\n[ \t][\x80-\xbf]"),  # a continuation byte of UTF-8
        _bytes(rb"\\(?<!\\\\)(?:\\\\)*\r\n[ \t]"),  # an odd run of backslashes
    ),
    ("5", "no control character", _bytes(rb"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f]")),
    (
        "6",
        "one VCALENDAR around everything, BEGIN and END in pairs",
        lambda feed: iter(feed.misplaced if feed.components else feed.physical[:1]),
    ),
    (
        "7",
        "VERSION:2.0 and PRODID once, calendar lines before components",
        _each(b"VCALENDAR", _once(b"VERSION", b"PRODID")),
        _lines([b"VERSION"], lambda _, value: value == b"2.0"),
        lambda feed: iter(feed.late),
    ),
    (
        "8",
        "a component in the calendar",
        lambda feed: (x.text for x in feed.components[:1] if len(feed.components) == 1),
    ),
    (
        "9",
        "DTSTART in each event, no METHOD",
        _each(b"VEVENT", lambda event: b"DTSTART" in event.lines),
        _no(b"METHOD"),
    ),
    (
        "10",
        "a UID of its own in each event",
        _each(b"VEVENT", lambda event: _once(b"UID")(event) and event.value(b"UID")),
        _same_uid,
    ),
    (
        "11",
        "DTSTAMP once in each event, in UTC",
        _each(b"VEVENT", _once(b"DTSTAMP")),
        _lines([b"DTSTAMP"], _is_utc),
    ),
    (
        "12",
        "DTSTART once, a date or time as its VALUE says",
        _each(b"VEVENT", _at_most_once(b"DTSTART")),
        _lines([b"DTSTART"], _is_as_declared),
    ),
    (
        "13",
        "DTEND once, later than DTSTART in the same form, no DURATION",
        _each(b"VEVENT", _once(b"DTEND")),
        _each(b"VEVENT", lambda event: b"DURATION" not in event.lines),
        _each(b"VEVENT", _ends_later),
    ),
    (
        "14",
        "VALUE=DATE alone on both dates of a whole day",
        _lines(_SPANS, lambda given, x: (len(x) == _DATE_LENGTH) == (given == b";VALUE=DATE")),
    ),
    (
        "15",
        "times in UTC and without TZID",
        _lines(_SPANS, lambda _, value: len(value) == _DATE_LENGTH or value.endswith(b"Z")),
        _lines(_SPANS, lambda given, _: not _parameter(b"TZID", given)),
    ),
    (
        "20",
        "durations such as PT15M",
        _lines(_LENGTHS, lambda _, value: _LENGTH.fullmatch(value) or _is_moment(value)),
    ),
    (
        "21",
        "alarms that are whole, inside an event",
        _each(b"VALARM", _once(b"ACTION", b"TRIGGER", b"DESCRIPTION")),
        _each(b"VALARM", _at_most_once(b"REPEAT", b"DURATION")),
        _each(b"VALARM", lambda alarm: alarm.parent == b"VEVENT"),
        _each(b"VALARM", lambda alarm: (b"REPEAT" in alarm.lines) == (b"DURATION" in alarm.lines)),
        _lines([b"ACTION"], lambda _, value: value == b"DISPLAY"),
    ),
    (
        "24",
        "REFRESH-INTERVAL;VALUE=DURATION once and positive, COLOR from CSS3, VALUE where needed",
        _each(b"VCALENDAR", _at_most_once(b"REFRESH-INTERVAL", b"COLOR")),
        _lines([b"REFRESH-INTERVAL"], lambda given, _: given == b";VALUE=DURATION"),
        _lines([b"REFRESH-INTERVAL"], lambda _, value: _POSITIVE.fullmatch(value)),
        _lines([b"COLOR"], lambda _, value: value.lower() in COLOURS),
        _lines(_WITH_VALUE, lambda given, _: _parameter(b"VALUE", given)),
    ),
    (
        "25",
        "well-formed lines, escaped text, values from their lists",
        _no(b""),
        _lines(_TEXTS, lambda _, value: _ESCAPED.fullmatch(value)),
        _one_of(b"CLASS", b"PUBLIC PRIVATE CONFIDENTIAL"),
        _one_of(b"PRIORITY", b"0 1 2 3 4 5 6 7 8 9"),
        _one_of(b"STATUS", b"TENTATIVE CONFIRMED CANCELLED"),
        _one_of(b"TRANSP", b"OPAQUE TRANSPARENT"),
        _lines([b"CREATED", b"LAST-MODIFIED"], _is_utc),
        _each(b"VEVENT", _once(b"SEQUENCE")),
        _lines([b"SEQUENCE"], lambda _, x: _DIGITS.fullmatch(x) and int(x) <= _LARGEST_SEQUENCE),
        _each(b"VEVENT", _at_most_once(*_SINGLE)),
    ),
    (
        "plain",
        "no time zone, recurrence, METHOD or absolute trigger",
        _no(*_NOT_PLAIN),
        _each(b"VTIMEZONE", lambda _: False),
        lambda feed: (
            _text(line)
            for lines in feed.lines.values()
            for line in lines
            if _parameter(b"TZID", line[1])
        ),
        _lines([b"TRIGGER"], lambda _, value: not _is_moment(value)),
        _lines([b"TRIGGER"], lambda given, _: _parameter(b"VALUE", given) != b"DATE-TIME"),
    ),
)
