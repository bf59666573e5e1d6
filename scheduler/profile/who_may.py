"""Who may say or change what: one table, and the one function that every use case asks."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import Literal, get_args

from scheduler.profile.person import Person
from scheduler.wording.profile.may_not import MayNotSay, OnlySomeCan
from scheduler.wording.spoken import day_month_year
from scheduler.wording.words import every

Matter = Literal[
    "door",  # shut, how many are in, open again, back home; and what takes that back
    "search",  # of missing birds: found, not found tonight, asleep elsewhere
    "deaths",  # of missing birds: dead, given up for lost
    "birds",  # those that come, leave or die without being missed first; a house emptied
    "jobs",
    "evenings",  # whose they are
    "reports",  # weather, visitors, illness, medicine
    "diary",  # everything that was said and done, to take along
    "own",  # one's own calendars, and a test of how one is told
    "flocks",  # what the profile says of the birds, and which jobs there are
    "people",  # who is let in, signed out, or has new addresses
    "household",  # everything else
]
VoiceKind = Literal[
    "terminal", "owner", "member", "sitter", "screen", "duty's link", "link", "button"
]
_MEMBERS: tuple[Matter, ...] = ("birds", "reports", "evenings", "diary", "flocks")
MAY: Mapping[VoiceKind, frozenset[Matter]] = MappingProxyType({
    "terminal": frozenset(get_args(Matter)),
    "owner": frozenset(get_args(Matter)),
    "member": frozenset({"door", "search", "deaths", "jobs", "own", *_MEMBERS}),
    "sitter": frozenset({"door", "search", "deaths", "jobs", "own", "evenings"}),
    "screen": frozenset({"door", "search", "jobs"}),
    "duty's link": frozenset({"door", "search", "deaths"}),
    "link": frozenset({"door", "search"}),
    "button": frozenset({"door", "search"}),
})  # fmt: skip
_OF_A_DAY: frozenset[Matter] = frozenset({"door", "search", "deaths", "jobs", "evenings"})
_BY_MESSAGE: tuple[VoiceKind, ...] = ("duty's link", "link", "button")
_ONLY_SOME = every(OnlySomeCan)


@dataclass(frozen=True, slots=True, kw_only=True)
class Voice:
    """Whose word it is; that of a sitter counts from `first` to `last`, both of them included."""

    kind: VoiceKind
    first: date | None = None
    last: date | None = None

    def counts_on(self, day: date) -> bool:
        """Whether something may be said of that day: of any, but by a sitter."""
        return not (self.first and day < self.first) and not (self.last and self.last < day)


TERMINAL = Voice(kind="terminal")
SCREEN = Voice(kind="screen")
LINK, DUTYS_LINK, BUTTON = (Voice(kind=kind) for kind in ("link", "duty's link", "button"))


@dataclass(frozen=True, slots=True, kw_only=True)
class MayNot:
    """Why that may not be said: by nobody of that kind, or, with a `day`, not of that day."""

    voice: Voice
    matter: Matter
    day: date | None = None

    @property
    def sentence(self) -> str:
        """The reason in plain words."""
        if self.day:
            return _only_their_days(self.voice)
        if self.matter == "deaths":
            return MayNotSay.deaths()
        if self.voice.kind in _BY_MESSAGE:
            return MayNotSay.by_message()
        return _ONLY_SOME[self.matter]()


def may(voice: Voice, matter: Matter, day: date | None = None) -> MayNot | None:
    """None where that may be said, else why not.

    `day` is the date that it would count for; without one the question is whether it may be at all.
    """
    if matter not in MAY[voice.kind]:
        return MayNot(voice=voice, matter=matter)
    if day and matter in _OF_A_DAY and not voice.counts_on(day):
        return MayNot(voice=voice, matter=matter, day=day)
    return None


def voice_of(person: Person) -> Voice:
    """That of somebody who is signed in under their own name."""
    return Voice(kind=person.role, first=person.first_day, last=person.last_day)


def _only_their_days(voice: Voice) -> str:
    first, last = (day_month_year(day) if day else "" for day in (voice.first, voice.last))
    if first and last:
        return MayNotSay.from_until(first=first, last=last)
    return MayNotSay.from_then(first=first) if first else MayNotSay.until(last=last)
