"""The journal: one SQLite file, its durability settings, its lock.

Every writing transaction begins IMMEDIATE, so that it waits for its turn instead of failing when
it comes to write. The rollback journal with EXTRA sync survives a power cut.
"""

import os
import sqlite3
import threading
from collections.abc import Iterator
from contextlib import AbstractContextManager, closing, contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from sqlalchemy import URL, Connection, Engine, create_engine, event, insert, inspect, select
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import ConnectionPoolEntry

from scheduler.cares.records import Report
from scheduler.feeds.revision import Revision
from scheduler.journal import reports, revisions, tables
from scheduler.journal.tables import MIN_READER, VERSION

BUSY_TIMEOUT_MS = 5000
PRAGMAS = {
    "journal_mode": "delete",
    "synchronous": 3,  # EXTRA
    "foreign_keys": 1,
    "secure_delete": 1,  # what is forgotten lies in no free page of a copy
    "busy_timeout": BUSY_TIMEOUT_MS,
}


class JournalFault(Exception):  # noqa: N818 - one of the three kinds of DEVELOPERS.md
    """The journal cannot be used; the text says which and why, `reason` only why (for logs)."""

    def __init__(self, text: str, reason: str = "") -> None:
        """Keeps the reason without any path."""
        super().__init__(text)
        self.reason = reason or text


@dataclass(frozen=True, slots=True)
class Journal:
    """An open journal of the current schema; a thread has one transaction at a time.

    Whatever reads or writes by it raises JournalFault where that cannot be.
    """

    engine: Engine
    _busy: threading.local = field(
        default_factory=threading.local, init=False, repr=False, compare=False
    )

    def revisions(self, site_id: str) -> dict[str, Revision]:
        """Every published event of the site by UID."""
        with self.reading() as connection:
            return revisions.published(connection, site_id)

    def reports(self, site_id: str) -> dict[int, Report]:
        """Every report of the site that is not taken back, by number."""
        with self.reading() as connection:
            return reports.in_force(connection, site_id)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One read transaction: everything in it is of one moment."""
        with self._alone(), self._faults(), self.engine.begin() as connection:
            yield connection

    def changes(self) -> tuple[int, int]:
        """The file's identity, and a number that moves with every change that is committed.

        Raises:
            JournalFault: the file is gone.
        """
        found = self._stat()
        return found.st_ino, found.st_mtime_ns

    def copy_to(self, path: Path) -> None:
        """Writes a whole, compact copy of the journal into a file that does not exist yet."""
        # VACUUM runs in no transaction.
        with self._faults(), closing(self.engine.raw_connection()) as connection:
            connection.cursor().execute("VACUUM INTO ?", (str(path),))

    def is_the_file(self, file_id: int) -> bool:
        """Whether the journal's file is still the one it was."""
        try:
            return self._stat().st_ino == file_id
        except JournalFault:
            return False

    def _stat(self) -> os.stat_result:
        path = Path(_shown(self.engine.url))
        try:
            return path.stat()
        except OSError as error:
            raise JournalFault(f"{path}: {error.strerror}", str(error.strerror)) from error

    @contextmanager
    def writing(self) -> Iterator["Writing"]:
        """One write transaction: all of it is kept, or nothing."""
        with self._alone(), self._faults(), _begin_write(self.engine) as connection:
            yield Writing(connection)

    def close(self) -> None:
        """Gives every connection back."""
        self.engine.dispose()

    @contextmanager
    def _alone(self) -> Iterator[None]:
        """Refuses a transaction inside another: with a writer between, each waits for the other.

        The writer waits for the first to end, and the second, inside it, for the writer.
        """
        if getattr(self._busy, "is_open", False):
            raise RuntimeError("a transaction of the journal inside another one")
        self._busy.is_open = True
        try:
            yield
        finally:
            self._busy.is_open = False

    @contextmanager
    def _faults(self) -> Iterator[None]:
        try:
            yield
        except (DBAPIError, sqlite3.Error, ValueError, OverflowError) as error:
            raise _fault(self.engine.url, error) from error


@dataclass(frozen=True, slots=True)
class Writing:
    """A write transaction, for whoever needs one and not only a connection."""

    connection: Connection


