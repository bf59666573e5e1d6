"""Steps: what each message of an evening, or of a site's day, is known by; written and read here.

The journal keeps a step as text, and the ids on the wire are made from it: no text may change.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import KW_ONLY, dataclass, replace
from datetime import datetime
from functools import lru_cache
from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, PlainSerializer

ReminderKind = Literal[
    "heads-up", "now", "again", "next", "everybody", "hourly", "reopened", "open-again", "renewed",
    "bedtime", "dawn",
]  # fmt: skip
SearchKind = Literal["search-first", "search-second-look", "search-before-let-out"]
_OfEvening = Literal[
    "shut", "settled", "search-renewed", "news", "empty", "hold", "clear", "taken", "not-taken",
    "not-taken-of",
]  # fmt: skip
_OfSite = Literal[
    "midday", "urgent", "over", "urgent-again", "brief", "let-out", "heat-in", "range", "eggs",
    "left", "moved", "duty-back", "emptied", "renamed", "profile", "plan", "lacks", "trouble",
    "clock-ahead", "clock", "said-ahead", "recovered", "not-written", "deaf", "heard-again",
    "missed", "test", "entry-invited", "entry-signed-in", "entry-renewed", "entry-answers",
    "entry-ended", "other",
]  # fmt: skip
StepKind = Literal[ReminderKind, SearchKind, _OfEvening, _OfSite]


def _alike(form: str, *kinds: StepKind) -> dict[StepKind, str]:
    return {kind: form.replace("{kind}", kind) for kind in kinds}


# What is written of each kind; what stands in brackets only where it is given.
FORMS: Mapping[StepKind, str] = {
    **_alike(
        "{kind}[-for-{origin}]",
        *("heads-up", "now", "again", "next", "open-again", "bedtime", "dawn"),
    ),
    **_alike("{kind}[-{number}][-for-{origin}]", "everybody", "hourly", "reopened", "renewed"),
    **_alike("{kind}[-{number}]", *get_args(SearchKind), "hold", "missed"),
    **_alike("{kind}-{number}", "search-renewed", "news", "not-taken-of", "entry-answers"),
    "shut": "shut[-then-{news}]",
    "settled": "settled[-{number}][-then-{news}]",
    "clear": "clear-{of}",
    **_alike("{kind}-{number}[-{day}-{about}]", "taken", "not-taken"),
    "midday": "urgent-midday[-for-{origin}]",
    "urgent": "urgent-{about}-{clock}[-for-{origin}]",
    "duty-back": "back-{clock}",
    "urgent-again": "back-{about}-{clock}",
    **_alike("{kind}-{about}-{clock}", "over", "eggs"),
    **_alike(
        "{kind}",
        *("empty", "brief", "clock-ahead", "recovered", "not-written", "deaf", "heard-again"),
    ),
    **_alike("{kind}-{about}", "let-out", "heat-in", "range", "plan", "test"),
    **_alike("{kind}-{about}", "entry-invited", "entry-signed-in"),
    **_alike("{kind}-{clock}", "left", "moved", "emptied", "renamed", "profile"),
    **_alike("{kind}-{clock}", "said-ahead", "entry-ended"),
    **_alike("{kind}-{channel}-{about}", "lacks", "trouble"),
    "clock": "clock-{day}",
    "entry-renewed": "entry-renewed-{about}-{number}",
    "other": "{about}",
}
_PARTS: Mapping[str, str] = {
    "number": r"\d+",
    "news": r"\d+",
    "about": r".*",
    "channel": r"phone|push|service|mail",
    "day": r"[\d-]+",
    "clock": r"\d+",
    "origin": r".+",
    "of": r".+",
}
LONGEST = 80  # characters that the journal's column has room for
_FIELD = re.compile(r"\{(\w+)\}")
_OPTIONAL = re.compile(r"\[(.*?)\]")
_REMINDERS = frozenset(get_args(ReminderKind))
SEARCH_KINDS: tuple[SearchKind, ...] = get_args(SearchKind)
_SEARCH: frozenset[str] = frozenset((*SEARCH_KINDS, "search-renewed"))
_HAS_ITS_TIME = _REMINDERS | {"midday", "urgent", "brief", "let-out", "range"}


@dataclass(frozen=True, slots=True)
class Step:
    """One step of an evening's reminders, of the search, or of what the site tells.

    `number` counts those of a kind; `news` what has been said since. `about` is a house, a person,
    a report's kind, or whatever else tells it from others; `clock` the time in UTC at which it came
    up ("203015"), `day` a date or the day of a month. `origin` is the person whom it could not
    reach, where it is passed on. `of` is the reminder that is cleared away.
    """

    kind: StepKind
    number: int | None = None
    _: KW_ONLY
    about: str = ""
    clock: str = ""
    day: str = ""
    channel: str = ""
    news: int | None = None
    origin: str = ""
    of: "Step | None" = None

    def __str__(self) -> str:
        """As the journal keeps it."""
        form = _OPTIONAL.sub(
            lambda part: part[1] if self._has_all(part[1]) else "", FORMS[self.kind]
        )
        return _FIELD.sub(lambda found: str(getattr(self, found[1])), form)

    def __hash__(self) -> int:
        """Equal for equal steps; every look asks for it of every row, so of a few parts alone."""
        return hash((self.kind, self.number, self.about, self.origin))

    def _has_all(self, part: str) -> bool:
        return all(getattr(self, name) not in {None, ""} for name in _FIELD.findall(part))

    @property
    def told(self) -> "Step":
        """The step that it tells, whether it was passed on or not."""
        return replace(self, origin="")

    @property
    def text_once_more(self) -> str:
        """What the id of a second copy is made from; no delivery is kept under it."""
        return f"{self}-again"

    @property
    def is_reminder(self) -> bool:
        """Whether it tells of an open door, in the ladder or beside it."""
        return self.kind in _REMINDERS

    @property
    def calls(self) -> bool:
        """Whether it calls somebody to a door once it is time."""
        return self.is_reminder and self.kind != "heads-up"

    @property
    def is_search(self) -> bool:
        """Whether it tells of birds that are looked for."""
        return self.kind in _SEARCH

    @property
    def is_all_clear(self) -> bool:
        """Whether it tells that all is shut, with nobody looked for any more."""
        return self.kind in {"shut", "settled"}

    @property
    def says_shut(self) -> bool:
        """Whether it tells how a door stands that was shut."""
        return self.is_all_clear or self.is_search

    @property
    def tells_of_doors(self) -> bool:
        """Whether it tells how a door stands, open or shut."""
        return self.says_shut or self.is_reminder

    @property
    def is_of_a_door(self) -> bool:
        """Whether it says how a door stands, or calls somebody to it once it is time."""
        return self.says_shut or self.calls

    @property
    def is_urgent(self) -> bool:
        """Whether it tells of an emergency."""
        return self.kind in {"midday", "urgent"}

    @property
    def has_its_time(self) -> bool:
        """Whether it is told at an instant of its own, not as soon as it is known."""
        return self.kind in _HAS_ITS_TIME

    @property
    def fitted(self) -> "Step":
        """The same with so much of `about` as the journal has room for."""
        over = len(str(self)) - LONGEST
        return replace(self, about=self.about[:-over]) if over > 0 else self


def step_at(kind: StepKind, at: datetime, about: str = "") -> Step:
    """The step of what came up at that instant."""
    return Step(kind, about=about, clock=f"{at:%H%M%S}")


def nth(kind: StepKind, number: int) -> Step:
    """A step that may come more than once in an evening; the first has no number."""
    return Step(kind, number if number > 1 else None)


@lru_cache(maxsize=4096)
def decode(text: str) -> Step:
    """The step that was kept so; of a kind `other` what this version does not write."""
    for kind, pattern in _READ.items():
        if found := pattern.fullmatch(text):
            step = Step(kind, **dict(_read(found)))
            if str(step) == text:
                return step
    return Step("other", about=text)


def _read(found: re.Match[str]) -> Iterator[tuple[str, Any]]:
    for name, text in found.groupdict().items():
        if text is not None:
            numeric = name in {"number", "news"}
            yield name, int(text) if numeric else decode(text) if name == "of" else text


def _pattern(form: str) -> re.Pattern[str]:
    optional = _OPTIONAL.sub(r"(?:\1)?", form)
    return re.compile(_FIELD.sub(lambda found: f"(?P<{found[1]}>{_PARTS[found[1]]})", optional))


_READ = {kind: _pattern(form) for kind, form in FORMS.items()}
# In what is kept as JSON a step is the text that the journal keeps.
KeptStep = Annotated[
    Step,
    BeforeValidator(lambda kept: decode(kept) if isinstance(kept, str) else kept),
    PlainSerializer(str),
]
