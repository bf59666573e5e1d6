"""A text with quantities in it that are not written yet."""

from collections.abc import Iterable
from dataclasses import dataclass

from scheduler.profile.quantity import Quantity, write, write_plain
from scheduler.profile.units import Units
from scheduler.wording.words import Words


@dataclass(frozen=True, slots=True)
class Phrase:
    """Words and quantities, in the order in which they are said."""

    parts: tuple[str | Quantity, ...]

    def __str__(self) -> str:
        return plain(self)


Text = str | Phrase
_PARTS = str | Phrase | Quantity


def phrase(*parts: Text | Quantity) -> Phrase:
    """All of them as one; a word is never looked at, whatever it holds."""
    flat: list[str | Quantity] = []
    for part in parts:
        flat += part.parts if isinstance(part, Phrase) else (part,)
    return Phrase(tuple(flat))


def filled(words: Words, **places: Text | Quantity | int) -> Phrase:
    """The words with these in their places, quantities not written yet; a number is written."""
    pieces = words.pieces(places)
    return phrase(*(piece if isinstance(piece, _PARTS) else str(piece) for piece in pieces))


def joined(separator: str, texts: Iterable[Text]) -> Text:
    """Those of them that say anything, with the separator between them; "" where none does."""
    said: list[Text] = []
    for text in texts:
        if text:
            said += (separator, text)
    return phrase(*said[1:]) if said else ""


def say(text: Text, units: Units) -> str:
    """The text as a keeper of those units reads it."""
    if isinstance(text, str):
        return text
    return "".join(part if isinstance(part, str) else write(part, units) for part in text.parts)


def plain(text: Text) -> str:
    """The text for programs: each quantity in its own unit, exact, with plain spaces."""
    if isinstance(text, str):
        return text
    return "".join(part if isinstance(part, str) else write_plain(part) for part in text.parts)
