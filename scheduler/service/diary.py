"""The one way to keep what people say: may they, what was said since, and what follows from it."""

import sys
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Generic, TypeVar

from sqlalchemy import Connection

from scheduler.cares.diary.entry import BY_CLOCK, Entry, Said, TakenBack
from scheduler.journal import entries
from scheduler.journal.store import Journal
from scheduler.profile.values import Profile
from scheduler.profile.who_may import TERMINAL, Matter, MayNot, Voice, may

Result = TypeVar("Result")


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """It was not kept, and nothing was changed: what was found, what is accepted, a hint.

    `question` asks in plain words about what cannot be; `key` is the part of it that is meant.
    `is_typed`: what was found is what somebody gave there, not a description of it.
    """

    key: str = ""
    found: str
    accepted: str
    hint: str = ""
    question: str = ""
    is_typed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Speaker:
    """Who says something, and by which right; when, and which date it is at the site."""

    who: str
    now: datetime
    today: date
    voice: Voice = TERMINAL
    person_id: str | None = None

    @classmethod
    def called(
        cls, who: str, profile: Profile, now: datetime, today: date, voice: Voice = TERMINAL
    ) -> "Speaker":
        """Whoever has that name, with their id where exactly one person has it."""
        person_id = id_of_speaker(profile.person_names, who)
        return cls(who=who, now=now, today=today, voice=voice, person_id=person_id)

    def entry(
        self, what: Said, about: str, day: date, happened_at: datetime | None = None
    ) -> Entry:
        """That, said now of what happened now or then."""
        return Entry(
            what=what,
            about=about,
            day=day,
            who=self.who,
            person_id=self.person_id,
            said_at=self.now,
            happened_at=happened_at or self.now,
        )

    def taking_back(self, number: int) -> Entry:
        """That the entry of that number does not count; after all that is in the diary."""
        back = self.entry(TakenBack(entry=number), "", date.min)
        return replace(back, number=sys.maxsize)


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged(Generic[Result]):
    """What comes of what was said: the answer, the entries to keep, the numbers to take back.

    `then` is what follows from it, in the same transaction.
    """

    answer: Result
    said: Collection[Entry] = ()
    back: Collection[int] = ()
    then: Callable[[Connection], None] | None = None


def say(  # noqa: PLR0913, PLR0917 - who, of what, of which day, and what is made of it
    journal: Journal,
    site_id: str,
    by: Speaker,
    matter: Matter,
    day: date | None,
    judge: Callable[[Connection], Judged[Result]],
) -> Result | Refused:
    """Keeps what `judge` makes of it, and what follows, in one transaction: its answer.

    What that voice may not say of that day is refused, and nothing is read.
    """
    if why := may(by.voice, matter, day):
        return beyond(why)
    with journal.writing() as writing:
        judged = judge(writing.connection)
        keep(writing.connection, site_id, by, judged)
        if judged.then:
            judged.then(writing.connection)
    return judged.answer


def keep(connection: Connection, site_id: str, by: Speaker, judged: Judged[Result]) -> None:
    """Keeps what was judged to be kept, where a transaction is under way."""
    back = [by.taking_back(one) for one in judged.back]
    entries.keep(connection, site_id, judged.said, back)


def take_back_ahead(
    connection: Connection, site_id: str, ahead: Collection[int], now: datetime
) -> int:
    """Takes these back in the name of the clock that ran ahead; how many they are."""
    by = Speaker(who=BY_CLOCK, now=now, today=now.date())
    keep(connection, site_id, by, Judged(answer=None, back=ahead))
    return len(ahead)


def beyond(why: MayNot) -> Refused:
    """That it may not be said, as a refusal."""
    return Refused(found=why.voice.kind, accepted="", question=why.sentence)


def id_of_speaker(names: Mapping[str, str], who: str) -> str | None:
    """The id of whose name that is, where exactly one person has it."""
    found = [person_id for person_id, name in names.items() if name == who]
    return found[0] if len(found) == 1 else None
