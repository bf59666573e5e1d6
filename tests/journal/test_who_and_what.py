"""Jobs that were done, sign-in links, sessions and renewals, in a real journal."""

from collections.abc import Iterator
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Connection, event

from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal import access, done
from scheduler.journal.access import Invitation, Renewal, SignedIn
from scheduler.journal.store import Writing, open_journal

NOW = datetime(2026, 12, 21, 16, 30, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)
SITE = "orchard"
WATER = TaskKey("water", "walnut", date(2026, 12, 21))


@pytest.fixture
def writing(tmp_path: Path) -> Iterator[Writing]:
    """One write transaction for the whole test."""
    journal = open_journal(tmp_path / "journal.sqlite3")
    with journal.writing() as begun:
        yield begun
    journal.close()


def test_who_did_a_job_first_stays_until_it_is_taken_back(writing: Writing) -> None:
    connection = writing.connection
    ana, kim = Done(who="Ana", at=NOW), Done(who="Kim", at=NOW + MINUTE)
    other = TaskKey("water", "walnut", date(2026, 12, 21), 2)
    done.mark(connection, SITE, [WATER], ana, NOW)
    done.mark(connection, SITE, [WATER, other], kim, NOW + MINUTE)
    assert done.since(connection, SITE, WATER.day) == {WATER: ana, other: kim}
    assert done.since(connection, SITE, WATER.day + DAY) == {}
    assert done.since(connection, "elsewhere", WATER.day) == {}
    done.take_back(connection, SITE, [WATER], "Kim", NOW + MINUTE)
    done.take_back(connection, SITE, [WATER], "Ana", NOW + 2 * MINUTE)
    assert done.since(connection, SITE, WATER.day) == {other: kim}
    assert done.page(connection, SITE, None)[0] == (WATER, ana, kim)
    done.mark(connection, SITE, [WATER], kim, NOW)
    assert done.since(connection, SITE, WATER.day)[WATER].who == "Kim"
    done.take_back(connection, SITE, [WATER], "Ana", NOW + 3 * MINUTE)
    done.mark(connection, SITE, [WATER], ana, NOW)
    told = [(by.who, undone.who if undone else "") for _, by, undone in _page(connection)]
    assert told == [("Kim", "Ana"), ("Ana", "Kim"), ("Ana", ""), ("Kim", "")], "a trace is gone"


def _page(connection: Connection) -> list[tuple[TaskKey, Done, Done | None]]:
    return done.page(connection, SITE, None)


def test_pages_hold_everything_once_and_in_order(writing: Writing) -> None:
    connection, by = writing.connection, Done(who="Ana", at=NOW)
    keys = [
        TaskKey(care, "walnut", date(2026, 1, 1) + number * DAY, 1 + number % 2)
        for number in range(300)
        for care in ("nests", "water", "a|b", "Ω")
    ]
    done.mark(connection, SITE, keys, by, NOW)
    found: list[TaskKey] = []
    sizes = []
    while page := done.page(connection, SITE, found[-1] if found else None):
        sizes.append(len(page))
        found += [key for key, *_ in page]
    assert sizes == [500, 500, 200]
    assert sorted(found) == sorted(keys)
    assert [key.day for key in found] == sorted(key.day for key in keys)


def test_a_page_is_read_without_sorting_everything(writing: Writing) -> None:
    asked: list[str] = []
    event.listen(writing.connection, "before_cursor_execute", lambda *given: asked.append(given[2]))
    done.page(writing.connection, SITE, WATER)
    cursor = writing.connection.connection.cursor()
    given = (SITE, *(WATER.day.isoformat(), "water", "walnut", 1), 500, 0)
    plan = cursor.execute(f"EXPLAIN QUERY PLAN {asked[0]}", given[: asked[0].count("?")]).fetchall()
    told = " ".join(row[3] for row in plan)
    assert "ix_done_order" in told
    assert "TEMP B-TREE" not in told


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
