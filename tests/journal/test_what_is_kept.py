"""Closings, spent answers, memos, accepted profiles and the look back, in a real journal."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.alerts.delivery import (
    ChannelName,
    Delivery,
    Key,
    Matter,
    Message,
    Operation,
    Outcome,
    OutcomeKind,
)
from scheduler.alerts.outcome import Next
from scheduler.alerts.step import decode
from scheduler.journal import claims, closings, deliveries, history, memos, outcomes
from scheduler.journal.fault import JournalFault
from scheduler.journal.on_sqlite import SqliteFile
from scheduler.journal.outcomes import CameOf
from scheduler.journal.store import Journal, Writing, open_journal
from tests.alerts.orchard import WINTER, evenings, said
from tests.journal.as_said import keep_closings

NOW = datetime(2026, 12, 21, 16, 30, tzinfo=UTC)
SECOND = timedelta(seconds=1)
DAY = timedelta(days=1)
WORDS = Message(title="t", body="b", stem="s")


@pytest.fixture
def writing(journal: Journal) -> Iterator[Writing]:
    """One write transaction for the whole test."""
    with journal.writing() as begun:
        yield begun


def test_closings_come_back_in_the_order_of_saying(writing: Writing) -> None:
    first = [said(count=10, some_missing=True), said("dead", count=1, coop="hazel", flock=6)]
    keep_closings(writing.connection, "orchard", first, NOW)
    keep_closings(writing.connection, "orchard", [], NOW)
    keep_closings(writing.connection, "hill", [said("found")], NOW)
    # Said later of an earlier evening.
    third = said(clock="15:00", day=WINTER - DAY)
    keep_closings(writing.connection, "orchard", [third], NOW)
    kept = closings.closings(writing.connection, "orchard")
    assert kept == (*first, replace(third, made_at=NOW)), (
        "when it was said is kept beside when it was"
    )
    assert kept[0].at.tzinfo is UTC
    assert closings.closings(writing.connection, "hill") == (said("found"),)
    assert closings.closings(writing.connection, "elsewhere") == ()


def test_an_answer_is_spent_once_for_each_site(writing: Writing) -> None:
    spent = [
        closings.spend(writing.connection, site, token, WINTER)
        for site, token in (("a", "x"), ("a", "x"), ("a", "y"), ("b", "x"))
    ]
    assert spent == [True, False, True, True]
    deliveries.prune(writing.connection, WINTER, "orchard", [])
    assert not closings.spend(writing.connection, "a", "x", WINTER)
    deliveries.prune(writing.connection, WINTER + DAY, "orchard", [])
    assert closings.spend(writing.connection, "a", "x", WINTER)


# Memos and profiles


def test_a_memo_is_recalled_replaced_and_forgotten(writing: Writing) -> None:
    connection = writing.connection
    assert memos.recall(connection, "orchard", "last-tick") is None
    memos.note(connection, "orchard", "last-tick", "one")
    memos.note(connection, "orchard", "last-tick", "two")
    memos.note(connection, "hill", "last-tick", "other")
    memos.note(connection, "orchard", "restarted", "yes")
    assert memos.recall(connection, "orchard", "last-tick") == "two"
    memos.forget(connection, "orchard", "last-tick")
    memos.forget(connection, "orchard", "last-tick")
    assert memos.recall(connection, "orchard", "last-tick") is None
    assert memos.recall(connection, "hill", "last-tick") == "other"
    assert memos.recall(connection, "orchard", "restarted") == "yes"


def test_accepted_profiles_are_numbered_and_the_same_text_keeps_its_number(
    writing: Writing,
) -> None:
    connection = writing.connection
    assert memos.last_accepted(connection) is None
    numbers = [memos.accept(connection, "orchard", text, NOW) for text in ("a", "a", "b", "a")]
    assert numbers == [1, 1, 2, 3]
    assert memos.accept(connection, "hill", "c", NOW) == 4
    assert memos.last_accepted(connection) == (4, "c")


def test_of_many_profiles_the_newest_are_kept_and_no_number_is_used_twice(
    writing: Writing,
) -> None:
    connection = writing.connection
    numbers = [memos.accept(connection, "orchard", f"text {n}", NOW) for n in range(50)]
    assert numbers == list(range(1, 51))
    assert memos.last_accepted(connection) == (50, "text 49")
    texts = connection.exec_driver_sql("SELECT text FROM accepted_profile").scalars().all()
    assert len(texts) == 20
    assert [number for number, _, _ in memos.accepted(connection)] == [*range(50, 30, -1)]
    assert memos.accepted(connection)[19] == (31, "text 30", NOW)
    assert memos.last_number(connection) == 50


# The look back


def tried(  # noqa: PLR0913 - one delivery in parts
    writing: Writing,
    step: str,
    kind: OutcomeKind,
    *,
    channel: ChannelName = "push",
    subject: str = "walnut",
    at: datetime = NOW,
    operation: Operation = "send",
    day: date = WINTER,
) -> None:
    key = Key(site_id="orchard", subject_id=subject, day=day, step=decode(step), opening=0,
              person_id="ana", channel=channel)  # fmt: skip
    one = Delivery(key=key, matter=Matter(words=WORDS), due_at=at, useful_until=at + DAY)
    one = replace(one, operation=operation)
    deliveries.add(writing.connection, [one])
    (claimed,) = claims.claim(writing.connection, "orchard", channel, at, 9)
    follows = Next(state="sent" if kind == "sent" else "dead")
    outcome = Outcome(kind=kind, reason=f"why {step}")
    came = CameOf(claimed, outcome, follows, at + SECOND)
    assert outcomes.settle(writing.connection, [came])


def test_what_was_told_of_a_day_and_of_an_evening(writing: Writing) -> None:
    connection = writing.connection
    tried(writing, "brief", "sent", subject="orchard")
    assert history.is_told(connection, "orchard", WINTER, decode("brief"))
    assert not history.is_told(connection, "orchard", WINTER + DAY, decode("brief"))
    assert not history.is_told(connection, "orchard", WINTER, decode("let-out-walnut"))
    assert not history.was_called(connection, "orchard", WINTER)
    tried(writing, "shut", "sent")
    assert not history.was_called(connection, "orchard", WINTER)
    tried(writing, "everybody-2", "sent")
    assert history.was_called(connection, "orchard", WINTER)
    assert not history.is_told(connection, "orchard", WINTER, decode("everybody-2"))


def test_what_may_have_reached_somebody(writing: Writing) -> None:
    connection = writing.connection
    key = Key(site_id="orchard", subject_id="orchard", day=WINTER, step=decode("missed"), opening=0,
              person_id="ana", channel="push")  # fmt: skip
    one = Delivery(key=key, matter=Matter(words=WORDS), due_at=NOW, useful_until=NOW + DAY)
    deliveries.add(connection, [one])
    assert not history.has_arrived(connection, "orchard", WINTER, decode("missed"))
    [taken] = claims.claim(connection, "orchard", "push", NOW, 9)
    assert not history.has_arrived(connection, "orchard", WINTER, decode("missed"))
    outcome = Outcome(kind="unknown")
    came = CameOf(taken, outcome, Next(state="perhaps sent"), NOW)
    outcomes.settle(connection, [came])
    assert history.has_arrived(connection, "orchard", WINTER, decode("missed"))
    assert not history.has_arrived(connection, "orchard", WINTER, decode("brief"))


def test_a13_failures_name_person_and_way(writing: Writing) -> None:
    tried(writing, "long ago", "permanent", at=NOW - 2 * DAY)
    tried(writing, "now", "bad address")
    tried(writing, "again", "permanent")
    tried(writing, "next", "sent")
    tried(writing, "hold-1", "permanent", operation="hold")
    tried(writing, "now", "permanent", channel="mail")
    found = history.failures(writing.connection, "orchard", NOW - DAY)
    assert [(one.person_id, one.channel, one.count) for one in found] == [
        ("ana", "mail", 1), ("ana", "push", 2),
    ]  # fmt: skip
    assert history.failures(writing.connection, "hill", NOW - DAY) == []


def test_each_channel_says_how_it_fared(writing: Writing) -> None:
    assert history.channel_history(writing.connection, "orchard") == []
    tried(writing, "now", "sent")
    tried(writing, "again", "transient", at=NOW + DAY)
    tried(writing, "next", "bad address", at=NOW + 2 * DAY)
    tried(writing, "now", "sent", channel="mail", at=NOW + 3 * DAY)
    tried(writing, "hold-1", "permanent", at=NOW + 4 * DAY, operation="hold")
    mail, push = history.channel_history(writing.connection, "orchard")
    assert (mail.channel, mail.sent_at, mail.failed_at, mail.reason) == (
        "mail", NOW + 3 * DAY + SECOND, None, "",
    )  # fmt: skip
    assert (push.channel, push.sent_at) == ("push", NOW + SECOND)
    assert (push.failed_at, push.reason) == (NOW + 2 * DAY + SECOND, "why next")


def test_that_somebody_is_not_reached_is_kept_until_a_later_try(writing: Writing) -> None:
    connection, later = writing.connection, WINTER + 90 * DAY
    tried(writing, "now", "bad address")
    deliveries.prune(connection, later, "orchard", ["ana"])
    assert history.last_tries(connection, "orchard")["ana", "push", ""].outcome == "bad address"
    tried(writing, "test-1", "sent", subject="orchard", at=NOW + 80 * DAY, day=WINTER + 80 * DAY)
    assert history.last_tries(connection, "orchard")["ana", "push", ""].outcome == "sent"
    deliveries.prune(connection, WINTER + 80 * DAY, "orchard", ["ana"])
    assert [
        str(row.key.step) for row in deliveries.rows_since(connection, "orchard", date.min)
    ] == ["test-1"]


def test_what_had_nowhere_to_go_shows_nothing_of_a_way(writing: Writing) -> None:
    tried(writing, "now", "permanent")
    assert history.last_tries(writing.connection, "orchard") == {}


def test_nothing_is_kept_of_who_is_in_the_profile_no_more(writing: Writing) -> None:
    tried(writing, "now", "bad address")
    deliveries.prune(writing.connection, WINTER + DAY, "orchard", ["kim"])
    assert history.last_tries(writing.connection, "orchard") == {}
    assert deliveries.rows_since(writing.connection, "orchard", date.min) == ()


def test_whether_a_push_server_holds_is_known_once_it_was_asked(writing: Writing) -> None:
    connection = writing.connection
    assert history.holds(connection, "orchard") is None
    tried(writing, "hold-1", "transient", operation="hold")
    assert history.holds(connection, "orchard") is None
    tried(writing, "hold-2", "permanent", operation="hold")
    tried(writing, "now", "sent", at=NOW + SECOND)
    assert history.holds(connection, "orchard") is False
    tried(writing, "hold-3", "sent", operation="hold", at=NOW + DAY)
    assert history.holds(connection, "orchard") is True


def test_evenings_that_were_called(writing: Writing) -> None:
    (evening,) = evenings()
    for ago in (0, 1, 3):
        deliveries.open_evening(writing.connection, replace(evening, day=WINTER - ago * DAY))
    found = history.evenings_called(writing.connection, "orchard", WINTER - 2 * DAY)
    assert found == [WINTER - DAY, WINTER]


def test_a_copy_is_whole_and_put_over_no_other_file(tmp_path: Path) -> None:
    path, journal = tmp_path / "copy.sqlite3", open_journal(tmp_path / "journal.sqlite3")
    with journal.writing() as writing:
        keep_closings(writing.connection, "orchard", [said(count=10)], NOW)
    assert isinstance(journal.kept_in, SqliteFile)
    journal.kept_in.copy(journal.engine, path)
    copy = open_journal(path)
    with copy.reading() as connection:
        assert closings.closings(connection, "orchard") == (said(count=10),)
    copy.close()
    with pytest.raises(JournalFault), journal.faults():
        journal.kept_in.copy(journal.engine, path)
    journal.close()
