"""Between values and rows: fields that are called as their columns, keys, the next number."""

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, Table, func, select
from sqlalchemy.dialects import postgresql, sqlite

from scheduler.alerts.delivery import Key
from scheduler.alerts.step import decode
from scheduler.journal import tables

KEY = [tables.delivery.c[name] for name in tables.DELIVERY_KEY]
_Insert = sqlite.Insert | postgresql.Insert
_INSERTS: Mapping[str, Callable[[Table], _Insert]] = {
    "sqlite": sqlite.insert,
    "postgresql": postgresql.insert,
}
_KEPT_AS_THEY_ARE = ("site_id", "subject_id", "day", "opening", "person_id", "channel")


def named(source: object, names: Iterable[str]) -> dict[str, Any]:
    """What the value, or the row, has under these names."""
    return {name: getattr(source, name) for name in names}


def columns_of(key: Key) -> dict[str, Any]:
    """The columns that a row of that delivery's key has."""
    known = named(key, _KEPT_AS_THEY_ARE)
    return known | {"step": str(key.step), "key_address": key.address}


def key_of(row: Row[Any]) -> Key:
    """The key of the delivery that a row has, by the columns in `KEY`."""
    known = named(row, _KEPT_AS_THEY_ARE)
    return Key(**known, step=decode(row.step), address=row.key_address)


def insert_unknown(
    connection: Connection, table: Table, rows: Mapping[str, Any] | Sequence[Mapping[str, Any]]
) -> int:
    """Inserts the rows whose key is not there yet, and leaves the others as they are; how many."""
    unknown = _INSERTS[connection.dialect.name](table).on_conflict_do_nothing()
    counted = {"preserve_rowcount": True}
    return connection.execute(unknown, rows, execution_options=counted).rowcount


def insert_or_replace(
    connection: Connection, table: Table, rows: Sequence[Mapping[str, Any]]
) -> None:
    """Inserts the rows, each in place of the one of the same key."""
    insert = _INSERTS[connection.dialect.name](table)
    others = {one.name: insert.excluded[one.name] for one in table.c if not one.primary_key}
    replacing = insert.on_conflict_do_update(index_elements=[*table.primary_key], set_=others)
    connection.execute(replacing, rows)


def next_number(connection: Connection, column: ColumnElement[int], **of: object) -> int:
    """The number after the greatest in that column, of the rows that have those values; from 1."""
    greatest = select(func.coalesce(func.max(column), 0)).filter_by(**of)
    return int(connection.execute(greatest).scalar_one()) + 1
