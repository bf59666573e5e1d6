"""Follows the profile file: a changed one that can be used takes over, no other does."""

import logging
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path

from scheduler.journal import memos
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal
from scheduler.machine.clock_trust import BUILT
from scheduler.machine.paths import now_kept_at
from scheduler.profile.load import Problems
from scheduler.service.data_place import DataPlace
from scheduler.service.household.open_profile import Household, open_profile, read_profile

_log = logging.getLogger(__name__)
_Look = tuple[int, int, int]


@dataclass(slots=True)
class ProfileFile:
    """The profile's file and how it looked when it was read last.

    A file is read once it has looked the same twice, so that half of one is never loaded. It is
    judged as of `known` at least: by a clock that woke up in 1970 every hatch date is to come.
    Once the pages have taken it over, it is the one in the data folder.
    """

    given: Path
    folder: Path | None = None
    known: datetime = BUILT
    _read: _Look | None = None
    _seen: _Look | None = None
    _unreadable: _Look | None = None

    @property
    def path(self) -> Path:
        """Where it lies now."""
        return now_kept_at(self.given, self.folder) if self.folder else self.given

    @property
    def is_there(self) -> bool:
        """Whether there is a file; with a journal on a server its row is enough."""
        return self._look() is not None

    def open(self, now: datetime) -> Household | Problems:
        """The household, or everything that is wrong with its profile.

        Raises:
            OSError: the file cannot be read.
        """
        look = self._seen = self._look()
        found = open_profile(self.path, max(now, self.known))
        self._read = look
        return found

    def changed(self, now: datetime) -> Household | Problems | None:
        """What a changed file holds; None while it is unchanged, changing or gone."""
        look = self._look()
        settled, self._seen = look == self._seen, look
        if look is None or look == self._read or not settled:
            return None
        try:
            found = open_profile(self.path, max(now, self.known))
        except OSError as error:
            if look != self._unreadable:
                _log.warning("profile.unreadable reason=%s", error.strerror)
            self._unreadable = look
            return None
        self._read = look
        return found

    def _look(self) -> _Look | None:
        try:
            found = self.path.stat()
        except OSError:
            return None
        return found.st_ino, found.st_size, found.st_mtime_ns


def has_profile(path: Path, place: DataPlace) -> bool:
    """Whether there is one: its file, or where hosts share a journal its row.

    A journal's server that cannot be reached may have one.
    """
    if path.is_file() or not place.server:
        return path.is_file()
    try:
        with closing(place.open()) as journal, journal.reading() as connection:
            return memos.last_number(connection) > 0
    except JournalFault:
        return True


def last_accepted(journal: Journal, now: datetime) -> Household | None:
    """The household of the profile that the reminders accepted last, if there is one."""
    with journal.reading() as connection:
        kept, at = memos.last_accepted(connection), memos.last_accepted_at(connection)
    if kept is None or at is None:
        return None
    found = read_profile(kept[1].encode(), "last-accepted", max(now, at))
    return found if isinstance(found, Household) else None
