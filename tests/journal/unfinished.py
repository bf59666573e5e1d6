"""Copies that were broken off, and what nobody can do with them."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing, contextmanager
from pathlib import Path
from typing import Any

import pytest
from sqlalchemy import Engine, event
from sqlalchemy.pool import Pool

from scheduler.journal import copy_whole, tables
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import open_journal

Place = Path | str


class BrokenOff(Exception):  # noqa: N818 - it is thrown into the copy, as a power cut would be
    pass


@contextmanager
def broken_off_at(number: int) -> Iterator[list[str]]:
    """Ends whatever speaks to an engine in that many statements or commits; which there were."""
    seen: list[str] = []
    opened: list[Any] = []

    def connected(connection: Any, _record: Any) -> None:
        opened.append(connection)

    def count(what: str) -> None:
        seen.append(what)
        if len(seen) == number:
            raise BrokenOff

    def executed(_connection: Any, _cursor: Any, statement: str, *_rest: Any) -> None:
        count(statement)

    def committed(_connection: Any) -> None:
        count("COMMIT")

    event.listen(Engine, "before_cursor_execute", executed)
    event.listen(Engine, "commit", committed)
    event.listen(Pool, "connect", connected)
    try:
        yield seen
    finally:
        event.remove(Engine, "before_cursor_execute", executed)
        event.remove(Engine, "commit", committed)
        event.remove(Pool, "connect", connected)
        for one in opened:  # SQLAlchemy lets go of one that ends while it is being made ready
            one.close()


def unusable(target: Place) -> None:
    """Nobody opens it, a program of before neither."""
    with pytest.raises(JournalFault, match="was not finished: run the same command again") as told:
        open_journal(target)
    assert told.value.is_refused
    if isinstance(target, Path):
        with closing(sqlite3.connect(target)) as connection:
            [(least,)] = connection.execute("SELECT min_reader FROM schema").fetchall()
        assert least > tables.VERSION + 1000


def broken_off(source: Place, target: Place, at: int = 150) -> None:
    """Leaves an unfinished copy."""
    with broken_off_at(at), pytest.raises(BrokenOff):
        copy_whole.copy_whole(source, target)
    unusable(target)


def copied(source: Place, target: Place) -> dict[str, tuple[int, int]]:
    """Copies it; of each table, how many rows there are and how many were there before."""
    found = copy_whole.copy_whole(source, target)
    return {one.table: (one.rows, one.before) for one in found}
