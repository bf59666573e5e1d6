"""A note about the profile: with its keys for whoever writes it, without them on a page."""

from typing import NamedTuple

from scheduler.wording.service.flock_notes import InProfile
from scheduler.wording.words import Words


class Keys(NamedTuple):
    """Where in the profile the answer stands, by its keys."""

    text: str


class Note(NamedTuple):
    """A note with the keys in brackets, and as a page says it, without them."""

    text: str
    on_page: str


def note(words: Words, **places: object) -> Note:
    """The note of these words; what a keeper named is never looked at, keys stand in brackets."""
    keys = {name: value for name, value in places.items() if isinstance(value, Keys)}
    beside = {name: InProfile.beside(keys=value.text) for name, value in keys.items()}
    return Note(words(**places | beside), words(**places | dict.fromkeys(keys, "")))
