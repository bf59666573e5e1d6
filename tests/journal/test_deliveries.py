"""Deliveries in a real journal: claimed once, settled once, and told from each other for ever."""

import json
import subprocess
import sys
from collections.abc import Iterator
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from threading import Barrier

import pytest
from sqlalchemy import select, update

from scheduler.alerts.delivery import (
    AS_IT_STANDS,
    Delivery,
    Key,
    Matter,
    Message,
    Outcome,
    OutcomeKind,
    State,
)
from scheduler.alerts.outcome import LEASE, Next
from scheduler.alerts.step import decode
from scheduler.journal import claims, deliveries, outcomes, tables
from scheduler.journal.claims import Claimed
from scheduler.journal.outcomes import CameOf
from scheduler.journal.store import Journal, Writing
from scheduler.watch.worded import Worded
from tests.alerts.orchard import HAZEL, TEXT, WINTER, evenings
from tests.journal.claimer import NOW, claim_all
from tests.unhurried import unhurried

ROOT = Path(__file__).parents[2]
SECOND = timedelta(seconds=1)
DAY = timedelta(days=1)
RINGS_AT = datetime(2026, 12, 21, 16, 38, tzinfo=UTC)
NOBODY: frozenset[int] = frozenset()
MATTER = Matter(
    words=Message(
        title="Lock up now: Walnut 🐔",
        body="Two lines\nof how.",
        stem="Lock up Walnut",
        priority=4,
        link="https://example.org/",
    ),
    of_coop="walnut",
    unheard=True,
    not_by="mail",
)
KEY = Key(
    site_id="orchard", subject_id="walnut", day=WINTER, step=decode("now"), opening=0,
    person_id="ana", channel="push",
)  # fmt: skip


def delivery(step: str = "now", **changes: object) -> Delivery:
    values: dict[str, object] = {
        "key": replace(KEY, step=decode(step)),
        "priority": 4,
        "matter": MATTER,
        "rings_at": RINGS_AT,
        "due_at": NOW - 2 * SECOND,
        "useful_until": NOW + DAY,
    }
    return Delivery(**(values | changes))  # type: ignore[arg-type] # a test's keyword arguments


@pytest.fixture
def writing(journal: Journal) -> Iterator[Writing]:
    """One write transaction for the whole test."""
    with journal.writing() as begun:
        yield begun


def states(writing: Writing) -> dict[str, State]:
    rows = deliveries.rows_since(writing.connection, "orchard", date.min)
    return {str(row.key.step): row.state for row in rows}


def claim(writing: Writing, now: datetime = NOW, most: int = 25) -> list[Claimed]:
    return claims.claim(writing.connection, "orchard", "push", now, most)


def claimed(writing: Writing) -> Claimed:
    deliveries.add(writing.connection, [delivery()])
    (one,) = claim(writing)
    return one


def settle(
    writing: Writing, one: Claimed, kind: OutcomeKind, follows: Next, now: datetime = NOW
) -> bool:
    outcome = Outcome(kind=kind, reason="why")
    came = CameOf(one, outcome, follows, now)
    return outcomes.settle(writing.connection, [came]) == {one.row_id}


def attempts(writing: Writing) -> list[tuple[int, str | None]]:
    table = tables.attempt
    rows = writing.connection.execute(select(table.c.number, table.c.outcome)).all()
    return [(row.number, row.outcome) for row in rows]


AGAIN = Next(state="pending", at=NOW + 15 * SECOND)


# Written down


def test_a_delivery_comes_back_as_it_was_written(writing: Writing) -> None:
    one = claimed(writing)
    assert (one.key, one.matter, one.operation) == (KEY, MATTER, "send")
    assert (one.priority, one.rings_at, one.second) == (4, RINGS_AT, False)
    assert (one.attempt, one.maybe_before) == (1, False)
    assert (one.due_at, one.useful_until) == (NOW - 2 * SECOND, NOW + DAY)
    assert (one.began_at, one.lease_until) == (NOW, NOW + LEASE)
    assert one.due_at.tzinfo is UTC
    assert one.rings_at is not None
    assert one.rings_at.tzinfo is UTC
    (row,) = deliveries.rows_since(writing.connection, "orchard", WINTER)
    assert (row.key, row.matter, row.state, row.attempts) == (KEY, MATTER, "sending", 1)
    assert (row.priority, row.rings_at) == (4, RINGS_AT)


def test_written_twice_the_first_stays(writing: Writing) -> None:
    other = Matter(of_coop="hazel")
    deliveries.add(writing.connection, [delivery(), delivery(matter=other, state="missed")])
    deliveries.add(writing.connection, [delivery(matter=other)])
    assert [one.matter for one in claim(writing)] == [MATTER]


