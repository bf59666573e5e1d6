"""Jobs that were done, sign-in links, sessions and renewals, in a real journal."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from typing import Any

import pytest
from sqlalchemy import event

from scheduler.cares.diary.entry import Entry
from scheduler.cares.diary.job_entries import OfAJob
from scheduler.cares.diary.of_jobs import task_of
from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal import access, closings, done, entries
from scheduler.journal.access import Invitation, Renewal, SignedIn
from scheduler.journal.entries_by_day import Asked, after
from scheduler.journal.store import Journal, Writing
from scheduler.service.jobs import kept_ticks
from tests.journal.as_said import as_said, keep_ticks, speaks

NOW = datetime(2026, 12, 21, 16, 30, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)
SITE = "orchard"
WATER = TaskKey("water", "walnut", date(2026, 12, 21))


@pytest.fixture
def writing(journal: Journal) -> Iterator[Writing]:
    """One write transaction for the whole test."""
    with journal.writing() as begun:
        yield begun


def test_who_did_a_job_first_stays_until_it_is_taken_back(journal: Journal) -> None:
    ana, kim = Done(who="Ana", at=NOW), Done(who="Kim", at=NOW + MINUTE)
    other = TaskKey("water", "walnut", date(2026, 12, 21), 2)

    def since(first: date, site_id: str = SITE) -> dict[TaskKey, Done]:
        with journal.reading() as connection:
            return done.since(connection, site_id, first)

    kept_ticks.mark(journal, SITE, [WATER], speaks("Ana", NOW))
    kept_ticks.mark(journal, SITE, [WATER, other], speaks("Kim", NOW + MINUTE))
    assert since(WATER.day) == {WATER: ana, other: kim}
    assert since(WATER.day + DAY) == {}
    assert since(WATER.day, "elsewhere") == {}
    assert kept_ticks.take_back(journal, SITE, [WATER], speaks("Kim", NOW + MINUTE))
    assert not kept_ticks.take_back(journal, SITE, [WATER], speaks("Ana", NOW + 2 * MINUTE))
    assert since(WATER.day) == {other: kim}
    kept_ticks.mark(journal, SITE, [WATER], speaks("Kim", NOW))
    assert since(WATER.day)[WATER].who == "Kim"
    assert kept_ticks.take_back(journal, SITE, [WATER], speaks("Ana", NOW + 3 * MINUTE))
    kept_ticks.mark(journal, SITE, [WATER], speaks("Ana", NOW))
    told = [("Ana", "Kim"), ("Kim", ""), ("Kim", "Ana"), ("Ana", "")]
    with journal.reading() as connection:
        trace = [(one.entry.who, one.undone_by) for one in as_said(connection, SITE, "job")]
    assert trace == told, "a trace is gone"


def test_pages_hold_everything_once_and_in_order(writing: Writing) -> None:
    connection, by = writing.connection, Done(who="Ana", at=NOW)
    keys = [
        TaskKey(care, "walnut", date(2026, 1, 1) + number * DAY, 1 + number % 2)
        for number in range(300)
        for care in ("nests", "water", "a|b", "Ω")
    ]
    keep_ticks(connection, SITE, keys, by, NOW)
    keep_ticks(connection, "elsewhere", keys, by, NOW)
    found: list[Entry] = []
    sizes = []
    while page := after(connection, SITE, found[-1].number if found else 0, Asked()):
        sizes.append(len(page))
        found += entries.by_number(connection, SITE, page)
    assert sizes == [500, 500, 200]
    assert [one.number for one in found] == [*range(1, 1201)]
    assert [task_of(one, one.what) for one in found if isinstance(one.what, OfAJob)] == keys


@pytest.mark.parametrize("made", ["sqlite"], indirect=True)
def test_nothing_that_is_asked_often_reads_or_sorts_everything(writing: Writing) -> None:
    asked: list[tuple[str, Any]] = []
    event.listen(
        writing.connection, "before_cursor_execute", lambda *given: asked.append(given[2:4])
    )
    after(writing.connection, SITE, 7, Asked())
    entries.of_family(writing.connection, SITE, "door", WATER.day)
    entries.by_number(writing.connection, SITE, [1, 2])
    closings.turns(writing.connection, SITE, WATER.day)
    done.times_of(writing.connection, SITE, ["water"])
    done.since(writing.connection, SITE, WATER.day)
    keep_ticks(writing.connection, SITE, [WATER], Done(who="Ana", at=NOW), NOW)
    cursor = writing.connection.connection.cursor()
    for query, given in asked:
        if "FROM entry" in query and "max(" not in query:  # which is read off the index
            plan = cursor.execute(f"EXPLAIN QUERY PLAN {query}", given).fetchall()
            told = " ".join(row[3] for row in plan)
            assert "SEARCH entry USING" in told, (query, told)
            assert "(site_id=?)" not in told, (query, told)


def test_a_sign_in_link_is_used_once_and_in_time(writing: Writing) -> None:
    connection = writing.connection
    link = Invitation(secret_hash="a" * 64, person_id="ana", until=NOW + 15 * MINUTE)
    access.invite(connection, SITE, link)
    at_the_end = link.until
    found = access.invited(connection, SITE, link.secret_hash, NOW)
    assert found == link
    assert access.invited(connection, SITE, link.secret_hash, at_the_end) is None
    assert not access.use(connection, SITE, link.secret_hash, at_the_end)
    assert not access.use(connection, "elsewhere", link.secret_hash, NOW)
    assert access.use(connection, SITE, link.secret_hash, NOW)
    assert not access.use(connection, SITE, link.secret_hash, NOW)
    assert access.invited(connection, SITE, link.secret_hash, NOW) is None


def test_sessions_end_by_hand_and_by_time(writing: Writing) -> None:
    connection = writing.connection

    def on(device: str, made_at: datetime) -> SignedIn:
        return SignedIn(
            id_hash=device.ljust(64, "x"),
            person_id="ana",
            device=device,
            made_at=made_at,
            until=made_at + 365 * DAY,
        )

    old, phone = on("computer", NOW), on("phone", NOW + DAY)
    access.sign_in(connection, SITE, old)
    access.sign_in(connection, SITE, phone)
    assert access.sessions(connection, SITE) == (phone, old)
    access.sign_out(connection, "elsewhere", old.id_hash)
    access.sign_out(connection, SITE, phone.id_hash)
    assert access.sessions(connection, SITE) == (old,)
    access.keep_only(connection, SITE, ["ana", "kim"], NOW)
    access.keep_only(connection, "elsewhere", ["kim"], NOW)
    assert access.sessions(connection, SITE) == (old,)
    access.keep_only(connection, SITE, ["kim"], NOW)
    assert access.sessions(connection, SITE) == ()
    access.sign_in(connection, SITE, old)
    later = on("tablet", NOW + 366 * DAY)
    access.sign_in(connection, SITE, later)
    assert access.sessions(connection, SITE) == (later, old), "ended by a clock nobody has asked"
    access.prune(connection, later.made_at)
    assert access.sessions(connection, SITE) == (later,)


def test_renewals_are_counted_for_each_person(writing: Writing) -> None:
    connection = writing.connection
    assert access.renewals(connection, SITE) == ()
    assert [access.renew(connection, SITE, "ana", NOW + n * DAY) for n in range(3)] == [1, 2, 3]
    assert access.renew(connection, SITE, "kim", NOW) == 1
    found = access.renewals(connection, SITE)
    assert found[2] == Renewal(person_id="ana", generation=3, renewed_at=NOW + 2 * DAY)
    assert [one.generation for one in found if one.person_id == "kim"] == [1]
