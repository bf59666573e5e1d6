"""A whole journal moves between a file and a server, and loses nothing on its way."""

import signal
import subprocess
import sys
from contextlib import closing, suppress
from datetime import UTC, date, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import hypothesis.strategies as st
import pytest
from hypothesis import HealthCheck, given, settings
from sqlalchemy import delete, insert, select, update

from scheduler.cares.catalogue import Catalogue
from scheduler.journal import copy_whole, tables
from scheduler.journal.copied_tables import COPIED
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import open_journal
from scheduler.profile.values import Profile
from scheduler.service import diary_export
from scheduler.service.household.open_profile import Household
from tests.journal.conftest import SERVER
from tests.journal.filled import SITES, Rows, a_row, cells_of, everything, fill, held_by, some
from tests.journal.older import as_left_by
from tests.journal.test_into_the_diary import MEMORY, ROOT, full
from tests.journal.unfinished import (
    BrokenOff,
    Place,
    broken_off,
    broken_off_at,
    copied,
    unusable,
)
from tests.sinks.postgres import Postgres
from tests.unhurried import unhurried

pytestmark = pytest.mark.usefixtures("_small_batches")


@unhurried
def test_every_row_of_every_site_is_on_the_other_side(source: Place, target: Place) -> None:
    assert copied(source, target) == {one.name: (7, 0) for one in COPIED}
    assert held_by(target) == held_by(source)


def test_what_is_copied_is_everything_but_what_each_place_has_of_its_own() -> None:
    rest = {*tables.metadata.tables} - {one.name for one in COPIED}
    assert rest == {"schema", "change", "process", "cache_settled", "cache_calendar"}


@SERVER
@unhurried
def test_a_diary_full_of_everything_comes_back_from_a_server_as_it_went(
    tmp_path: Path, postgres: Postgres, small: Profile, catalogue: Catalogue
) -> None:
    first, back = tmp_path / "first.sqlite3", tmp_path / "back.sqlite3"
    open_journal(first).close()
    as_left_by(first, "0009")
    full(first)
    fill(first, {name: rows for name, rows in some().items() if name not in OLD})
    server = postgres.url(postgres.new_database())

    def exported(where: Place) -> list[dict[str, object]]:
        with closing(open_journal(where)) as journal:
            household = Household(profile=small, catalogue=catalogue)
            pages = diary_export.pages(journal, household)
            return [diary_export.as_object(one) for page in pages for one in page]

    known = exported(first)
    assert len({one["kind"] for one in known}) >= 12
    copied(first, server)
    copied(server, back)
    assert exported(server) == known
    assert exported(back) == known
    assert cells_of(back) == cells_of(first)


OLD = {"closing", "done", "report", "report_change", "entry"}


@unhurried
@SERVER
@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(rows=everything)
def test_whatever_is_kept_comes_back_as_it_was(postgres: Postgres, rows: Rows) -> None:
    with TemporaryDirectory(dir=MEMORY) as folder:
        first, back = Path(folder, "first.sqlite3"), Path(folder, "back.sqlite3")
        server = postgres.url(postgres.new_database())
        fill(first, rows)
        there = copy_whole.copy_whole(first, server)
        again = copy_whole.copy_whole(server, back)
        assert [one.digest for one in there] == [one.digest for one in again]
        assert {one.table: one.rows for one in there} == {n: len(r) for n, r in rows.items()}
        assert cells_of(back) == cells_of(first)


@unhurried
@given(after=st.lists(st.integers(30, 470), min_size=1, max_size=3))
def test_wherever_it_is_broken_off_the_same_command_goes_on_and_ends_the_same(
    after: list[int],
) -> None:
    with TemporaryDirectory(dir=MEMORY) as folder:
        source, target = Path(folder, "journal.sqlite3"), Path(folder, "copy.sqlite3")
        fill(source, some())
        known = source.read_bytes()
        for number in after:
            with broken_off_at(number) as seen, suppress(BrokenOff):
                copy_whole.copy_whole(source, target)
            if len(seen) < number:  # it was finished before
                break
            if target.stat().st_size:
                unusable(target)
        else:
            assert copied(source, target).keys() == {one.name for one in COPIED}
        assert held_by(target) == held_by(source)
        assert source.read_bytes() == known