@pytest.mark.parametrize(
    "other",
    [
        replace(KEY, site_id="hill"),
        replace(KEY, subject_id="hazel"),
        replace(KEY, day=WINTER + DAY),
        replace(KEY, step=decode("again")),
        replace(KEY, opening=1),
        replace(KEY, person_id="ben"),
        replace(KEY, channel="mail"),
        replace(KEY, address="https://push.example.org/ana-s-tablet"),
    ],
)
def test_each_part_of_a_key_makes_another_delivery(writing: Writing, other: Key) -> None:
    deliveries.add(writing.connection, [delivery(), delivery(key=other)])
    table = tables.delivery
    assert len(writing.connection.execute(select(table.c.id)).all()) == 2
    assert KEY.message_id != other.message_id
    assert len(KEY.message_id) == len(other.thread_id) == 32
    in_one_thread = ("step", "opening", "channel", "address")
    same_thread = any(getattr(other, part) != getattr(KEY, part) for part in in_one_thread)
    assert (KEY.thread_id == other.thread_id) == same_thread


def test_the_snapshot_of_an_evening_comes_back_equal_and_the_first_stays(
    writing: Writing,
) -> None:
    (evening,) = evenings(TEXT + HAZEL)
    later = replace(evening, crew=())
    deliveries.open_evening(writing.connection, evening)
    deliveries.open_evening(writing.connection, later)
    assert deliveries.evenings(writing.connection, "orchard", WINTER) == (evening,)
    (kept,) = deliveries.evenings(writing.connection, "orchard", WINTER)
    instants = [kept.let_out, *(step.at for step in kept.steps), kept.doors[0].lock_up]
    assert all(instant.tzinfo is UTC for instant in instants)
    assert deliveries.evenings(writing.connection, "orchard", WINTER + DAY) == ()
    assert deliveries.evenings(writing.connection, "hill", WINTER) == ()


def test_the_snapshot_of_a_program_that_knew_no_cloud_is_read(writing: Writing) -> None:
    (evening,) = evenings(TEXT)
    deliveries.open_evening(writing.connection, replace(evening, dark_minutes_early=12))
    assert deliveries.evenings(writing.connection, "orchard", WINTER)[0].dark_minutes_early == 12
    table = tables.evening
    kept = json.loads(writing.connection.execute(select(table.c.snapshot)).scalar_one())
    del kept["dark_minutes_early"]
    writing.connection.execute(update(table).values(snapshot=json.dumps(kept)))
    assert deliveries.evenings(writing.connection, "orchard", WINTER) == (evening,)


def test_the_journal_keeps_no_words_of_an_evening_no_link_and_no_answer(
    writing: Writing,
) -> None:
    deliveries.add(writing.connection, [delivery(matter=AS_IT_STANDS)])
    said = Worded(say=lambda: Message("Lock up now", "", link="/evening/key"), mark="shut 1")

    def pick(one: Claimed) -> Claimed:
        return replace(one, say=said.say, mark=said.mark, generation=3)

    claims.claim(writing.connection, "orchard", "push", NOW, 1, pick)
    (row,) = deliveries.rows_since(writing.connection, "orchard", WINTER)
    assert (row.mark, row.generation) == ("shut 1", 3)
    [kept] = writing.connection.execute(select(tables.delivery)).all()
    assert (kept.message, kept.matter) == ("", None)
    assert "Lock up" not in str(kept)


def test_what_an_older_program_writes_beside_this_one_is_read(writing: Writing) -> None:
    deliveries.add(writing.connection, [delivery(matter=AS_IT_STANDS, rings_at=None)])
    of_site = replace(KEY, subject_id="orchard", step=decode("brief"))
    deliveries.add(writing.connection, [delivery(key=of_site, matter=AS_IT_STANDS, rings_at=None)])
    words = {"title": "Today: no jobs", "body": "b", "stem": "Today", "priority": 3}
    older = json.dumps(words | {"buttons": [], "link": "", "rings_at": "2026-12-21T16:38:00Z"})
    writing.connection.execute(update(tables.delivery).values(message=older))
    rows = deliveries.rows_since(writing.connection, "orchard", WINTER)
    assert {row.rings_at for row in rows} == {RINGS_AT}
    matters = {row.key.subject_id: row.matter for row in rows}
    assert matters["walnut"] == AS_IT_STANDS, "it is worded anew, as the doors stand"
    assert matters["orchard"].words == Message(title="Today: no jobs", body="b", stem="Today")


