"""Journals as earlier versions left them."""

import sqlite3
from contextlib import closing
from pathlib import Path

from sqlalchemy import create_engine

from scheduler.journal import schema as schema_of


def as_left_by(path: Path, schema: str) -> None:
    """Turns a journal into what the program of that schema would have left."""
    older = path.with_name(f"{schema}.sqlite3")
    engine = create_engine(f"sqlite:///{older}")
    with engine.begin() as begun:
        schema_of._migrate(begun, schema)  # noqa: SLF001 - nothing else makes an old journal
    engine.dispose()
    with closing(sqlite3.connect(older)) as connection, connection:
        connection.execute("ATTACH ? AS newer", (str(path),))
        for (table,) in connection.execute(
            "SELECT name FROM main.sqlite_master WHERE type = 'table' "
            "AND name NOT IN ('schema', 'alembic_version')"
        ).fetchall():
            columns = ", ".join(
                f'"{one[1]}"' for one in connection.execute(f"PRAGMA main.table_info({table})")
            )
            copy = f"REPLACE INTO main.{table} ({columns}) SELECT {columns} FROM newer.{table}"  # noqa: S608 - names of our own
            connection.execute(copy)
    older.replace(path)
