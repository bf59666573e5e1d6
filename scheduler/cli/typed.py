"""The words behind a command's options: each is read once, and what cannot be is told together."""

import re
import sys
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from datetime import date, time
from typing import NoReturn

from scheduler.cli.faults import CANNOT_USE, by_program, complain
from scheduler.profile.by_name import NOBODY, Thing, called, not_called
from scheduler.profile.person import Person
from scheduler.profile.problem import Unreadable, meant_day
from scheduler.profile.time_fields import read_wall_time
from scheduler.profile.values import Profile
from scheduler.wording.cli.refusals import AcceptedThere, FoundThere, Refusals, Speakers
from scheduler.wording.profile.problem_words import SaidOfProblem
from scheduler.wording.profile.reading_words import Numbers

MOST_BIRDS = 100_000  # more is a slip of the finger
_WHOLE = re.compile(r"-?0{0,99}\d{1,9}")  # Python itself refuses one of thousands of digits
# Where the sun's formulas and the clocks' rules mean something.
_FIRST_YEAR, _LAST_YEAR = 1900, 2199


def refusal(where: str, found: str, accepted: str, *, is_typed: bool) -> str:
    """What was found there, in quotes as it was typed or in words; of a command itself no place."""
    if not where:
        here = Refusals.typed_here if is_typed else SaidOfProblem.told
        return here(found=found, accepted=accepted)
    there = Refusals.typed if is_typed else Refusals.found
    return there(where=where, found=found, accepted=accepted)


@dataclass(slots=True)
class Typed:
    """What was typed for that command; what cannot be read becomes None and is told at the end."""

    command: str
    _wrong: list[str] = field(default_factory=list)

    def refuse(self, option: str, found: str, accepted: str, hint: str = "") -> None:
        """Keeps what is wrong there."""
        self._keep(refusal(option, found, accepted, is_typed=False), hint)

    def refuse_word(self, option: str, word: str, accepted: str, hint: str = "") -> None:
        """Keeps that what was typed there is wrong, and shows it as it was typed."""
        self._keep(refusal(option, word, accepted, is_typed=True), hint)

    def refuse_word_or_nothing(self, option: str, word: str, accepted: str, hint: str = "") -> None:
        """Keeps that what was typed there is wrong, or that nothing was."""
        if word:
            self.refuse_word(option, word, accepted, hint)
        else:
            self.refuse(option, FoundThere.nothing(), accepted, hint)

    def _keep(self, wrong: str, hint: str) -> None:
        self._wrong.append(f"{wrong} {hint}" if hint else wrong)

    @property
    def is_wrong(self) -> bool:
        """Whether anything is."""
        return bool(self._wrong)

    def end_if_wrong(self) -> None:
        """Ends as `give_up` does if anything is wrong."""
        if self._wrong:
            self.give_up()

    def give_up(self) -> NoReturn:
        """Ends with exit status 2 and everything that is wrong."""
        self.complain()
        sys.exit(CANNOT_USE)

    def complain(self) -> None:
        """Says everything that is wrong."""
        complain(*(by_program(one, self.command) for one in self._wrong))

    def day(self, option: str, text: str | None) -> date | None:
        """The date, written 2026-12-21."""
        if text is None:
            return None
        try:
            day = date.fromisoformat(text if len(text) == len("2026-12-21") else "")
        except ValueError:
            self.refuse_word(option, text, AcceptedThere.date(), meant_day(text))
            return None
        if _FIRST_YEAR <= day.year <= _LAST_YEAR:
            return day
        accepted = AcceptedThere.years(first=_FIRST_YEAR, last=_LAST_YEAR)
        self.refuse(option, text, accepted)
        return None

    def whole(self, option: str, text: str | None, least: int, most: int) -> int | None:
        """The whole number between these."""
        plain = "" if text is None else text.strip()
        if _WHOLE.fullmatch(plain) and least <= int(plain) <= most:
            return int(plain)
        if text is not None:
            accepted = Numbers.whole(least=least, most=most)
            self.refuse_word(option, text, accepted)
        return None

    def wall_time(self, option: str, text: str | None) -> time | None:
        """The time of day that a clock shows."""
        try:
            return None if text is None else read_wall_time(text)
        except Unreadable as unreadable:
            self.refuse_word(option, text or "", unreadable.accepted, unreadable.hint)
            return None

    def one_of(
        self, option: str, text: str | None, known: Iterable[Thing], none: str = ""
    ) -> Thing | None:
        """The thing that is called so; `none` is accepted where there are no names."""
        things = list(known)
        found = None if text is None else called(text, things)
        if text is not None and found is None:
            unknown = not_called(text, things, none or AcceptedThere.none())
            self.refuse(option, unknown.found, unknown.accepted, unknown.hint)
        return found

    def speaker(self, profile: Profile, who: str | None) -> str:
        """The name of whoever says it: `--by NAME`, else the profile's only person.

        Of several people nobody knows which of them sits there, and all of them are to hear of it.
        """
        names = [person.name for person in profile.person]
        if who is None and len(names) == 1:
            return names[0]
        person = self.one_of("--by", who, profile.person, NOBODY())
        return person.name if person else Speakers.somebody()


def only_person(command: str, option: str, name: str, profile: Profile) -> Person:
    """The person who is called so; ends with who there are."""
    return only_one_called(command, option, name, profile.person)


def only_one_called(command: str, option: str, name: str, known: Sequence[Thing]) -> Thing:
    """The one that is called so; ends with which there are."""
    found = called(name, known)
    if found is None:
        typed, unknown = Typed(command), not_called(name, known, NOBODY())
        typed.refuse(option, unknown.found, unknown.accepted, unknown.hint)
        typed.give_up()
    return found


def only_day(command: str, text: str | None) -> date | None:
    """The date of a command that takes nothing else; ends as `Typed` does."""
    typed = Typed(command)
    day = typed.day("--date", text)
    typed.end_if_wrong()
    return day
