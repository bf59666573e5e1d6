"""The schema: whether this program may use it, made at once or brought up to date step by step."""

from collections.abc import Iterable
from pathlib import Path

from sqlalchemy import Connection, Engine, insert, inspect, select

from scheduler.journal import tables
from scheduler.journal.fault import JournalFault
from scheduler.journal.kept_in import KeptIn
from scheduler.journal.tables import MIN_READER, UNFINISHED, VERSION
from scheduler.wording.journal.advice import SchemaRefusals
from scheduler.wording.journal.why_unusable import WhyUnusable
from scheduler.wording.told_later import for_later


def bring_up_to_date(kept_in: KeptIn, engine: Engine, *, migrate: bool) -> None:
    """Makes the schema, or migrates it, in one transaction; without `migrate` refuses an older one.

    Raises:
        JournalFault: it is newer than this program reads, or older and may not be migrated.
    """
    with kept_in.reading(engine) as connection:
        version, min_reader = version_of(connection)
    _refuse_newer(kept_in.name, version, min_reader)
    if version >= VERSION:
        return
    if not migrate:
        if not version:
            not_yet = SchemaRefusals.not_made_yet(name=kept_in.name)
            raise JournalFault(not_yet, for_later(WhyUnusable.not_made_yet))
        older = SchemaRefusals.older(name=kept_in.name)
        raise JournalFault(older, for_later(WhyUnusable.older))
    with kept_in.writing(engine, beside=False) as connection:
        version, min_reader = version_of(connection)  # another process may have been first
        _refuse_newer(kept_in.name, version, min_reader)
        if not version:
            make(connection)
        elif version < VERSION:
            _migrate(connection)


def version_of(connection: Connection) -> tuple[int, int]:
    """The schema's version and the oldest that reads it; (0, 0) where no journal is."""
    if not inspect(connection).has_table("schema"):
        return 0, 0
    row = connection.execute(select(tables.schema)).one()
    return row.version, row.min_reader


def _refuse_newer(name: str, version: int, min_reader: int) -> None:
    if min_reader == UNFINISHED:
        raise JournalFault(
            SchemaRefusals.unfinished(name=name),
            for_later(WhyUnusable.unfinished),
            is_refused=True,
        )
    if min_reader > VERSION:
        raise JournalFault(
            SchemaRefusals.newer(name=name, version=version, most=VERSION),
            for_later(WhyUnusable.newer, version=version, most=VERSION),
            is_refused=True,
        )


def make(connection: Connection) -> None:
    """Makes the tables at once, as the migrations would one after the other."""
    tables.metadata.create_all(connection, checkfirst=False)
    tables.alembic_version.create(connection)
    newest = {"version": VERSION, "min_reader": MIN_READER}
    connection.execute(insert(tables.schema), newest)
    connection.execute(insert(tables.alembic_version), {"version_num": f"{VERSION:04}"})
    connection.execute(insert(tables.change), [*_slots()])


def _slots() -> Iterable[dict[str, int]]:
    return ({"slot": slot, "number": 0} for slot in range(tables.CHANGE_SLOTS))


def _migrate(connection: Connection, to: str = "head") -> None:
    # Alembic takes most of a second to import; only an upgrade pays for it.
    from alembic import command  # noqa: PLC0415
    from alembic.config import Config  # noqa: PLC0415

    config = Config()
    config.set_main_option("script_location", str(Path(__file__).parent / "migrations"))
    config.attributes["connection"] = connection
    command.upgrade(config, to)
