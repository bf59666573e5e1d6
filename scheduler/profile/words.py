"""The words a keeper's region uses for the same thing, and how it writes a time of day."""

from collections.abc import Mapping
from datetime import date, datetime, time, tzinfo
from functools import cache
from types import MappingProxyType

from scheduler.profile.units import Region

_COMMON = {
    "bedding": "bedding",
    "drinkers": "drinkers",
    "perch": "perch",
    "torch": "torch",
    "moult": "moult",
    "rooster": "rooster",
    "roosters": "roosters",
    "withdrawal": "withdrawal period",
}
_REGIONAL: dict[Region, dict[str, str]] = {
    "US": {
        "bedding": "litter",
        "drinkers": "waterers",
        "perch": "roost",
        "torch": "flashlight",
        "moult": "molt",
    },
    "UK": {"rooster": "cockerel", "roosters": "cockerels"},
    "AU": {"bedding": "litter", "withdrawal": "withholding period"},
}


@cache
def words(region: Region) -> Mapping[str, str]:
    """Trade word to the region's word; every word also with a capital, for sentence starts."""
    chosen = {**_COMMON, **_REGIONAL.get(region, {})}
    capitals = {key.capitalize(): word.capitalize() for key, word in chosen.items()}
    return MappingProxyType(chosen | capitals)


def clock(at: time, region: Region) -> str:
    """16:18, or 4:18 pm in the US."""
    if region != "US":
        return f"{at:%H:%M}"
    return f"{(at.hour - 1) % 12 + 1}:{at:%M} {'pm' if at.hour >= 12 else 'am'}"  # noqa: PLR2004


def local_clock(instant: datetime, zone: tzinfo, region: Region, of: date | None = None) -> str:
    """The time of day that the clock at the site shows, in whole minutes begun.

    With the weekday when that is not the date it belongs to: a dusk at 00:40 is the next day's.
    """
    local = instant.astimezone(zone)
    said = clock(local.time(), region)
    return said if of is None or local.date() == of else f"{said} ({local:%a})"


def capitalized(text: str) -> str:
    """The text as it begins a sentence: nothing but its first letter is changed."""
    return text[:1].upper() + text[1:]


def day_words(day: date) -> str:
    """The date as it is said: "Sat 26 Dec"."""
    return f"{day:%a} {day.day} {day:%b}"


def noun_for(count: int, noun: str) -> str:
    """The noun, given for one or for many, as it is spelled for so many: "hen" or "hens"."""
    one = noun.removesuffix("s")
    return one if count == 1 else f"{one}s"


def counted(count: int, noun: str) -> str:
    """Says it as "1 hen" or "12 hens", whichever of them the noun is given as."""
    return f"{count} {noun_for(count, noun)}"


def instant(at: datetime) -> str:
    """The aware UTC instant as programs read it: `2026-12-21T16:18:37Z`."""
    return f"{at:%Y-%m-%dT%H:%M:%SZ}"
