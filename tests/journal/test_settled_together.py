"""Many claimed, and many settled together: each as it would be alone, for the price of one."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace

import pytest
from sqlalchemy import event, select

from scheduler.alerts.delivery import Outcome
from scheduler.alerts.outcome import Next
from scheduler.journal import claims, deliveries, outcomes, tables
from scheduler.journal.claims import Claimed
from scheduler.journal.outcomes import CameOf
from scheduler.journal.store import Journal, Writing
from tests.journal.claimer import NOW
from tests.journal.test_deliveries import AGAIN, KEY, NOBODY, SECOND, claim, delivery, states

SENT = Next(state="sent")
ODD = "535 5.7.8 ‚nö‘\n\"quoted\" \\ {'$[0]'}"


@pytest.fixture
def writing(journal: Journal) -> Iterator[Writing]:
    """One write transaction for the whole test."""
    with journal.writing() as begun:
        yield begun


@contextmanager
def statements(journal: Journal) -> Iterator[list[str]]:
    """What is asked of the engine meanwhile."""
    asked: list[str] = []

    def note(*given: object) -> None:
        asked.append(str(given[2]))

    event.listen(journal.engine, "before_cursor_execute", note)
    yield asked
    event.remove(journal.engine, "before_cursor_execute", note)


def add(writing: Writing, count: int, prefix: str = "step") -> None:
    deliveries.add(writing.connection, [delivery(f"{prefix}-{n}") for n in range(count)])


def came(one: Claimed, outcome: Outcome, follows: Next) -> CameOf:
    return CameOf(one, outcome, follows, NOW + SECOND)


def test_twenty_five_ask_as_much_of_the_engine_as_one(journal: Journal) -> None:
    asked = []
    for count in (1, 25):
        with journal.writing() as writing:
            add(writing, count, f"of-{count}")
        with statements(journal) as found:
            with journal.writing(beside=True) as writing:
                taken = claim(writing)
            with journal.writing(beside=True) as writing:
                outcomes.copies(writing.connection, taken)
                settled = [came(one, Outcome(kind="sent"), SENT) for one in taken]
                assert len(outcomes.settle(writing.connection, settled)) == count
        asked.append(len(found))
    assert asked[0] == asked[1]


def test_each_of_many_is_written_down_as_it_came(writing: Writing) -> None:
    add(writing, 6)
    sent, later, dropped, given_up, stale, stranger = claim(writing)
    deliveries.drop(writing.connection, [dropped.key])
    known = tables.delivery.c
    taken_over = tables.delivery.update().where(known.id == stale.row_id)
    writing.connection.execute(taken_over.values(attempts=stale.attempt + 1))
    elsewhere = replace(stranger, key=KEY)
    transient = Outcome(kind="transient", reason="421")
    odd = Outcome(kind="unknown", reason=f"{ODD}\0")
    mine = outcomes.settle(
        writing.connection,
        [
            came(elsewhere, Outcome(kind="sent"), SENT),
            came(stale, transient, AGAIN),
            came(given_up, odd, Next(state="dead")),
            came(dropped, Outcome(kind="sent"), SENT),
            came(later, transient, AGAIN),
            came(sent, Outcome(kind="sent", reason="250"), SENT),
        ],
    )
    assert mine == {one.row_id for one in (sent, later, dropped, given_up)}
    assert states(writing) == {
        "step-0": "sent", "step-1": "pending", "step-2": "sent",
        "step-3": "dead", "step-4": "sending", "step-5": "sending",
    }  # fmt: skip
    tried = tables.attempt.c
    found = select(tried.outcome, tried.reason, tried.ended_at).order_by(tried.delivery_id)
    at = NOW + SECOND
    assert [tuple(row) for row in writing.connection.execute(found).all()] == [
        ("sent", "250", at), ("transient", "421", at), ("sent", "", at),
        ("unknown", f"{ODD}�", at), ("transient", "421", at), (None, None, None),
    ]  # fmt: skip
    waits = select(known.id, known.next_at, known.maybe, known.lease_until)
    rows = {row.id: row for row in writing.connection.execute(waits).all()}
    assert rows[later.row_id].next_at == AGAIN.at
    assert rows[sent.row_id].next_at == sent.due_at
    assert [rows[one.row_id].maybe for one in (sent, later, given_up)] == [0, 0, 1]
    assert [rows[one.row_id].lease_until is None for one in (later, given_up, stranger)] == [
        True, True, False,
    ]  # fmt: skip


def test_the_copies_of_each_are_counted_before_this_attempt(writing: Writing) -> None:
    add(writing, 3)
    for kinds in (("unknown", "transient", "unknown"), ("unknown", "transient", "transient")):
        tried = claim(writing, NOW + 20 * SECOND)
        settled = [
            came(one, Outcome(kind=kind), AGAIN)  # type: ignore[arg-type] # one of its words
            for one, kind in zip(tried, kinds, strict=True)
        ]
        outcomes.settle(writing.connection, settled)
    first, second, third = claim(writing, NOW + 20 * SECOND)
    before = outcomes.copies(writing.connection, [first, second, third])
    assert [before[one.row_id] for one in (first, second, third)] == [2, 0, 1]


def test_each_goes_where_it_was_picked_for_in_the_order_of_claiming(writing: Writing) -> None:
    add(writing, 60)
    looked_at: list[int] = []

    def pick(one: Claimed) -> Claimed | None:
        looked_at.append(one.row_id)
        if one.row_id <= 40:  # its server has enough
            return None
        return replace(one, address=None if one.row_id == 42 else f"to {one.row_id}")

    taken = claims.claim(writing.connection, "orchard", "push", NOW, 5, pick)
    assert [one.row_id for one in taken] == [41, 42, 43, 44, 45]
    assert looked_at == list(range(1, 46))
    kept = deliveries.rows_since(writing.connection, "orchard", KEY.day)
    goes = {str(row.key.step): row.address for row in kept if row.state == "sending"}
    assert goes == {
        "step-40": "to 41", "step-41": None, "step-42": "to 43",
        "step-43": "to 44", "step-44": "to 45",
    }  # fmt: skip
    assert claims.rescue(writing.connection, "orchard", taken[0].lease_until, NOBODY) == 5
