"""The baseline of the journal: claim and settle in as few bare statements as do the same."""

import sqlite3
from collections.abc import Callable
from datetime import datetime
from pathlib import Path
from typing import Any

import psycopg

from scheduler.alerts.outcome import LEASE
from scheduler.journal.on_sqlite import PRAGMAS

_DUE = (
    "SELECT id, site_id, channel, attempts + 1 FROM delivery WHERE site_id = 'bench' "
    "AND state = 'pending' AND channel = 'mail' AND next_at <= {0} AND useful_until > {0} "
    "ORDER BY urgency DESC, due_at, id LIMIT {0}"
)
_CLAIM = (
    "UPDATE delivery SET state = 'sending', attempts = attempts + 1, lease_until = {0} "
    "WHERE id = {0} AND state = 'pending'"
)
_BEGUN = (
    "INSERT INTO attempt (delivery_id, site_id, channel, number, began_at) "
    "VALUES ({0}, {0}, {0}, {0}, {0})"
)
_ENDED = (
    "UPDATE attempt SET ended_at = {0}, outcome = 'sent' WHERE delivery_id = {0} AND number = {0}"
)
_SETTLE = (
    "UPDATE delivery SET state = 'sent', lease_until = NULL "
    "WHERE id = {0} AND attempts = {0} AND state = 'sending'"
)


def on_sqlite(path: Path, at: datetime, most: int) -> int:
    """Claims and settles whatever is due, `most` in one transaction each; how many."""
    connection = sqlite3.connect(path, isolation_level=None)
    for name, value in PRAGMAS.items():
        connection.execute(f"PRAGMA {name} = {value}")

    def transaction(work: Callable[[], None]) -> None:
        connection.execute("BEGIN IMMEDIATE")
        work()
        connection.execute("COMMIT")

    try:
        return _all_due("?", _DUE, connection, transaction, int(at.timestamp()), most)
    finally:
        connection.close()


def on_postgresql(url: str, at: datetime, most: int) -> int:
    """As on SQLite, with what another host has locked passed over."""
    with psycopg.connect(url) as connection, connection.cursor() as cursor:

        def transaction(work: Callable[[], None]) -> None:
            work()
            connection.commit()

        due = f"{_DUE} FOR UPDATE SKIP LOCKED"
        return _all_due("%s", due, cursor, transaction, int(at.timestamp()), most)


def _all_due(  # noqa: PLR0913, PLR0917 - two engines in parts
    mark: str,
    due: str,
    cursor: Any,
    transaction: Callable[[Callable[[], None]], None],
    at: int,
    most: int,
) -> int:
    asked, claim, begun, ended, settle = (
        one.format(mark) for one in (due, _CLAIM, _BEGUN, _ENDED, _SETTLE)
    )
    lease, settled = at + int(LEASE.total_seconds()), 0
    taken: list[Any] = []

    def claims() -> None:
        taken[:] = cursor.execute(asked, (at, at, most)).fetchall()
        if taken:
            cursor.executemany(claim, [(lease, row[0]) for row in taken])
            cursor.executemany(begun, [(*row, at) for row in taken])

    def settles() -> None:
        cursor.executemany(ended, [(at, row[0], row[3]) for row in taken])
        cursor.executemany(settle, [(row[0], row[3]) for row in taken])

    while True:
        transaction(claims)
        if not taken:
            return settled
        transaction(settles)
        settled += len(taken)
