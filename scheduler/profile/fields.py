"""How single values are read from a profile: each reader says what it accepts when it says no."""

import ipaddress
import re
import unicodedata
from collections.abc import Callable, Mapping
from datetime import UTC, date, time, tzinfo
from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, ValidationInfo
from pydantic_core import PydanticCustomError

from scheduler.profile.coordinates import ACCEPTED, LIMITS, Axis, read_coordinate
from scheduler.profile.problem import Unreadable, meant_day, nearest
from scheduler.profile.units import (
    Dimension,
    Extent,
    Region,
    accepted_text,
    read_extent,
    read_quantity,
)

MOST_BIRDS = 1000  # of one kind in one flock; more is a slip of the finger, or a farm
LONGEST_NAME = 80
LONGEST_TEXT = 400
_FORBIDDEN = frozenset(
    "\ufffd\u061c\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069"
)
_BEGINS = "It begins with https:// (at home perhaps http://)."
_CLOCK = re.compile(r"(\d{1,2})(?::(\d{2}))?(?::00)?\s*([ap]\.?m\.?)?", re.IGNORECASE)
_SLUG = re.compile(r"(?=.{1,40}$)[a-z0-9]+(?:-[a-z0-9]+)*")
_MAIL = re.compile(r"[^\s@<>\"',;]+@[^\s@<>\"',;]+\.[^\s@<>\"',;.]+")
_HOST = re.compile(r"[A-Za-z0-9](?:[A-Za-z0-9.-]{0,250}[A-Za-z0-9])?|\[[0-9A-Fa-f:]+\]")
_PUSH = re.compile(r"https?://[^\s/@:]+(?::\d+)?/[^\s/?#]+")
_TOPIC = re.compile(r"[-_A-Za-z0-9]{1,64}")
# ntfy server/config.go (2.x): what its own pages and interfaces are called.
RESERVED_TOPICS = frozenset(
    ("docs", "static", "file", "app", "metrics", "account", "settings", "signup", "login", "v1")
)
_BASE_URL = re.compile(
    r"https?://(?:[a-z0-9](?:[a-z0-9.-]{0,250}[a-z0-9])?|\[[0-9a-f:]+\])(?::\d{1,5})?"
)
_LISTEN = re.compile(
    r"([A-Za-z0-9](?:[A-Za-z0-9.-]{0,250}[A-Za-z0-9])?|\[[0-9A-Fa-f:]+\]):(\d{1,5})"
)
_PORTS = 65535


def forbidden_character(text: str) -> str | None:
    """The first control, bidi control, surrogate or line separator in `text`, if there is one.

    Joiners stay allowed: emoji and several scripts need them. U+FFFD is what is left of a
    character that some program could not read.
    """
    for character in text:
        category = unicodedata.category(character)
        if category in {"Cc", "Cs", "Zl", "Zp"} or character in _FORBIDDEN:
            return character
    return None


def _refusal(unreadable: Unreadable) -> PydanticCustomError:
    return PydanticCustomError(
        "unreadable", "unreadable", {"accepted": unreadable.accepted, "hint": unreadable.hint}
    )


def _reader(read: Callable[[Any, ValidationInfo], Any]) -> BeforeValidator:
    def reading(value: Any, info: ValidationInfo) -> Any:  # noqa: ANN401 - TOML gives any type
        try:
            return read(value, info)
        except Unreadable as unreadable:
            raise _refusal(unreadable) from None

    return BeforeValidator(reading)


def _region(info: ValidationInfo) -> Region:
    context = info.context if isinstance(info.context, Mapping) else {}
    region: Region = context.get("region", "other")
    return region


def _quantity(
    dimension: Dimension,
    least: float,
    most: float,
    *,
    bare: bool = False,
    whole: float | None = None,
) -> BeforeValidator:
    def read(value: Any, info: ValidationInfo) -> float:  # noqa: ANN401 - as above
        accepted = accepted_text(dimension)
        constructed = not info.context and isinstance(value, float | int)
        if isinstance(value, str):
            amount = read_quantity(value, dimension, _region(info))
        elif (bare or constructed) and _is_number(value):
            amount = value
        else:
            hint = "Write the number with its unit, in quotes." if _is_number(value) else ""
            raise Unreadable(accepted, hint)
        if not least <= amount <= most:
            scale, unit = (1440, "days") if whole else (1, _SI[dimension])
            bounds = f"between {least / scale:g} and {most / scale:g} {unit}"
            raise Unreadable(accepted, f"It should lie {bounds}.")
        if whole and amount % whole:
            raise Unreadable('whole days such as "5 days" or "2 weeks"')
        return float(amount)

    return _reader(read)


