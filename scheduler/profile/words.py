"""The words a keeper's region uses for the same thing, and how it writes a time of day."""

from collections.abc import Mapping
from datetime import date, datetime, time, tzinfo
from types import MappingProxyType

from scheduler.profile.units import Region
from scheduler.wording.profile.region_words import (
    AmericanTradeWords,
    AustralianTradeWords,
    BritishTradeWords,
    Counted,
    TimesOfDay,
    TradeWords,
)
from scheduler.wording.spoken import short_weekday
from scheduler.wording.words import Words, every, kept

_NOON_H = 12
_COMMON, _COUNTED = every(TradeWords), every(Counted)
_REGIONAL: Mapping[Region, Mapping[str, Words]] = {
    "US": every(AmericanTradeWords),
    "UK": every(BritishTradeWords),
    "AU": every(AustralianTradeWords),
}


@kept(most=5)
def words(region: Region) -> Mapping[str, str]:
    """Trade word to the region's word; every word also with a capital, for sentence starts."""
    chosen = {key: word() for key, word in {**_COMMON, **_REGIONAL.get(region, {})}.items()}
    capitals = {key.capitalize(): capitalized(word) for key, word in chosen.items()}
    return MappingProxyType(chosen | capitals)


def clock(at: time, region: Region) -> str:
    """16:18, or 4:18 pm in the US."""
    minute = f"{at.minute:02}"
    if region != "US":
        return TimesOfDay.of_24_hours(hour=f"{at.hour:02}", minute=minute)
    half = TimesOfDay.after_noon if at.hour >= _NOON_H else TimesOfDay.before_noon
    return half(hour=(at.hour - 1) % _NOON_H + 1, minute=minute)


def local_clock(instant: datetime, zone: tzinfo, region: Region, of: date | None = None) -> str:
    """The time of day that the clock at the site shows, in whole minutes begun.

    With the weekday when that is not the date it belongs to: a dusk at 00:40 is the next day's.
    """
    local = instant.astimezone(zone)
    said = clock(local.time(), region)
    if of is None or local.date() == of:
        return said
    return TimesOfDay.with_weekday(time=said, weekday=short_weekday(local))


def capitalized(text: str) -> str:
    """The text as it begins a sentence: nothing but its first letter is changed."""
    return text[:1].upper() + text[1:]


def noun_for(count: int, noun: str) -> str:
    """The noun, given for one or for many, as a snapshot keeps it for so many: hen or hens."""
    one = noun.removesuffix("s")
    return one if count == 1 else f"{one}s"


def counted(count: int, noun: str) -> str:
    """Says it as "1 hen" or "12 hens", whichever of them the noun is given as."""
    return _COUNTED[noun.removesuffix("s")](count=count)


def instant(at: datetime) -> str:
    """The aware UTC instant as programs read it: `2026-12-21T16:18:37Z`."""
    return f"{at:%Y-%m-%dT%H:%M:%SZ}"
