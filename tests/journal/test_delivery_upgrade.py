"""A journal whose deliveries had no address in their key: nothing is lost, nothing comes twice."""

import sqlite3
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import get_args

import pytest
from sqlalchemy import Connection

from scheduler.alerts import evening_so_far
from scheduler.alerts.delivery import Delivery, Key, Operation, Outcome, State
from scheduler.alerts.outcome import Next
from scheduler.alerts.step import decode
from scheduler.journal import claims, deliveries, outcomes, schema
from scheduler.journal.outcomes import CameOf
from scheduler.journal.store import Journal, open_journal
from tests.journal.older import as_left_by

NOON = datetime(2026, 12, 21, 12, tzinfo=UTC)


@pytest.mark.parametrize(
    ("step", "message_id", "second", "thread"),
    [
        ("now", "4a1409833bae33f4b7d82a53a06312ac", "684376df2a0f0b943ae563df945deb92",
         "3fd3ddafe2a0d18d9322b50b2c2a7d1e"),
        ("everybody-2-for-ben", "a8ee46802213308d4eef148cba537591",
         "bd12fd1ae2e06929a5604a762c4172ef", "3fd3ddafe2a0d18d9322b50b2c2a7d1e"),
        ("hold-3", "f869b702852b42156b3d06c6a41e6169", "5bf2ad217f993f0d4094170ee3723235",
         "3fd3ddafe2a0d18d9322b50b2c2a7d1e"),
    ],
)  # fmt: skip
def test_the_ids_on_the_wire_are_those_of_the_version_before(
    step: str, message_id: str, second: str, thread: str
) -> None:
    key = Key(
        site_id="orchard", subject_id="walnut", day=NOON.date(), step=decode(step), opening=1,
        person_id="ana", channel="push",
    )  # fmt: skip
    assert (key.message_id, key.id_of_second, key.thread_id) == (message_id, second, thread)
    to_the_tablet = replace(key, address="https://push.example.org/ana-s-tablet")
    assert to_the_tablet.message_id not in {message_id, second}
    assert to_the_tablet.thread_id == thread


def rows_of_every_kind(journal: Journal) -> None:
    """Deliveries in every state and operation, with what was tried of them."""
    key = Key(
        site_id="orchard", subject_id="walnut", day=NOON.date(), step=decode("now"), opening=0,
        person_id="ana", channel="push",
    )  # fmt: skip
    states: tuple[State, ...] = get_args(State)
    steps = [*(f"everybody-{number}-for-ben" for number in range(len(states)))]
    found = [
        Delivery(
            key=replace(key, step=decode(step)), due_at=NOON,
            useful_until=NOON + timedelta(days=1), state=state,
        )
        for step, state in zip(steps, states, strict=True)
    ]  # fmt: skip
    operations: tuple[Operation, ...] = ("hold", "cancel")
    found += [
        Delivery(
            key=replace(key, step=decode(f"hold-{number}")), operation=operation,
            due_at=NOON, useful_until=NOON + timedelta(days=1),
            address=f"https://push.example.org/topic-{number}",
        )
        for number, operation in enumerate(operations, start=1)
    ]  # fmt: skip
    with journal.writing() as writing:
        deliveries.add(writing.connection, found)
        for one in claims.claim(writing.connection, "orchard", "push", NOON, 2):
            outcome = Outcome(kind="sent", reason="250")
            came = CameOf(one, outcome, Next(state="sent"), NOON)
            outcomes.settle(writing.connection, [came])


def kept(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every row of the deliveries and of what was tried of them, by the columns of schema 7."""
    with closing(sqlite3.connect(path)) as connection:
        of_delivery = "id, site_id, subject_id, day, step, opening, person_id, channel, operation, "
        of_delivery += "message, urgency, due_at, useful_until, state, attempts, maybe, next_at, "
        of_delivery += "lease_until, address"
        return {
            table: connection.execute(f"SELECT {columns} FROM {table} ORDER BY 1, 3").fetchall()  # noqa: S608 - names of our own
            for table, columns in (("delivery", of_delivery), ("attempt", "*"))
        }


def test_deliveries_of_a_journal_that_knew_no_address_of_a_key_stay_as_they_were(
    tmp_path: Path,
) -> None:
    path = tmp_path / "journal.sqlite3"
    newer = open_journal(path)
    rows_of_every_kind(newer)
    with newer.reading() as connection:
        known = deliveries.rows_since(connection, "orchard", date.min)
    newer.close()
    as_left_by(path, "0007")
    before = kept(path)
    journal = open_journal(path)
    assert kept(path) == before
    assert len(before["delivery"]) == len(known) == len(get_args(State)) + 2
    with journal.writing() as writing:
        assert deliveries.rows_since(writing.connection, "orchard", date.min) == known
        # The same once more is known, to another address it is not.
        deliveries.add(writing.connection, [as_new(one) for one in known])
        assert len(deliveries.rows_since(writing.connection, "orchard", date.min)) == len(known)
        elsewhere = as_new(replace(known[0], key=replace(known[0].key, address="tablet")))
        deliveries.add(writing.connection, [elsewhere])
        assert len(deliveries.rows_since(writing.connection, "orchard", date.min)) == len(known) + 1
    journal.close()
    # What an older program adds is known as well.
    with closing(sqlite3.connect(path)) as connection:
        columns = [one[1] for one in connection.execute("PRAGMA table_info(delivery)")]
        of_old = ", ".join(one for one in columns if one not in {"id", "key_address"})
        again = f"SELECT {of_old} FROM delivery LIMIT 1"  # noqa: S608 - names of our own
        add = f"INSERT OR IGNORE INTO delivery ({of_old}) {again}"
        assert connection.execute(add).rowcount == 0


def as_new(row: evening_so_far.Row) -> Delivery:
    return Delivery(
        key=row.key, operation=row.operation, due_at=NOON,
        useful_until=NOON + timedelta(days=1),
    )  # fmt: skip


def test_an_update_of_the_tables_that_breaks_off_leaves_the_journal_as_it_was(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "journal.sqlite3"
    newer = open_journal(path)
    rows_of_every_kind(newer)
    newer.close()
    as_left_by(path, "0007")
    before = kept(path)
    migrate = schema._migrate  # noqa: SLF001 - breaks off where nothing else can

    def breaks_off(connection: Connection) -> None:
        migrate(connection)
        raise KeyboardInterrupt

    monkeypatch.setattr(schema, "_migrate", breaks_off)
    with pytest.raises(KeyboardInterrupt):
        open_journal(path)
    monkeypatch.undo()
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT version FROM schema").fetchone() == (7,)
        columns = {one[1] for one in connection.execute("PRAGMA table_info(delivery)")}
    assert "key_address" not in columns
    assert kept(path) == before
    open_journal(path).close()
    assert kept(path) == before
