"""The link under a message: it opens the page on which that person says how the evening went."""

from dataclasses import dataclass
from datetime import date
from typing import ClassVar

from scheduler.tokens.derived import Purpose, same, token


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLink:
    """One person's way to the evening of a date, for a calendar; it names no house.

    Houses may share an evening's message today and not tomorrow; the calendar is read for weeks.
    """

    site_id: str
    day: date
    person_id: str
    generation: int = 0
    _purpose: ClassVar[Purpose] = "evening"

    @property
    def _evening(self) -> tuple[str, ...]:
        return (str(self.day),)

    def token(self, key: bytes) -> str:
        """What proves that the link is ours."""
        return token(
            key,
            self._purpose,
            site_id=self.site_id,
            person_id=self.person_id,
            subject="|".join(self._evening),
            generation=self.generation,
        )

    def path(self, key: bytes) -> str:
        """The path of the page, which holds everything that the link stands for."""
        return "/".join(("/evening", *self._evening, self.person_id, self.token(key)))

    def is_signed(self, given: str, key: bytes) -> bool:
        """Whether `given` is the token of just this link."""
        return same(given, self.token(key))


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningLink(DayLink):
    """One person's way to one evening of the houses that share it; good without signing in.

    `generation` is the person's: a link of an earlier one is dead.
    """

    subject_id: str
    _purpose: ClassVar[Purpose] = "confirm"

    @property
    def _evening(self) -> tuple[str, ...]:
        return str(self.day), self.subject_id
