"""A text of the catalogue as a value: words, places for words, and quantities in their units."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import NamedTuple

from scheduler.profile.problem import Unreadable
from scheduler.profile.quantity import Quantity, read_written, write
from scheduler.profile.units import Units
from scheduler.profile.words import words
from scheduler.wording.cares.profile_jobs import CatalogueText

_OF_THE_DAY = frozenset(
    ("count", "day", "direction", "feed", "flock", "from_house", "not_chicks")
)  # fmt: skip
_BRACES = re.compile(r"\{([^{}]*)\}")


class Place(NamedTuple):
    """Where a word of the region, or of the day, stands."""

    name: str


@dataclass(frozen=True, slots=True)
class CareText:
    """What a job says: read from the catalogue with `read_text`, or a keeper's own, as it is."""

    parts: tuple[str | Place | Quantity, ...] = ()
    written: str = ""

    def __str__(self) -> str:
        return self.written

    def __bool__(self) -> bool:
        return bool(self.parts)

    def said(self, spoken: Mapping[str, str], units: Units) -> str:
        """It with those words in their places, and each quantity in the keeper's units."""
        return "".join(
            [
                part
                if isinstance(part, str)
                else spoken.get(part.name, f"{{{part.name}}}")
                if isinstance(part, Place)
                else write(part, units)
                for part in self.parts
            ]
        )


NO_TEXT = CareText()


def own_text(text: str) -> CareText:
    """A keeper's own words: digits, units and braces in them mean nothing."""
    return CareText((text,) if text else (), text)


def read_text(text: str) -> CareText:
    """A text as the catalogue has it.

    Raises:
        Unreadable: what stands in braces is neither a word that is known nor a quantity.
    """
    parts: list[str | Place | Quantity] = []
    for number, piece in enumerate(_BRACES.split(text)):
        if number % 2:
            parts.append(_in_braces(piece))
        elif "{" in piece or "}" in piece:
            raise Unreadable(CatalogueText.braces())
        elif piece:
            parts.append(piece)
    return CareText(tuple(parts), text)


def _in_braces(inside: str) -> Place | Quantity:
    if inside in _OF_THE_DAY or inside in words("other"):
        return Place(inside)
    try:
        return read_written(inside)
    except Unreadable as unreadable:
        accepted = CatalogueText.known_word(inside=inside, quantity=unreadable.accepted)
        raise Unreadable(accepted) from None
