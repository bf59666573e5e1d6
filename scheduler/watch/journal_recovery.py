"""Opens the journal for the long run: checked, and when damaged put aside for the newest copy."""

import logging
import os
import re
import sqlite3
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from scheduler.journal.fault import JournalFault
from scheduler.journal.on_sqlite import SqliteFile
from scheduler.journal.store import Journal, open_journal
from scheduler.machine.paths import JOURNAL_NAME, write_whole
from scheduler.service.data_place import DataPlace
from scheduler.wording.journal.advice import PlaceRefusals
from scheduler.wording.journal.why_unusable import WhyUnusable
from scheduler.wording.told_later import for_later

COPIES = ("journal.copy-1.sqlite3", "journal.copy-2.sqlite3")
MOUNTS = Path("/proc/self/mounts")
_NETWORK = re.compile(
    r"nfs\d?|cifs|smb\d?|smbfs|9p|afs|ceph|lustre|davfs|(fuse\.)?glusterfs|fuse\.(sshfs|rclone|s3fs)"
)
_log = logging.getLogger(__name__)


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenedJournal:
    """The journal, and what had to be done for it: "", "copy" or "empty"."""

    journal: Journal
    recovered: str = ""


def open_checked(place: DataPlace, now: datetime, mounts: str) -> OpenedJournal:
    """The journal of the place; a damaged file is kept beside it under another name.

    `mounts` is the system's table of mounts. A server looks after its own.

    Raises:
        JournalFault: it lies on a network, may not be written, is newer, or cannot be used.
    """
    if place.server:
        return OpenedJournal(journal=place.open())
    folder, path = place.folder, place.folder / JOURNAL_NAME
    if kind := network_kind(path, mounts):
        raise JournalFault(
            PlaceRefusals.network(path=path, kind=kind), for_later(WhyUnusable.network, kind=kind)
        )
    _refuse_read_only(path)
    if path.exists():
        if _is_sound(path) and not _was_emptied(path):
            return OpenedJournal(journal=open_journal(path))
        aside = path.with_name(f"{JOURNAL_NAME}.damaged-{now:%Y%m%dT%H%M%SZ}")
        path.replace(aside)
        path.with_name(f"{JOURNAL_NAME}-journal").unlink(missing_ok=True)
        _log.error("journal.damaged kept_as=%s", aside.name)
    elif not _newest_first(folder):
        return OpenedJournal(journal=open_journal(path))  # the first start
    for copy in _newest_first(folder):
        if _is_sound(copy):
            write_whole(path, copy.read_bytes(), private=True)
            return OpenedJournal(journal=open_journal(path), recovered="copy")
    return OpenedJournal(journal=open_journal(path), recovered="empty")


def network_kind(path: Path, mounts: str) -> str:
    """The kind of network file system that the path lies on; empty when it is a local one."""
    where = path.resolve()
    best = ("", "")
    for line in mounts.splitlines():
        fields = line.split(" ")
        if len(fields) < 3:  # noqa: PLR2004 - device, place, kind
            continue
        place = fields[1].replace("\\040", " ")
        if len(place) >= len(best[0]) and where.is_relative_to(place):
            best = (place, fields[2])
    return best[1] if _NETWORK.fullmatch(best[1]) else ""


def copy_journal(journal: Journal, folder: Path, name: str) -> None:
    """Writes a whole copy of the journal's file under that name, by rename.

    A server has none: its own tools make its copies.

    Raises:
        JournalFault: the journal cannot be read.
        OSError: the copy cannot be put in place.
    """
    if not isinstance(journal.kept_in, SqliteFile):
        return
    draft = folder / f".{name}"
    draft.unlink(missing_ok=True)
    with journal.faults():
        journal.kept_in.copy(journal.engine, draft)
    draft.chmod(0o600)
    draft.replace(folder / name)


def _refuse_read_only(path: Path) -> None:
    for one in (path.parent, path):
        if one.exists() and not os.access(one, os.W_OK):
            raise JournalFault(PlaceRefusals.read_only(path=one), for_later(WhyUnusable.read_only))


def _was_emptied(path: Path) -> bool:
    """Whether it lost its content in a power cut: SQLite takes such a file for a new journal."""
    return path.stat().st_size == 0 and bool(_newest_first(path.parent))


def _newest_first(folder: Path) -> Sequence[Path]:
    found = [path for name in COPIES if (path := folder / name).is_file()]
    return sorted(found, key=lambda path: path.stat().st_mtime, reverse=True)


def _is_sound(path: Path) -> bool:
    """Whether SQLite finds no damage. A file that cannot be read now is not called damaged."""
    try:
        connection = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True, timeout=5)
        try:
            found = connection.execute("PRAGMA quick_check(1)").fetchone()
        finally:
            connection.close()
    except sqlite3.OperationalError:
        return True
    except sqlite3.DatabaseError:
        return False
    return bool(found == ("ok",))
