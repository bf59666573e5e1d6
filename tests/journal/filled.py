"""Journals with rows in every table, and everything that a journal holds."""

import sqlite3
from contextlib import closing
from datetime import date
from pathlib import Path
from typing import Any

import hypothesis.strategies as st
from sqlalchemy import Column, Date, Float, Integer, Table, insert, select

from scheduler.journal import tables
from scheduler.journal.copied_tables import COPIED
from scheduler.journal.store import Journal, open_journal

Rows = dict[str, list[dict[str, Any]]]
NAMES = [one.name for one in COPIED]

SITES = ("orchard", "Höfe 🐔", "a'b")

# What a server keeps as well: no NUL, and no half of a pair.
texts = st.text(st.characters(exclude_categories=["Cs"], exclude_characters="\0"), max_size=12)
_OF_TYPE = {
    Date: st.dates(date(1000, 1, 1)),
    Float: st.floats(allow_nan=False),
    Integer: st.integers(-(2**31), 2**31 - 1),
}


def _values(column: Column[Any]) -> st.SearchStrategy[Any]:
    if isinstance(column.type, tables.UtcInstant):
        seconds = st.integers(-(2**63), 2**63 - 1)  # as they are kept
        return st.none() | seconds if column.nullable else seconds
    found = next((one for kind, one in _OF_TYPE.items() if isinstance(column.type, kind)), texts)
    return st.none() | found if column.nullable else found


def _rows_of(table: Table) -> st.SearchStrategy[list[dict[str, Any]]]:
    keys = tables.DELIVERY_KEY if table.name == "delivery" else (*table.primary_key.columns.keys(),)
    one = st.fixed_dictionaries({column.name: _values(column) for column in table.c})
    unique: list[Any] = [lambda row: tuple(row[key] for key in keys)]
    unique += [lambda row: row["id"]] if table.name == "delivery" else []
    return st.lists(one, max_size=7, unique_by=tuple(unique))


everything = st.fixed_dictionaries({name: _rows_of(tables.metadata.tables[name]) for name in NAMES})


def some(each: int = 7) -> Rows:
    """So many rows of every table, of three sites."""
    return {one.name: [a_row(one.name, number) for number in range(each)] for one in COPIED}


def a_row(table: str, number: int) -> dict[str, Any]:
    """A row whose every value says which it is; of every second, what may be missing is."""
    found: dict[str, Any] = {}
    for column in tables.metadata.tables[table].c:
        if column.name == "site_id":
            found[column.name] = SITES[number % 3]
        elif isinstance(column.type, tables.UtcInstant):
            found[column.name] = 1_790_000_000 + number
        else:
            kind = column.type.python_type
            found[column.name] = (
                f"{column.name} {number} ‘é’\n" if kind is str
                else kind.fromordinal(739_000 + number) if hasattr(kind, "fromordinal")
                else kind(number)
            )  # fmt: skip
            if column.nullable and number % 2:
                found[column.name] = None
    return found


def fill(where: Path | str, rows: Rows) -> None:
    """Keeps the rows in a journal, which is made where there is none; instants in seconds."""
    with closing(open_journal(where)) as journal, journal.writing() as writing:
        for table in COPIED:
            if rows.get(table.name):
                writing.connection.execute(insert(table), rows[table.name])


def held_by(where: Path | str) -> Rows:
    """Every row that a copy has as well, in the order of its values."""
    with closing(open_journal(where)) as journal:
        return held(journal)


def held(journal: Journal) -> Rows:
    """The same of an open journal."""
    with journal.reading() as connection:
        found = {one.name: connection.execute(select(one)).mappings().all() for one in COPIED}
    return {name: sorted(map(dict, rows), key=repr) for name, rows in found.items()}


def cells_of(path: Path) -> dict[str, list[tuple[Any, ...]]]:
    """Every cell of a file with the type that SQLite keeps it in, past the product."""
    found = {}
    with closing(sqlite3.connect(path)) as connection:
        connection.text_factory = bytes
        for name in NAMES:
            columns = [one.name for one in tables.metadata.tables[name].c]
            cells = ", ".join(f'"{one}", typeof("{one}")' for one in columns)
            asked = f"SELECT {cells} FROM {name}"  # noqa: S608 - names of our own
            found[name] = sorted(connection.execute(asked), key=repr)
    return found
