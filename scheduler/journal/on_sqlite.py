"""The journal in one SQLite file: its durability settings and its lock.

Every writing transaction begins IMMEDIATE, so that it waits for its turn instead of failing when
it comes to write. The rollback journal with EXTRA sync survives a power cut.
"""

import os
import sqlite3
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, contextmanager, suppress
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import ConnectionPoolEntry

from scheduler.journal.fault import JournalFault, said_of
from scheduler.journal.kept_in import Changes, Look
from scheduler.wording.journal.advice import JournalFaults, SqliteAdvice
from scheduler.wording.journal.why_unusable import WhyUnusable
from scheduler.wording.told_later import for_later, told

PRAGMAS = {
    "journal_mode": "delete",
    "synchronous": 3,  # EXTRA
    "foreign_keys": 1,
    "secure_delete": 1,  # what is forgotten lies in no free page of a copy
}
# What SQLite says, and what a keeper can do about it.
_ADVICE = {
    "locked": SqliteAdvice.locked,
    "not a database": SqliteAdvice.no_database,
    "malformed": SqliteAdvice.malformed,
    "readonly": SqliteAdvice.read_only,
    "full": SqliteAdvice.full,
}


@dataclass(frozen=True, slots=True)
class SqliteFile:
    """A file of this machine; whoever meets a lock waits `wait_ms` for it."""

    path: Path
    wait_ms: int

    @property
    def name(self) -> str:
        """The file's path."""
        return str(self.path)

    @property
    def known_as(self) -> str:
        """The file's path, without links."""
        return str(self.path.resolve())

    def engine(self) -> Engine:
        """Connections to the file, which is made, its owner's alone, where there is none."""
        with suppress(OSError):  # SQLite says better than we what is wrong
            self.path.touch(mode=0o600, exist_ok=False)  # one that is there is left untouched
        engine = create_engine(URL.create("sqlite", database=str(self.path)))
        _settle(engine, self.wait_ms)
        return engine

    @contextmanager
    def reading(self, engine: Engine) -> Iterator[Connection]:
        """A transaction in which everything is of one moment."""
        with engine.begin() as connection:
            yield connection

    def writing(self, engine: Engine, *, beside: bool) -> AbstractContextManager[Connection]:
        """A transaction that waits for its turn; SQLite knows none beside another."""
        del beside
        return engine.execution_options(duskfold_writes=True).begin()

    def noting(self, engine: Engine) -> AbstractContextManager[Connection]:
        """As any other that writes."""
        return self.writing(engine, beside=False)

    def look(self, engine: Engine) -> Look:
        """The file's identity, and when it was last written; it has its machine's clock."""
        del engine
        found = self._stat()
        return Look(Changes(found.st_ino, found.st_mtime_ns), None)

    def fault(self, error: Exception) -> JournalFault:
        """What SQLite's error means."""
        said = str(error.orig if isinstance(error, DBAPIError) else error)
        if not isinstance(error, DBAPIError | sqlite3.Error):  # its text may hold the row's
            said = for_later(WhyUnusable.damaged_row, error=type(error).__name__)
        advice = next((words for sign, words in _ADVICE.items() if sign in said), None)
        text = said_of(self.name, told(said), advice)
        return JournalFault(text, said, is_locked="locked" in said)

    def copy(self, engine: Engine, path: Path) -> None:
        """Writes a whole, compact copy into a file that does not exist yet."""
        # VACUUM runs in no transaction.
        with closing(engine.raw_connection()) as connection:
            connection.cursor().execute("VACUUM INTO ?", (str(path),))

    def _stat(self) -> os.stat_result:
        try:
            return self.path.stat()
        except OSError as error:
            why = str(error.strerror)
            raise JournalFault(JournalFaults.unread(name=self.name, said=why), why) from error


def _settle(engine: Engine, wait_ms: int) -> None:
    @event.listens_for(engine, "connect")
    def _pragmas(connection: Any, _: ConnectionPoolEntry) -> None:  # noqa: ANN401 - DB-API
        connection.isolation_level = None  # the driver's own transactions begin too late
        cursor = connection.cursor()
        for name, value in (PRAGMAS | {"busy_timeout": wait_ms}).items():
            cursor.execute(f"PRAGMA {name} = {value}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("duskfold_writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")
