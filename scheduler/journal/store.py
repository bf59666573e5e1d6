"""The journal: one SQLite file (or a PostgreSQL database), its durability settings, its lock.

Every writing transaction begins IMMEDIATE, so that it waits for its turn instead of failing when
it comes to write. The rollback journal with EXTRA sync survives a power cut.
"""

from collections.abc import Iterable, Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
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
    make_url,
    select,
)
from sqlalchemy.exc import DBAPIError
from sqlalchemy.pool import ConnectionPoolEntry

from scheduler.feeds.event import FeedEvent, Part
from scheduler.feeds.revision import Revision
from scheduler.journal import tables
from scheduler.journal.tables import READS_FROM, VERSION

BUSY_TIMEOUT_MS = 5000
PRAGMAS = {
    "journal_mode": "delete",
    "synchronous": 3,  # EXTRA
    "foreign_keys": 1,
    "busy_timeout": BUSY_TIMEOUT_MS,
}
_WRITES = {"duskfold_writes": True}


class JournalFault(Exception):  # noqa: N818 - one of the three kinds of DEVELOPERS.md
    """The journal cannot be used; the text says which and why."""


@dataclass(frozen=True, slots=True)
class Journal:
    """An open journal of the current schema."""

    engine: Engine

    def revisions(self, site_id: str) -> dict[str, Revision]:
        """Every published event of the site by UID."""
        with self._faults(), self.engine.begin() as connection:
            return _revisions(connection, site_id)

    @contextmanager
    def writing(self) -> Iterator["Writing"]:
        """One write transaction: all of it is kept, or nothing."""
        with self._faults(), _begin_write(self.engine) as connection:
            yield Writing(connection)

    def close(self) -> None:
        """Gives every connection back."""
        self.engine.dispose()

    @contextmanager
    def _faults(self) -> Iterator[None]:
        try:
            yield
        except DBAPIError as error:
            raise JournalFault(f"{_shown(self.engine.url)}: {error.orig}") from error


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
            table = tables.revision
            uids = [row["uid"] for row in rows]
            for start in range(0, len(uids), 500):  # SQLite allows a limited number of variables
                some = uids[start : start + 500]
                self.connection.execute(
                    delete(table).where(table.c.site_id == site_id, table.c.uid.in_(some))
                )
            self.connection.execute(insert(table), rows)

    def prune(self, site_id: str, before: date) -> None:
        """Forgets events of dates before `before`."""
        table = tables.revision
        self.connection.execute(
            delete(table).where(table.c.site_id == site_id, table.c.day < before)
        )


def open_journal(place: Path | str) -> Journal:
    """Opens the journal at a file path or database URL, bringing its schema up to date.

    Raises:
        JournalFault: it cannot be opened, or a newer program has written it.
    """
    url = URL.create("sqlite", database=str(place)) if isinstance(place, Path) else make_url(place)
    engine = create_engine(url)
    if engine.dialect.name == "sqlite":
        _settle_sqlite(engine)
    journal = Journal(engine)
    try:
        _bring_up_to_date(engine)
    except DBAPIError as error:
        engine.dispose()
        raise JournalFault(f"{_shown(url)}: {error.orig}") from error
    except JournalFault:
        engine.dispose()
        raise
    return journal


def _shown(url: URL) -> str:
    return url.database or "" if url.drivername == "sqlite" else url.render_as_string()


def _settle_sqlite(engine: Engine) -> None:
    @event.listens_for(engine, "connect")
    def _pragmas(connection: Any, _: ConnectionPoolEntry) -> None:  # noqa: ANN401 - DB-API
        connection.isolation_level = None  # the driver's own transactions begin too late
        cursor = connection.cursor()
        for name, value in PRAGMAS.items():
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


def _bring_up_to_date(engine: Engine) -> None:
    with engine.begin() as connection:
        version, min_reader = _schema_of(connection)
    _refuse_newer(engine, version, min_reader)
    if version >= VERSION:
        return
    with _begin_write(engine) as connection:
        version, min_reader = _schema_of(connection)  # another process may have been first
        _refuse_newer(engine, version, min_reader)
        if version < VERSION:
            _migrate(connection)


def _schema_of(connection: Connection) -> tuple[int, int]:
    if not inspect(connection).has_table("schema"):
        return 0, 0
    row = connection.execute(select(tables.schema)).one()
    return row.version, row.min_reader


def _refuse_newer(engine: Engine, version: int, min_reader: int) -> None:
    if version > VERSION and min_reader > READS_FROM:
        raise JournalFault(
            f"{_shown(engine.url)} was written by a newer Duskfold (schema {version}; this program "
            f"reads up to {VERSION}). It was left untouched. Install the newer version."
        )


def _migrate(connection: Connection) -> None:
    # Alembic takes most of a second to import; only a first start or an upgrade pays for it.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.attributes["connection"] = connection
    command.upgrade(config, "head")


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
