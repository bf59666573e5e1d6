"""The link under a message: it opens the page on which that person says how the evening went."""

from dataclasses import dataclass
from datetime import date

from scheduler.tokens.derived import same, token


@dataclass(frozen=True, slots=True, kw_only=True)
class EveningLink:
    """One person's way to one evening; good without signing in.

    `generation` is the person's: a link of an earlier one is dead.
    """

    site_id: str
    day: date
    subject_id: str
    person_id: str
    generation: int = 0

    def token(self, key: bytes) -> str:
        """What proves that the link is ours."""
        subject = f"{self.day}|{self.subject_id}"
        return token(
            key,
            "confirm",
            site_id=self.site_id,
            person_id=self.person_id,
            subject=subject,
            generation=self.generation,
        )

    def path(self, key: bytes) -> str:
        """The path of the page, which holds everything that the link stands for."""
        return f"/evening/{self.day}/{self.subject_id}/{self.person_id}/{self.token(key)}"

    def is_signed(self, given: str, key: bytes) -> bool:
        """Whether `given` is the token of just this link."""
        return same(given, self.token(key))


@dataclass(frozen=True, slots=True, kw_only=True)
class DayLink:
    """One person's way to the evening of a date, for a calendar; it names no house.

    Houses may share an evening's message today and not tomorrow; the calendar is read for weeks.
    """

    site_id: str
    day: date
    person_id: str
    generation: int = 0

    def token(self, key: bytes) -> str:
        """What proves that the link is ours."""
        return token(
            key,
            "evening",
            site_id=self.site_id,
            person_id=self.person_id,
            subject=str(self.day),
            generation=self.generation,
        )

    def path(self, key: bytes) -> str:
        """The path of the page, which holds everything that the link stands for."""
        return f"/evening/{self.day}/{self.person_id}/{self.token(key)}"

    def is_signed(self, given: str, key: bytes) -> bool:
        """Whether `given` is the token of just this link."""
        return same(given, self.token(key))