def test_what_cannot_be_read_is_told_all_the_same(writing: Writing) -> None:
    deliveries.add(writing.connection, [delivery()])
    writing.connection.execute(update(tables.delivery).values(matter="{"))
    assert [one.matter for one in claim(writing)] == [AS_IT_STANDS]


# Claimed


def test_what_is_due_is_claimed_the_loudest_first(writing: Writing) -> None:
    deliveries.add(
        writing.connection,
        [
            delivery("quiet", priority=2, due_at=NOW - 60 * SECOND),
            delivery("later"),
            delivery("sooner", due_at=NOW - 3 * SECOND),
            delivery("not yet", due_at=NOW + SECOND),
            delivery("over", useful_until=NOW),
            delivery("missed", state="missed"),
            delivery("by mail", key=replace(KEY, channel="mail")),
        ],
    )
    assert [str(one.key.step) for one in claim(writing, most=2)] == ["sooner", "later"]
    assert [str(one.key.step) for one in claim(writing)] == ["quiet"]
    assert claim(writing) == []


def two_hundred(journal: Journal) -> None:
    with journal.writing() as writing:
        deliveries.add(writing.connection, [delivery(f"step-{n}") for n in range(200)])


def test_four_threads_share_two_hundred_deliveries(journal: Journal) -> None:
    two_hundred(journal)
    together = Barrier(4)

    def claiming(_: int) -> list[int]:
        together.wait(10)
        return claim_all(journal)

    with ThreadPoolExecutor(4) as pool:
        rows = [row for got in pool.map(claiming, range(4)) for row in got]
    assert sorted(rows) == list(range(1, 201))


@unhurried
def test_two_processes_share_two_hundred_deliveries(journal: Journal, made: Path | str) -> None:
    # P10 of FAULTS.md.
    two_hundred(journal)
    command = [sys.executable, "-m", "tests.journal.claimer", str(made)]
    started = [
        subprocess.Popen(
            command, cwd=ROOT, stdin=subprocess.PIPE, stdout=subprocess.PIPE, text=True
        )
        for _ in range(2)
    ]
    for process in started:
        assert process.stdout
        assert process.stdout.readline() == "ready\n"
    for process in started:
        assert process.stdin
        process.stdin.write("go\n")
        process.stdin.flush()
    got = [process.communicate(timeout=60)[0].split() for process in started]
    assert [process.returncode for process in started] == [0, 0]
    assert sorted(int(row) for rows in got for row in rows) == list(range(1, 201))


def test_a_claim_that_was_not_begun_is_as_if_it_had_never_been_made(writing: Writing) -> None:
    one = claimed(writing)
    claims.give_back(writing.connection, [one])
    assert attempts(writing) == []
    assert claim(writing) == [one]


def test_given_back_after_it_was_dropped_it_is_dropped(writing: Writing) -> None:
    one = claimed(writing)
    deliveries.drop(writing.connection, [KEY])
    assert not claims.is_wanted(writing.connection, one)
    claims.give_back(writing.connection, [one])
    assert states(writing) == {"now": "dropped"}


def test_given_back_after_an_unknown_attempt_it_may_still_have_arrived(writing: Writing) -> None:
    settle(writing, claimed(writing), "unknown", AGAIN)
    (second,) = claim(writing, NOW + 20 * SECOND)
    assert (second.attempt, second.maybe_before) == (2, True)
    deliveries.drop(writing.connection, [KEY])
    claims.give_back(writing.connection, [second])
    assert states(writing) == {"now": "perhaps sent"}


def test_what_is_being_sent_waits_again_only_once_its_lease_is_over(writing: Writing) -> None:
    # Read when the journal can be written no more: what is on its way elsewhere is not sent twice.
    deliveries.add(writing.connection, [delivery("now"), delivery("again-1", due_at=NOW + DAY)])

    def waiting(now: datetime, in_flight: frozenset[int] = NOBODY) -> dict[str, datetime]:
        found = deliveries.waiting(writing.connection, "orchard", now, in_flight)
        return {str(one.key.step): one.due_at for one in found}

    later = {"again-1": NOW + DAY}
    assert waiting(NOW) == {"now": NOW - 2 * SECOND, **later}
    (one,) = claim(writing)
    over = one.lease_until
    assert waiting(over - SECOND) == later
    assert waiting(over) == {"now": over, **later}
    assert waiting(over, frozenset({one.row_id})) == later


