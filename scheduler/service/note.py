"""A note about the profile: with its keys for whoever writes it, without them on a page."""

from typing import NamedTuple


class Keys(NamedTuple):
    """Where in the profile the answer stands, by its keys."""

    text: str


class Note(NamedTuple):
    """A note with the keys in brackets, and as a page says it, without them."""

    text: str
    on_page: str


def note(*parts: str | Keys) -> Note:
    """The note of these parts in their order; what a keeper named is never looked at."""
    return Note(
        "".join(f" ({part.text})" if isinstance(part, Keys) else part for part in parts),
        "".join(part for part in parts if isinstance(part, str)),
    )