KILLED = """
import os, sys
from pathlib import Path
from sqlalchemy import Engine, event
from scheduler.journal import copy_whole
copy_whole.ROWS, seen = 3, []
@event.listens_for(Engine, "after_cursor_execute")
def count(connection, cursor, statement, *rest):
    seen.extend([1] if statement.startswith("INSERT") else [])
    if len(seen) == int(sys.argv[1]):
        os.kill(os.getpid(), 9)
copy_whole.copy_whole(*(one if "://" in one else Path(one) for one in sys.argv[2:]))
"""


@unhurried
def test_a_copy_that_is_killed_goes_on_where_it_was(source: Place, target: Place) -> None:
    known = held_by(source)
    for at in (12, 30):
        ran = subprocess.run(
            [sys.executable, "-c", KILLED, str(at), str(source), str(target)],
            cwd=ROOT, check=False, timeout=60,
        )  # fmt: skip
        assert ran.returncode == -signal.SIGKILL, at
        unusable(target)
    found = copied(source, target)
    assert {rows for rows, _ in found.values()} == {7}
    assert {before for _, before in found.values()} >= {0, 7}, "nothing was there from before"
    assert held_by(target) == held_by(source) == known


@unhurried
def test_what_the_source_became_since_is_what_the_copy_is(source: Place, target: Place) -> None:
    broken_off(source, target)
    with closing(open_journal(source)) as journal, journal.writing() as writing:
        revision, entry, memo = tables.revision, tables.entry, tables.memo
        changed = update(entry).where(entry.c.number == 2).values(who="other")
        writing.connection.execute(changed)
        writing.connection.execute(delete(revision).where(revision.c.sequence == 6))
        writing.connection.execute(insert(memo), {"site_id": "", "name": "new", "value": ""})
    copied(source, target)
    assert held_by(target) == held_by(source)


@unhurried
def test_what_lies_in_a_cache_is_not_copied_and_stays_in_no_empty_journal(
    source: Place, target: Place
) -> None:
    row = {"site_id": SITES[0], "family": "door", "before": date(2026, 1, 1), "numbers": "[1]"}
    for place in (source, target):
        with closing(open_journal(place)) as journal, journal.writing() as writing:
            writing.connection.execute(insert(tables.cache_settled), row)
    copied(source, target)
    with closing(open_journal(target)) as journal, journal.reading() as connection:
        assert connection.execute(select(tables.cache_settled)).all() == []


def new_delivery() -> dict[str, Any]:
    """A delivery that has no number yet."""
    columns, row = tables.delivery.c, a_row("delivery", 9)
    instants = {one.name for one in columns if isinstance(one.type, tables.UtcInstant)}
    at = datetime(2026, 12, 21, tzinfo=UTC)
    return {n: at if n in instants else value for n, value in row.items() if n != "id"}


def test_numbers_of_deliveries_go_on_after_the_highest(source: Place, target: Place) -> None:
    copied(source, target)
    with closing(open_journal(target)) as journal, journal.writing() as writing:
        writing.connection.execute(insert(tables.delivery), new_delivery())
        numbers = select(tables.delivery.c.id).order_by(tables.delivery.c.id)
        assert writing.connection.execute(numbers).scalars().all() == [*range(8)]


def test_a_journal_that_holds_nothing_is_copied_too(made: Place, target: Place) -> None:
    open_journal(made).close()
    assert {*copied(made, target).values()} == {(0, 0)}
    with closing(open_journal(target)) as journal, journal.writing() as writing:
        writing.connection.execute(insert(tables.delivery), new_delivery())
        assert writing.connection.execute(select(tables.delivery.c.id)).scalars().all() == [1]


@unhurried
def test_it_is_told_how_far_it_is(source: Place, target: Place) -> None:
    told: list[tuple[str, int, int]] = []
    copy_whole.copy_whole(source, target, lambda *step: told.append(step))
    every = 7 * len(COPIED)
    assert told[-1] == ("checked", every, every)
    assert ("copied", every, every) in told
    assert [rows for doing, rows, _ in told if doing == "copied"] == sorted(
        rows for doing, rows, _ in told if doing == "copied"
    )


@unhurried
def test_a_second_copy_at_the_same_time_doubles_nothing(source: Place, target: Place) -> None:
    is_first = True

    def meanwhile(*_: object) -> None:
        nonlocal is_first
        if is_first:
            is_first = False
            copied(source, target)

    with pytest.raises(JournalFault, match="another program has finished this copy"):
        copy_whole.copy_whole(source, target, meanwhile)
    assert held_by(target) == held_by(source)
