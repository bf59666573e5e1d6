"""Texts of the profile that were accepted, found again by their mark or number."""

from scheduler.journal import memos
from scheduler.journal.store import Journal
from scheduler.service.household.keep_profile import mark_of


def marked_text(journal: Journal, mark: str) -> str:
    """The accepted text of that mark; empty where it is not kept any more.

    Raises:
        JournalFault: the journal cannot be read.
    """
    with journal.reading() as connection:
        texts = [text for _, text, _ in memos.accepted(connection)]
    return next((text for text in texts if text and mark_of(text) == mark), "")


def numbered_text(journal: Journal, number: int) -> str:
    """The accepted text of that version; empty where it is not kept any more.

    Raises:
        JournalFault: the journal cannot be read.
    """
    with journal.reading() as connection:
        texts = {one: text for one, text, _ in memos.accepted(connection)}
    return texts.get(number, "")
