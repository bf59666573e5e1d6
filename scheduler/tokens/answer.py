"""The answer that a button under a message sends back: signed, for one person and one evening."""

import re
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from scheduler.tokens.derived import same, token

Verb = Literal["all-in", "some-missing", "not-counted"]
_VERBS: dict[str, Verb] = {verb: verb for verb in get_args(Verb)}
_FORM = re.compile(
    r"duskfold ([a-z-]+)(?:=(\d{1,5}(?:\.\d{1,5}){0,99}))? ([a-z0-9-]{1,40}) "
    r"(\d{4}-\d{2}-\d{2}) ([a-z0-9-]{1,40}) "
    r"(\d{1,4})(?:\.([1-9]\d{0,3}))? ([a-z0-9-]{1,40}) ([A-Za-z0-9_-]{43})"
)


@dataclass(frozen=True, slots=True, kw_only=True)
class SignedAnswer:
    """What one person says of one evening; `opening` is the one whose reminder it answers.

    `generation` is the person's when the button was made: those of an earlier one are dead.
    `birds` is how many the button says are in, for each of the evening's doors in their order;
    None on buttons of a version that did not say it, and where the button says no number.
    """

    verb: Verb
    site_id: str
    day: date
    subject_id: str
    opening: int
    person_id: str
    generation: int = 0
    birds: tuple[int, ...] | None = None

    @property
    def _said(self) -> str:
        numbers = "" if self.birds is None else "=" + ".".join(map(str, self.birds))
        return f"{self.verb}{numbers}"

    def token(self, key: bytes) -> str:
        """What proves that the answer comes from a button of ours."""
        subject = f"{self._said}|{self.day}|{self.subject_id}"
        if self.generation:
            subject += f"|{self.generation}"
        return token(
            key,
            "answer",
            site_id=self.site_id,
            person_id=self.person_id,
            subject=subject,
            generation=self.opening,
        )

    def text(self, key: bytes) -> str:
        """The answer as a button sends it, in one line."""
        day, opening = self.day.isoformat(), str(self.opening)
        if self.generation:
            opening += f".{self.generation}"
        parts = (self._said, self.site_id, day, self.subject_id, opening, self.person_id)
        return " ".join(("duskfold", *parts, self.token(key)))


def read_answer(text: str, key: bytes) -> SignedAnswer | None:
    """The answer, or None when it is none or nobody of ours has signed it."""
    found = _FORM.fullmatch(text.strip())
    if not found or found[1] not in _VERBS:
        return None
    try:
        day = date.fromisoformat(found[4])
    except ValueError:
        return None
    answer = SignedAnswer(
        verb=_VERBS[found[1]],
        site_id=found[3],
        day=day,
        subject_id=found[5],
        opening=int(found[6]),
        person_id=found[8],
        generation=int(found[7] or 0),
        birds=tuple(map(int, found[2].split("."))) if found[2] else None,
    )
    return answer if same(text.strip(), answer.text(key)) else None


def return_topic(key: bytes, site_id: str, generation: int = 0) -> str:
    """The secret topic of the site, on every push server: nobody can guess it without the key.

    With the next generation it is another one, and the buttons sent before lead nowhere.
    """
    return "duskfold-" + token(key, "return topic", site_id=site_id, generation=generation)
