"""Where one host has its data: a folder of its own, and the journal in it or on a server."""

from dataclasses import dataclass, field
from pathlib import Path

from scheduler.journal.store import WAIT_MS, Journal, open_journal
from scheduler.machine.paths import JOURNAL_NAME


@dataclass(frozen=True, slots=True)
class DataPlace:
    """A folder, and the address of the server (with its password) whose journal hosts share."""

    folder: Path
    server: str = field(default="", repr=False)

    @property
    def journal(self) -> Path | str:
        """Where the journal is or would be."""
        return self.server or self.folder / JOURNAL_NAME

    @property
    def has_journal(self) -> bool:
        """Whether there is one; on a server there always is, or nobody can know."""
        return bool(self.server) or (self.folder / JOURNAL_NAME).is_file()

    def open(self, *, wait_ms: int = WAIT_MS, migrate: bool = True) -> Journal:
        """Opens it.

        Raises:
            JournalFault: it cannot be used.
        """
        return open_journal(self.journal, wait_ms=wait_ms, migrate=migrate)
