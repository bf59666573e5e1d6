"""The journal: read and written in transactions, whatever engine it is kept in."""

import sqlite3
import threading
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import datetime
from pathlib import Path

from sqlalchemy import Connection, Engine
from sqlalchemy.exc import ArgumentError, DBAPIError

from scheduler.cares.records import Report
from scheduler.climate.forecast import Measured
from scheduler.feeds.revision import Revision
from scheduler.journal import reports, revisions, weather
from scheduler.journal.fault import JournalFault
from scheduler.journal.kept_in import Changes, KeptIn, Look
from scheduler.journal.schema import bring_up_to_date

WAIT_MS = 5000


@dataclass(frozen=True, slots=True)
class Journal:
    """An open journal of the current schema; a thread has one transaction at a time.

    Whatever reads or writes by it raises JournalFault where that cannot be.
    """

    engine: Engine
    kept_in: KeptIn
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

    def keep_measured(self, site_id: str, sensor_id: str, measured: Measured) -> None:
        """Keeps what the sensor showed; the same instant twice is kept once."""
        with self.writing() as writing:
            weather.keep_measured(writing.connection, site_id, sensor_id, measured)

    @contextmanager
    def reading(self) -> Iterator[Connection]:
        """One read transaction: everything in it is of one moment."""
        with self._alone(), self.faults(), self.kept_in.reading(self.engine) as connection:
            yield connection

    @contextmanager
    def writing(self, *, beside: bool = False) -> Iterator["Writing"]:
        """One write transaction: all of it is kept, or nothing.

        Those that only claim and settle may run `beside` each other, where the engine can.
        """
        writes = self.kept_in.writing
        with self._alone(), self.faults(), writes(self.engine, beside=beside) as connection:
            yield Writing(connection)

    @contextmanager
    def noting(self) -> Iterator[Connection]:
        """For one statement whose outcome nobody else reads twice; it counts as no change."""
        with self._alone(), self.faults(), self.kept_in.noting(self.engine) as connection:
            yield connection

    def look(self) -> Look:
        """Its changes and its time.

        Raises:
            JournalFault: it is gone.
        """
        with self.faults():
            return self.kept_in.look(self.engine)

    def changes(self) -> Changes:
        """Which journal it is, and a number that moves with every change that is committed.

        Raises:
            JournalFault: it is gone.
        """
        return self.look().changes

    def is_still(self, identity: int) -> bool:
        """Whether the journal is still the one it was."""
        try:
            return self.changes().identity == identity
        except JournalFault:
            return False

    def time(self) -> datetime | None:
        """The time of day by the journal's own clock; None where that is this machine's."""
        return self.look().time

    def close(self) -> None:
        """Gives every connection back."""
        self.engine.dispose()

    @contextmanager
    def faults(self) -> Iterator[None]:
        """Turns whatever the engine raises in it into a JournalFault."""
        try:
            yield
        except (DBAPIError, sqlite3.Error, ArgumentError, ValueError, OverflowError) as error:
            raise self.kept_in.fault(error) from error

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


@dataclass(frozen=True, slots=True)
class Writing:
    """A write transaction, for whoever needs one and not only a connection."""

    connection: Connection


def open_journal(where: Path | str, *, wait_ms: int = WAIT_MS, migrate: bool = True) -> Journal:
    """Opens the journal in the file, or at the address of a server; made when it is not there.

    Waits `wait_ms` for a lock. Without `migrate` an older schema is refused.

    Raises:
        JournalFault: it cannot be opened, or a newer program has written it.
    """
    journal = unopened(where, wait_ms)
    try:
        with journal.faults():
            bring_up_to_date(journal.kept_in, journal.engine, migrate=migrate)
    except JournalFault:
        journal.close()
        raise
    return journal


def unopened(where: Path | str, wait_ms: int = WAIT_MS) -> Journal:
    """The journal of that place, whatever is there; whoever reads it finds out.

    Raises:
        JournalFault: the address cannot be read, or its engine is not installed.
    """
    kept_in = kept_in_at(where, wait_ms)
    return Journal(kept_in.engine(), kept_in)


def kept_in_at(where: Path | str, wait_ms: int = WAIT_MS) -> KeptIn:
    """The engine of that place; a text is the address of a server."""
    if isinstance(where, Path):
        from scheduler.journal.on_sqlite import SqliteFile  # noqa: PLC0415 - one of the two is used

        return SqliteFile(where, wait_ms)
    from scheduler.journal.on_postgresql import PostgresServer  # noqa: PLC0415 - as above

    return PostgresServer(where, wait_ms)
