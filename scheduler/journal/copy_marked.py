"""The mark on a journal that is being copied into: no program opens it until it is taken away."""

from sqlalchemy import Connection, func, insert, inspect, select, update

from scheduler.journal import tables
from scheduler.journal.copied_tables import COPIED
from scheduler.journal.fault import JournalFault
from scheduler.journal.schema import make, version_of
from scheduler.wording.journal.advice import CopyRefusals
from scheduler.wording.told_later import told

_MARK = tables.unfinished_copy


def begin(connection: Connection, name: str, *, of: str) -> None:
    """Makes and marks an empty journal; leaves a copy of the same source that was begun as it is.

    Raises:
        JournalFault: something else is there.
    """
    there = {*inspect(connection).get_table_names()}
    if _MARK.name in there:
        _refuse_another(connection, name, of)
        return
    if there:
        _refuse_anything(connection, name, there)
        # One that an older program made refuses rows where they lay then; no cache stays either.
        tables.metadata.drop_all(connection)
        tables.alembic_version.drop(connection)
    make(connection)
    _MARK.create(connection)
    connection.execute(insert(_MARK), {"source": of})
    connection.execute(update(tables.schema).values(min_reader=tables.UNFINISHED))


def is_unfinished(connection: Connection) -> bool:
    """Whether it is still marked."""
    return connection.execute(select(tables.schema.c.min_reader)).scalar() == tables.UNFINISHED


def finish(connection: Connection) -> None:
    """Takes the mark away: it is a journal as any other, whose numbers go on after the greatest."""
    if connection.dialect.name == "postgresql":
        for table in tables.metadata.sorted_tables:
            if (number := table.autoincrement_column) is not None:
                greatest = select(func.max(number)).scalar_subquery()
                sequence = func.pg_get_serial_sequence(table.name, number.name)
                # None, or one below the first that a sequence gives, leaves it at its beginning.
                begun = func.coalesce(greatest, 0) >= 1
                go_on = func.setval(sequence, func.greatest(greatest, 1), begun)
                connection.execute(select(go_on))
    _MARK.drop(connection)
    connection.execute(update(tables.schema).values(min_reader=tables.MIN_READER))


def _refuse_another(connection: Connection, name: str, of: str) -> None:
    source = connection.execute(select(_MARK.c.source)).scalar()
    version, _ = version_of(connection)
    if source == of and version == tables.VERSION:
        return
    refusal = CopyRefusals.other_version if source == of else CopyRefusals.other_copy
    _refuse(refusal(name=name, source=told(source or "")))


def _refuse_anything(connection: Connection, name: str, there: set[str]) -> None:
    ours = {*tables.metadata.tables, tables.alembic_version.name}
    if there != ours or version_of(connection)[0] != tables.VERSION:
        _refuse(CopyRefusals.something_else(name=name))
    for table in COPIED:
        if connection.execute(select(table).limit(1)).first() is not None:
            _refuse(CopyRefusals.with_rows(name=name))


def _refuse(text: str) -> None:
    raise JournalFault(text, "not-empty", is_refused=True)