def test_an_old_claim_gives_nothing_back(writing: Writing) -> None:
    one = claimed(writing)
    claims.rescue(writing.connection, "orchard", one.lease_until, NOBODY)
    (second,) = claim(writing, one.lease_until)
    claims.give_back(writing.connection, [one])
    assert states(writing) == {"now": "sending"}
    assert claims.is_wanted(writing.connection, second)
    assert not claims.is_wanted(writing.connection, one)


# Dropped


def test_what_waits_is_dropped_and_what_is_on_its_way_perhaps_sent(writing: Writing) -> None:
    one = claimed(writing)
    deliveries.add(writing.connection, [delivery("again"), delivery("next")])
    deliveries.drop(writing.connection, [KEY, replace(KEY, step=decode("again"))])
    assert states(writing) == {"now": "perhaps sent", "again": "dropped", "next": "pending"}
    assert not claims.is_wanted(writing.connection, one)


def test_dropped_on_its_way_it_is_still_known_to_have_arrived(writing: Writing) -> None:
    one = claimed(writing)
    deliveries.drop(writing.connection, [KEY])
    assert settle(writing, one, "sent", Next(state="sent"))
    assert states(writing) == {"now": "sent"}


@pytest.mark.parametrize("kind", ["transient", "unknown"])
def test_dropped_on_its_way_it_is_not_tried_again(writing: Writing, kind: OutcomeKind) -> None:
    one = claimed(writing)
    deliveries.drop(writing.connection, [KEY])
    assert not settle(writing, one, kind, AGAIN)
    assert states(writing) == {"now": "perhaps sent"}
    assert claim(writing, NOW + DAY - SECOND) == []


def test_dropping_what_is_done_changes_nothing(writing: Writing) -> None:
    settle(writing, claimed(writing), "sent", Next(state="sent"))
    deliveries.add(writing.connection, [delivery("again", state="missed")])
    deliveries.drop(writing.connection, [KEY, replace(KEY, step=decode("again"))])
    assert states(writing) == {"now": "sent", "again": "missed"}


# Settled


def test_a_sent_one_is_done(writing: Writing) -> None:
    assert settle(writing, claimed(writing), "sent", Next(state="sent"))
    assert states(writing) == {"now": "sent"}
    assert attempts(writing) == [(1, "sent")]
    assert deliveries.next_due(writing.connection, "orchard") is None


def test_a_failed_one_waits_for_its_next_attempt(writing: Writing) -> None:
    assert settle(writing, claimed(writing), "transient", AGAIN)
    assert claim(writing, NOW + 14 * SECOND) == []
    assert deliveries.next_due(writing.connection, "orchard") == NOW + 15 * SECOND
    (second,) = claim(writing, NOW + 15 * SECOND)
    assert (second.attempt, second.maybe_before) == (2, False)
    assert attempts(writing) == [(1, "transient"), (2, None)]


def test_once_unknown_it_stays_known_that_it_may_have_arrived(writing: Writing) -> None:
    settle(writing, claimed(writing), "unknown", AGAIN)
    (second,) = claim(writing, NOW + 15 * SECOND)
    later = Next(state="pending", at=NOW + 60 * SECOND)
    settle(writing, second, "transient", later)
    (third,) = claim(writing, NOW + 60 * SECOND)
    assert (second.maybe_before, third.maybe_before) == (True, True)


def test_settling_twice_the_second_knows_nothing_better(writing: Writing) -> None:
    one = claimed(writing)
    assert settle(writing, one, "sent", Next(state="sent"))
    assert not settle(writing, one, "transient", AGAIN)
    assert states(writing) == {"now": "sent"}


def test_an_outcome_after_the_lease_is_another_attempt_s_no_more(writing: Writing) -> None:
    one = claimed(writing)
    claims.rescue(writing.connection, "orchard", one.lease_until, NOBODY)
    (second,) = claim(writing, one.lease_until)
    assert not settle(writing, one, "transient", AGAIN)
    assert states(writing) == {"now": "sending"}
    assert settle(writing, second, "sent", Next(state="sent"))
    assert attempts(writing) == [(1, "transient"), (2, "sent")]


def test_in_a_new_journal_the_same_row_is_another_delivery(writing: Writing) -> None:
    one = claimed(writing)
    stranger = replace(one, key=replace(KEY, step=decode("again")))
    assert not settle(writing, stranger, "sent", Next(state="sent"))
    assert states(writing) == {"now": "sending"}
    assert attempts(writing) == [(1, None)]


# Rescued, expired


