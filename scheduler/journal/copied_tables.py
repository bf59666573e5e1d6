"""The tables of a journal that a copy has, and their columns as the engine keeps them."""

from sqlalchemy import BigInteger, Column, MetaData, Table

from scheduler.journal import tables

# Each place has its own: the schema, its number of changes, the pulses of its hosts.
_OF_THE_PLACE = {"schema", "change", "process"}


def _plain(table: Table) -> Table:
    """The same columns without the turning of instants: whole seconds stay as they are."""
    columns = (
        Column(
            one.name,
            BigInteger() if isinstance(one.type, tables.UtcInstant) else one.type,
            primary_key=one.primary_key,
            autoincrement=False,
        )
        for one in table.c
    )
    return Table(table.name, MetaData(), *columns)


COPIED = tuple(
    _plain(one)
    for name, one in tables.metadata.tables.items()
    if name not in _OF_THE_PLACE and not name.startswith("cache_")
)