def open_journal(path: Path, *, busy_ms: int = BUSY_TIMEOUT_MS, migrate: bool = True) -> Journal:
    """Opens the journal in the file, made when missing, and brings its schema up to date.

    Waits `busy_ms` for a lock. Without `migrate` an older schema is refused.

    Raises:
        JournalFault: it cannot be opened, or a newer program has written it.
    """
    url = URL.create("sqlite", database=str(path))
    with suppress(OSError):  # SQLite says better than we what is wrong
        path.touch(mode=0o600, exist_ok=False)  # one that is there is left untouched
    engine = create_engine(url)
    _settle(engine, busy_ms)
    journal = Journal(engine)
    try:
        _bring_up_to_date(engine, migrate=migrate)
    except DBAPIError as error:
        engine.dispose()
        raise _fault(url, error) from error
    except JournalFault:
        engine.dispose()
        raise
    return journal


# What SQLite says, and what a keeper can do about it.
_ADVICE = {
    "locked": "Another program is using it: try again in a minute.",
    "not a database": "It is no Duskfold data file: move it away, or put a copy back.",
    "malformed": "It is damaged: move it away, or put a copy back.",
    "readonly": "It may not be written: look at the permissions of file and folder.",
    "full": "The disk is full: make room, then try again.",
}


def _fault(url: URL, error: Exception) -> JournalFault:
    said = str(error.orig if isinstance(error, DBAPIError) else error)
    if not isinstance(error, DBAPIError | sqlite3.Error):  # its text may hold the row's
        said = f"a row is damaged ({type(error).__name__})"
    advice = next((text for sign, text in _ADVICE.items() if sign in said), "")
    return JournalFault(f"{_shown(url)}: {said}. {advice}".rstrip(), said)


def _shown(url: URL) -> str:
    return url.database or ""


def _settle(engine: Engine, busy_ms: int) -> None:
    @event.listens_for(engine, "connect")
    def _pragmas(connection: Any, _: ConnectionPoolEntry) -> None:  # noqa: ANN401 - DB-API
        connection.isolation_level = None  # the driver's own transactions begin too late
        cursor = connection.cursor()
        for name, value in (PRAGMAS | {"busy_timeout": busy_ms}).items():
            cursor.execute(f"PRAGMA {name} = {value}")
        cursor.close()

    @event.listens_for(engine, "begin")
    def _begin(connection: Connection) -> None:
        writes = connection.get_execution_options().get("duskfold_writes")
        connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _begin_write(engine: Engine) -> AbstractContextManager[Connection]:
    return engine.execution_options(duskfold_writes=True).begin()


def _bring_up_to_date(engine: Engine, *, migrate: bool) -> None:
    with engine.begin() as connection:
        version, min_reader = _schema_of(connection)
    _refuse_newer(engine, version, min_reader)
    if version >= VERSION:
        return
    if not migrate:
        if not version:
            raise JournalFault(f"{_shown(engine.url)} is only just being made", "not there yet")
        raise JournalFault(
            f"{_shown(engine.url)} is of an older Duskfold. Start `duskfold watch` or `serve`: "
            "they bring it up to date.",
            "older schema",
        )
    with _begin_write(engine) as connection:
        version, min_reader = _schema_of(connection)  # another process may have been first
        _refuse_newer(engine, version, min_reader)
        if not version:
            _make(connection)
        elif version < VERSION:
            _migrate(connection)


def _schema_of(connection: Connection) -> tuple[int, int]:
    if not inspect(connection).has_table("schema"):
        return 0, 0
    row = connection.execute(select(tables.schema)).one()
    return row.version, row.min_reader


def _refuse_newer(engine: Engine, version: int, min_reader: int) -> None:
    if min_reader > VERSION:
        raise JournalFault(
            f"{_shown(engine.url)} was written by a newer Duskfold (schema {version}; this program "
            f"reads up to {VERSION}). It was left untouched. Install the newer version."
        )


def _make(connection: Connection) -> None:
    """Makes the tables at once, as the migrations would one after the other."""
    tables.metadata.create_all(connection, checkfirst=False)
    tables.alembic_version.create(connection)
    newest = {"version": VERSION, "min_reader": MIN_READER}
    connection.execute(insert(tables.schema), newest)
    connection.execute(insert(tables.alembic_version), {"version_num": f"{VERSION:04}"})


def _migrate(connection: Connection, to: str = "head") -> None:
    # Alembic takes most of a second to import; only an upgrade pays for it.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.attributes["connection"] = connection
    command.upgrade(config, to)