def test_what_a_dead_process_was_sending_is_tried_again(writing: Writing) -> None:
    one = claimed(writing)
    assert deliveries.next_due(writing.connection, "orchard") == one.lease_until
    before = one.lease_until - SECOND
    assert claims.rescue(writing.connection, "orchard", before, NOBODY) == 0
    mine = frozenset({one.row_id})
    assert claims.rescue(writing.connection, "orchard", one.lease_until, mine) == 0
    assert claims.rescue(writing.connection, "orchard", one.lease_until, NOBODY) == 1
    (second,) = claim(writing, one.lease_until)
    assert (second.attempt, second.maybe_before, second.matter) == (2, True, MATTER)


def test_a_lease_that_lies_further_ahead_than_any_can_is_none(writing: Writing) -> None:
    due_at = claimed(writing).due_at
    before = NOW - timedelta(hours=9)  # the clock that gave it ran ahead
    assert claims.rescue(writing.connection, "orchard", before, NOBODY) == 1
    assert deliveries.next_due(writing.connection, "orchard") == due_at, "sent before it was due"


def test_a_lease_by_a_clock_that_was_set_forward_while_this_process_waited_is_good(
    writing: Writing,
) -> None:
    claimed(writing)
    before = NOW - timedelta(hours=4)  # what was read before it waited for the other process
    assert claims.rescue(writing.connection, "orchard", before, NOBODY, NOW) == 0


def test_what_is_of_no_use_any_more_ends(writing: Writing) -> None:
    settle(writing, claimed(writing), "unknown", AGAIN)
    deliveries.add(writing.connection, [delivery("refused")])
    settle(writing, claim(writing)[0], "transient", AGAIN)
    deliveries.add(writing.connection, [delivery("sent")])
    settle(writing, claim(writing)[0], "sent", Next(state="sent"))
    deliveries.add(writing.connection, [delivery("under way")])
    claim(writing)
    deliveries.add(writing.connection, [delivery("never tried")])
    waiting = {
        "now": "pending", "refused": "pending", "sent": "sent", "under way": "sending",
        "never tried": "pending",
    }  # fmt: skip
    deliveries.expire(writing.connection, "orchard", NOW + DAY - SECOND)
    assert states(writing) == waiting
    deliveries.expire(writing.connection, "orchard", NOW + DAY)
    assert states(writing) == waiting | {
        "now": "perhaps sent", "refused": "dead", "never tried": "missed",
    }  # fmt: skip


# Sent from memory


@pytest.mark.parametrize(("kind", "state"), [("sent", "sent"), ("unknown", "perhaps sent")])
def test_what_was_sent_from_memory_is_written_down_later(
    writing: Writing, kind: OutcomeKind, state: State
) -> None:
    claims.add_tried(writing.connection, delivery(), Outcome(kind=kind), NOW)
    assert states(writing) == {"now": state}
    assert attempts(writing) == [(1, kind)]
    assert claim(writing) == []
    deliveries.add(writing.connection, [delivery()])
    assert states(writing) == {"now": state}


def test_sent_from_memory_ends_what_waited_and_leaves_what_was_sent(writing: Writing) -> None:
    settle(writing, claimed(writing), "transient", AGAIN)
    claims.add_tried(writing.connection, delivery(), Outcome(kind="sent"), NOW)
    claims.add_tried(writing.connection, delivery(), Outcome(kind="unknown"), NOW)
    assert states(writing) == {"now": "sent"}
    assert attempts(writing) == [(1, "transient"), (2, "sent")]


# Forgotten


def test_old_evenings_are_forgotten_and_newer_ones_kept(writing: Writing) -> None:
    (evening,) = evenings()
    old = replace(KEY, day=WINTER - DAY)
    deliveries.open_evening(writing.connection, evening)
    deliveries.open_evening(writing.connection, replace(evening, day=WINTER - DAY))
    deliveries.add(writing.connection, [delivery(), delivery(key=old)])
    claim(writing)
    deliveries.prune(writing.connection, WINTER, "orchard", ["ana"])
    rows = deliveries.rows_since(writing.connection, "orchard", date.min)
    assert [row.key for row in rows] == [KEY]
    assert len(attempts(writing)) == 1
    assert deliveries.evenings(writing.connection, "orchard", date.min) == (evening,)


def test_a_site_knows_only_its_own(writing: Writing) -> None:
    deliveries.add(writing.connection, [delivery(key=replace(KEY, site_id="hill"))])
    assert claim(writing) == []
    assert states(writing) == {}
    assert deliveries.next_due(writing.connection, "orchard") is None
    deliveries.expire(writing.connection, "orchard", NOW + 2 * DAY)
    hill = claims.claim(writing.connection, "hill", "push", NOW, 5)
    assert [one.attempt for one in hill] == [1]
    assert claims.rescue(writing.connection, "orchard", NOW + DAY, NOBODY) == 0
