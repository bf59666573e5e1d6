"""Between values and rows: fields that are called as their columns, keys, the next number."""

from collections.abc import Iterable
from typing import Any

from sqlalchemy import ColumnElement, Connection, Row, func, select

from scheduler.alerts.delivery import Key
from scheduler.alerts.step import decode
from scheduler.journal import tables

KEY = [tables.delivery.c[name] for name in tables.DELIVERY_KEY]
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


def next_number(connection: Connection, column: ColumnElement[int], **of: object) -> int:
    """The number after the greatest in that column, of the rows that have those values; from 1."""
    greatest = select(func.coalesce(func.max(column), 0)).filter_by(**of)
    return int(connection.execute(greatest).scalar_one()) + 1