_SI: dict[Dimension, str] = {
    "length": "metres",
    "area": "square metres",
    "volume": "litres",
    "mass": "kilograms",
    "temperature": "°C",
    "duration": "minutes",
    "angle": "degrees",
}


def _is_number(value: object) -> bool:
    return isinstance(value, int | float) and not isinstance(value, bool)


def number(least: float, most: float, *, whole: bool = False) -> BeforeValidator:
    """A plain number within bounds; `whole` refuses fractions."""

    def read(value: Any, _: ValidationInfo) -> float:  # noqa: ANN401 - as above
        kind = "a whole number" if whole else "a number"
        ok = _is_number(value) and least <= value <= most
        if not ok or (whole and not isinstance(value, int)):
            hint = "Write it without quotes." if isinstance(value, str) else ""
            raise Unreadable(f"{kind} from {least:g} to {most:g}", hint)
        result: float = value
        return result

    return _reader(read)


def _coordinate(axis: Axis) -> BeforeValidator:
    """Degrees as a number, or as a map writes them, "44.3° N"."""

    def read(value: Any, _: ValidationInfo) -> float:  # noqa: ANN401 - as above
        if isinstance(value, str):
            return read_coordinate(value, axis)
        limit = LIMITS[axis]
        if not _is_number(value) or not -limit <= value <= limit:
            raise Unreadable(ACCEPTED[axis])
        return float(value)

    return _reader(read)


