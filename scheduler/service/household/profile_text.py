"""The profile's file in the data folder, and the write that a kill cannot halve.

The new text lies beside the file before the journal has it, in the transaction that gives it to
the journal, and takes the file's place after: whatever is killed in between, the next look ends it.
"""

import os
from pathlib import Path

from scheduler.journal import memos
from scheduler.journal.store import Journal
from scheduler.machine.paths import PROFILE_NAME, write_whole
from scheduler.profile.raw import LARGEST_BYTES

_NEXT_NAME = f".{PROFILE_NAME}.next"
_CRLF = b"\r\n"


def content_of(path: Path) -> bytes | None:
    """What the file holds, one byte more than a profile may have at most; None where it is gone.

    Raises:
        OSError: it is there and cannot be read.
    """
    try:
        with path.open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        return None


def prepare(folder: Path, text: str, old: bytes | None) -> None:
    """Lays the new text beside the profile, with the line ends of the `old` content.

    Raises:
        OSError: it cannot be written; nothing was changed.
    """
    content = text.encode()
    if old and _CRLF in old:
        content = content.replace(b"\n", _CRLF)
    write_whole(folder / _NEXT_NAME, content, private=True)


def drop_prepared(folder: Path) -> None:
    """Takes away what was prepared and will not be used."""
    (folder / _NEXT_NAME).unlink(missing_ok=True)


def put_in_place(folder: Path) -> None:
    """The profile is what was prepared.

    Raises:
        OSError: it cannot be renamed; `finish` tries again.
    """
    (folder / _NEXT_NAME).replace(folder / PROFILE_NAME)
    if os.name == "posix":
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def is_prepared(folder: Path) -> bool:
    """Whether a change was begun and not ended."""
    return (folder / _NEXT_NAME).is_file()


def finish(journal: Journal, folder: Path) -> None:
    """Ends a change that was begun and killed: the file gets what the journal has, or stays.

    Raises:
        JournalFault: the journal cannot be written.
        OSError: what was prepared can be neither read nor renamed.
    """
    if not is_prepared(folder):
        return
    # While this transaction is open, nobody else is between preparing and committing.
    with journal.writing() as writing:
        accepted = memos.last_accepted(writing.connection)
        prepared = content_of(folder / _NEXT_NAME)
        if prepared is None:
            return
        text = prepared.decode("utf-8", "replace").replace("\r\n", "\n")
        if accepted and text == accepted[1]:
            put_in_place(folder)
        else:
            drop_prepared(folder)
