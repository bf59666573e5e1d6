"""Texts of the profile that were accepted, found again by their mark or number."""

from hashlib import sha256

from scheduler.journal import memos
from scheduler.journal.store import Journal

_MARK_LENGTH = 16


def mark_of(text: str) -> str:
    """What a form names the text by that it was made from."""
    return sha256(text.encode()).hexdigest()[:_MARK_LENGTH]


def marked_text(journal: Journal, mark: str) -> str:
    """The accepted text of that mark; empty where it is not kept any more.

    Raises:
        JournalFault: the journal cannot be read.
    """
    texts = _texts(journal).values()
    return next((text for text in texts if text and mark_of(text) == mark), "")


def numbered_text(journal: Journal, number: int) -> str:
    """The accepted text of that version; empty where it is not kept any more.

    Raises:
        JournalFault: the journal cannot be read.
    """
    return _texts(journal).get(number, "")


def _texts(journal: Journal) -> dict[int, str]:
    with journal.reading() as connection:
        return {number: text for number, text, _ in memos.accepted(connection)}