def one_of(alias: object) -> BeforeValidator:
    """One of the words of a Literal, in any case; says which is nearest when it is none."""
    words: tuple[str, ...] = get_args(alias)

    def read(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
        by_fold = {word.casefold(): word for word in words}
        if isinstance(value, str) and (word := by_fold.get(" ".join(value.split()).casefold())):
            return word
        accepted = ", ".join(f'"{word}"' for word in words)
        raise Unreadable(accepted, nearest(value, words) if isinstance(value, str) else "")

    return _reader(read)


def minutes_from(least: float, most: float) -> BeforeValidator:
    """A duration in minutes within bounds."""
    return _quantity("duration", least, most)


def several_minutes(least: float, most: float) -> BeforeValidator:
    """A list of durations in minutes within bounds, as an ascending tuple."""

    def read(value: Any, info: ValidationInfo) -> tuple[float, ...] | None:  # noqa: ANN401 - as above
        if value is None or (isinstance(value, tuple) and not info.context):
            return value
        accepted = 'a list of durations such as ["10 min", "25 min"]'
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise Unreadable(accepted)
        amounts = [read_quantity(item, "duration", _region(info)) for item in value]
        if not all(least <= amount <= most for amount in amounts):
            raise Unreadable(accepted, f"Each lies between {least:g} and {most:g} minutes.")
        return tuple(sorted(amounts))

    return _reader(read)


def steps_from(alias: object) -> BeforeValidator:
    """A list of the words of a Literal that holds "now", in the order of the Literal."""
    words: tuple[str, ...] = get_args(alias)

    def read(value: Any, _: ValidationInfo) -> tuple[str, ...] | None:  # noqa: ANN401 - as above
        if value is None:
            return None
        accepted = 'a list that holds "now", of ' + ", ".join(f'"{word}"' for word in words)
        if not isinstance(value, list | tuple):
            raise Unreadable(accepted)
        for item in value:
            if item not in words:
                raise Unreadable(accepted, nearest(str(item), words))
        if "now" not in value:
            raise Unreadable(accepted, "Without it nobody is told when to shut the door.")
        return tuple(word for word in words if word in value)

    return _reader(read)


def _clean_text(value: Any, longest: int, accepted: str) -> str:  # noqa: ANN401 - as above
    if not isinstance(value, str) or not _shows(value):
        raise Unreadable(accepted)
    if len(value) > longest:
        raise Unreadable(accepted, f"It has {len(value)} characters.")
    if character := forbidden_character(value):
        raise Unreadable(accepted, f"It holds the invisible character U+{ord(character):04X}.")
    return unicodedata.normalize("NFC", value.strip())


def _shows(text: str) -> bool:
    """Whether anything of the text can be seen: neither blanks nor joiners can."""
    return any(unicodedata.category(c) not in {"Zs", "Zl", "Zp", "Cc", "Cf"} for c in text)


def _text(longest: int) -> BeforeValidator:
    accepted = f"one line of text, at most {longest} characters"
    return _reader(lambda value, _: _clean_text(value, longest, accepted))


def _matching(pattern: re.Pattern[str], accepted: str) -> BeforeValidator:
    def read(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
        text = _clean_text(value, LONGEST_TEXT, accepted)
        if not pattern.fullmatch(text):
            raise Unreadable(accepted)
        return text

    return _reader(read)


def read_wall_time(value: object) -> time:
    """A wall-clock time: "22:30", "10:30 pm", or a TOML time.

    Raises:
        Unreadable: anything else, or seconds other than zero.
    """
    accepted = 'a time of day such as "22:30" or "10:30 pm"'
    if isinstance(value, time):
        if value.tzinfo or value.second or value.microsecond:
            raise Unreadable(accepted)
        return value
    found = _CLOCK.fullmatch(value.strip()) if isinstance(value, str) else None
    if not found or not (found[2] or found[3]):
        raise Unreadable(accepted, _with_colon(value))
    hour, minute = int(found[1]), int(found[2] or 0)
    if found[3]:
        if not 1 <= hour <= 12:  # noqa: PLR2004 - a twelve-hour clock
            raise Unreadable(accepted)
        hour = hour % 12 + (12 if found[3].lower().startswith("p") else 0)
    if hour > 23 or minute > 59:  # noqa: PLR2004 - a clock
        raise Unreadable(accepted)
    return time(hour, minute)


def _with_colon(value: object) -> str:
    """The clock that was meant where the minutes stand behind a point, as half of Europe writes."""
    text = f"{value:.2f}" if isinstance(value, float) else str(value).strip()
    meant = re.fullmatch(r"([01]?\d|2[0-3])[.,h]([0-5]\d)", text)
    return f'Did you mean "{meant[1]}:{meant[2]}"?' if meant else ""


def _optional_wall_time(value: Any, _: ValidationInfo) -> time | None:  # noqa: ANN401 - as above
    if value is None or (isinstance(value, str) and value.strip().lower() == "none"):
        return None
    try:
        return read_wall_time(value)
    except Unreadable as unreadable:
        raise Unreadable(f'{unreadable.accepted}, or "none"', unreadable.hint) from None


def _percents(value: Any, _: ValidationInfo) -> Any:  # noqa: ANN401 - as above
    if isinstance(value, list | tuple) or value is None:
        return value
    if not _is_number(value) or not 0 <= value <= 100:  # noqa: PLR2004 - per cent
        raise Unreadable("a number from 0 to 100, or twelve, January first")
    return (value,) * 12


def _date(value: Any, _: ValidationInfo) -> date:  # noqa: ANN401 - as above
    if type(value) is date:
        return value
    if isinstance(value, str) and re.fullmatch(r"\d{4}-\d{2}-\d{2}", value.strip()):
        try:
            return date.fromisoformat(value.strip())
        except ValueError:
            pass
    raise Unreadable("a date such as 2026-04-01", meant_day(str(value)))


def _extent(value: Any, info: ValidationInfo) -> Extent:  # noqa: ANN401 - as above
    if isinstance(value, Extent):
        return value
    if not isinstance(value, str):
        hint = "Write the number with its unit, in quotes." if _is_number(value) else ""
        raise Unreadable(accepted_text("area"), hint)
    extent = read_extent(value, _region(info))
    if not 0.01 <= extent.area_m2 <= 1_000_000:  # noqa: PLR2004 - a nest to a hundred hectares
        raise Unreadable(accepted_text("area"), "It should lie between 100 cm² and 100 hectares.")
    return extent


def _zone(value: Any, info: ValidationInfo) -> tzinfo:  # noqa: ANN401 - as above
    if isinstance(value, tzinfo):
        return value
    if value is None:
        return UTC  # not known because something else is wrong, which is told there
    context: Mapping[str, Any] = info.context or {}
    if not isinstance(value, str):
        raise Unreadable('a time zone such as "Europe/Paris"')
    zone: tzinfo = context["zone"](value)
    return zone


def _switch(value: Any, _: ValidationInfo) -> bool:  # noqa: ANN401 - as above
    if isinstance(value, bool):
        return value
    raise Unreadable("true or false", "Write it without quotes." if isinstance(value, str) else "")


def _push(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    accepted = 'a push topic address such as "https://push.example.org/topic-name"'
    text = _clean_text(value, LONGEST_TEXT, accepted)
    if not _PUSH.fullmatch(text):
        begins = "" if "://" in text or not _PUSH.fullmatch(f"https://{text}") else _BEGINS
        raise Unreadable(accepted, begins)
    topic = text.rpartition("/")[2]
    if topic.lower() in RESERVED_TOPICS:
        hint = f'A push server keeps "{topic}" for pages of its own: choose a long topic by chance.'
        raise Unreadable(accepted, hint)
    if not _TOPIC.fullmatch(topic):
        hint = "A topic has letters without accents, digits, hyphens and underscores, at most 64."
        raise Unreadable(accepted, hint)
    return text


def _base_url(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    accepted = 'the address of the pages without a path, such as "https://hens.example.org"'
    text = _clean_text(value, LONGEST_TEXT, accepted).lower().removesuffix("/")
    if not _BASE_URL.fullmatch(text):
        raise Unreadable(accepted)
    return text


def _listen(value: Any, _: ValidationInfo) -> str:  # noqa: ANN401 - as above
    accepted = 'an address and a port of this machine, such as "127.0.0.1:8640"'
    text = _clean_text(value, LONGEST_TEXT, accepted)
    found = _LISTEN.fullmatch(text)
    if not found or not 0 < int(found[2]) <= _PORTS:
        raise Unreadable(accepted)
    return text


def _networks(value: Any, _: ValidationInfo) -> tuple[str, ...]:  # noqa: ANN401 - as above
    accepted = 'a list of addresses or networks such as ["127.0.0.1", "10.0.0.0/8"]'
    if not isinstance(value, list | tuple) or not all(isinstance(item, str) for item in value):
        raise Unreadable(accepted)
    for item in value:
        try:
            ipaddress.ip_network(item)
        except ValueError as error:
            raise Unreadable(accepted, f'"{item[:LONGEST_NAME]}" is none.') from error
    return tuple(value)


one_or_more_percent = _reader(_percents)
Name = Annotated[str, _text(LONGEST_NAME)]
Text = Annotated[str, _text(LONGEST_TEXT)]
Slug = Annotated[
    str, _matching(_SLUG, 'small letters, digits and hyphens such as "old-barn", at most 40')
]
Mail = Annotated[str, _matching(_MAIL, 'one mail address such as "sam@example.org"')]
Host = Annotated[str, _matching(_HOST, 'the name of a server such as "mail.example.org"')]
Push = Annotated[str, _reader(_push)]
BaseUrl = Annotated[str, _reader(_base_url)]
Listen = Annotated[str, _reader(_listen)]
Networks = Annotated[tuple[str, ...], _reader(_networks)]
Switch = Annotated[bool, _reader(_switch)]
Count = Annotated[int, number(0, MOST_BIRDS, whole=True)]
Percent = Annotated[float, number(0, 100)]
Latitude = Annotated[float, _coordinate("latitude")]
Longitude = Annotated[float, _coordinate("longitude")]
HorizonAngle = Annotated[float, _quantity("angle", 0, 45, bare=True)]
SunAngle = Annotated[float, _quantity("angle", -18, 10, bare=True)]
Elevation = Annotated[float, _quantity("length", -430, 6000)]
Length = Annotated[float, _quantity("length", 0.005, 500)]
Volume = Annotated[float, _quantity("volume", 0.05, 5000)]
Mass = Annotated[float, _quantity("mass", 0.2, 30)]
Temperature = Annotated[float, _quantity("temperature", -70, 60)]
Minutes = Annotated[float, _quantity("duration", -120, 240)]
Days = Annotated[float, _quantity("duration", 1440, 730 * 1440, whole=1440)]
Area = Annotated[Extent, _reader(_extent)]
CivilDate = Annotated[date, _reader(_date)]
WallTime = Annotated[time, _reader(lambda value, _: read_wall_time(value))]
OptionalWallTime = Annotated[time | None, _reader(_optional_wall_time)]
Zone = Annotated[tzinfo, _reader(_zone)]

Kind = Literal["bantam", "light", "medium", "heavy"]
