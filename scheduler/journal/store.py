"""The journal: one SQLite file, its durability settings, its lock.

Every writing transaction begins IMMEDIATE, so that it waits for its turn instead of failing when
it comes to write. The rollback journal with EXTRA sync survives a power cut.
"""

import os
import sqlite3
import threading
from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from datetime import UTC, date, datetime
from pathlib import Path
from typing import Any

from sqlalchemy import (
    URL,
    Connection,
    Engine,
    create_engine,
    delete,
    event,
    insert,
    inspect,
    select,
)
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import ConnectionPoolEntry

from scheduler.cares.records import Report
from scheduler.feeds.event import FeedEvent, Part
from scheduler.feeds.revision import Revision
from scheduler.journal import reports, tables
from scheduler.journal.tables import MIN_READER, VERSION

BUSY_TIMEOUT_MS = 5000
_MOST_VARIABLES = 500  # of one statement; SQLite has a limit
PRAGMAS = {
    "journal_mode": "delete",
    "synchronous": 3,  # EXTRA
    "foreign_keys": 1,
    "secure_delete": 1,  # what is forgotten lies in no free page of a copy
    "busy_timeout": BUSY_TIMEOUT_MS,
}
_WRITES = {"duskfold_writes": True}


class JournalFault(Exception):  # noqa: N818 - one of the three kinds of DEVELOPERS.md
    """The journal cannot be used; the text says which and why, `reason` only why (for logs)."""

    def __init__(self, text: str, reason: str = "") -> None:
        """Keeps the reason without any path."""
        super().__init__(text)
        self.reason = reason or text


@dataclass(frozen=True, slots=True)
class Journal:
    """An open journal of the current schema; a thread has one transaction at a time."""

    engine: Engine
    _busy: threading.local = field(
        default_factory=threading.local, init=False, repr=False, compare=False
    )

    def revisions(self, site_id: str) -> dict[str, Revision]:
        """Every published event of the site by UID."""
        with self.reading() as connection:
            return _revisions(connection, site_id)

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
        with self._faults():
            connection = self.engine.raw_connection()  # VACUUM runs in no transaction
            try:
                connection.cursor().execute("VACUUM INTO ?", (str(path),))
            except sqlite3.Error as error:
                raise _fault(self.engine.url, error) from error
            finally:
                connection.close()

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
        except (DBAPIError, ValueError, OverflowError) as error:
            raise _fault(self.engine.url, error) from error


@dataclass(frozen=True, slots=True)
class Writing:
    """What one write transaction can do."""

    connection: Connection

    def revisions(self, site_id: str) -> dict[str, Revision]:
        """Every published event of the site by UID, as this transaction sees them."""
        return _revisions(self.connection, site_id)

    def save(self, site_id: str, revisions: Iterable[Revision]) -> None:
        """Adds the revisions, or replaces those of the same UID."""
        rows = [_row(site_id, revision) for revision in revisions]
        if rows:
            self.forget(site_id, [row["uid"] for row in rows])
            self.connection.execute(insert(tables.revision), rows)

    def reports(self, site_id: str) -> dict[int, Report]:
        """As the journal's, as this transaction sees them."""
        return reports.in_force(self.connection, site_id)

    def forget(self, site_id: str, uids: Iterable[str]) -> None:
        """Forgets published events."""
        table = tables.revision
        listed = list(uids)
        for start in range(0, len(listed), _MOST_VARIABLES):
            some = table.c.uid.in_(listed[start : start + _MOST_VARIABLES])
            self.connection.execute(delete(table).where(table.c.site_id == site_id, some))

    def prune(self, before: date) -> None:
        """Forgets events of dates before `before`, of former sites too."""
        table = tables.revision
        self.connection.execute(delete(table).where(table.c.day < before))


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
    kind = type(error).__name__  # its text may hold the row's
    if isinstance(error, DBAPIError):
        said = str(error.orig)
    else:
        said = str(error) if isinstance(error, sqlite3.Error) else f"a row is damaged ({kind})"
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


@contextmanager
def _begin_write(engine: Engine) -> Iterator[Connection]:
    with engine.execution_options(**_WRITES).begin() as connection:
        yield connection


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


def _revisions(connection: Connection, site_id: str) -> dict[str, Revision]:
    table = tables.revision
    rows = connection.execute(select(table).where(table.c.site_id == site_id)).mappings().all()
    return {row["uid"]: _revision(dict(row)) for row in rows}


def _row(site_id: str, revision: Revision) -> dict[str, Any]:
    happening = revision.event
    return {
        "site_id": site_id,
        "uid": happening.uid,
        "part": happening.part,
        "day": happening.day,
        "start": _text(happening.start),
        "end": _text(happening.end),
        "title": happening.title,
        "description": happening.description,
        "rings": int(happening.rings),
        "sequence": revision.sequence,
        "changed_at": revision.changed_at,
        "cancelled_on": revision.cancelled_on,
        "kind": happening.kind,
        "houses": " ".join(sorted(happening.houses)),
    }


def _revision(row: Mapping[str, Any]) -> Revision:
    part: Part = row["part"]
    return Revision(
        event=FeedEvent(
            part=part,
            uid=row["uid"],
            day=row["day"],
            start=_when(row["start"]),
            end=_when(row["end"]),
            title=row["title"],
            description=row["description"],
            rings=bool(row["rings"]),
            kind=row["kind"] or "",
            houses=frozenset((row["houses"] or "").split()),
        ),
        sequence=row["sequence"],
        changed_at=row["changed_at"],
        cancelled_on=row["cancelled_on"],
    )


def _text(when: datetime | date) -> str:
    return f"{when:%Y-%m-%dT%H:%MZ}" if isinstance(when, datetime) else when.isoformat()


def _when(text: str) -> datetime | date:
    if text.endswith("Z"):
        return datetime.fromisoformat(text.removesuffix("Z")).replace(tzinfo=UTC)
    return date.fromisoformat(text)
