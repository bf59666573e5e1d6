"""The journal on a real SQLite file: settings, transactions, migrations, refusals."""

import sqlite3
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta, timezone
from pathlib import Path

import pytest
from alembic.autogenerate import compare_metadata
from alembic.migration import MigrationContext
from sqlalchemy import Connection, create_engine, insert, inspect, select
from sqlalchemy.exc import StatementError

from scheduler.cares.records import Report, Spell
from scheduler.feeds.event import FeedEvent
from scheduler.feeds.revision import Revision
from scheduler.journal import closings, memos, revisions, schema, tables
from scheduler.journal.fault import JournalFault
from scheduler.journal.on_sqlite import PRAGMAS
from scheduler.journal.store import open_journal
from scheduler.profile.prepare import id_of
from scheduler.service.diary import Speaker
from scheduler.service.reports.report import again
from tests.journal.before import reports as reports_before
from tests.journal.older import as_left_by

AT = datetime(2026, 11, 25, 9, 30, tzinfo=UTC)


def revision(uid: str = "lockup-a-2026-12-21@s", **changes: object) -> Revision:
    event = FeedEvent(
        part="lockup",
        uid=uid,
        day=date(2026, 12, 21),
        start=datetime(2026, 12, 21, 16, 18, tzinfo=UTC),
        end=datetime(2026, 12, 21, 16, 33, tzinfo=UTC),
        title="Lock up · 12 hens · 16:18 🐔",
        description="Two lines\nof why.",
        rings=True,
    )
    values: dict[str, object] = {
        "event": event, "sequence": 7, "changed_at": AT
    }  # fmt: skip
    return Revision(**(values | changes))  # type: ignore[arg-type] # a test's keyword arguments


def whole_day(uid: str) -> Revision:
    event = FeedEvent(
        part="seasons", uid=uid, day=date(2027, 3, 27), start=date(2027, 3, 27),
        end=date(2027, 3, 28), title="Clocks", description="",
    )  # fmt: skip
    return Revision(event=event, sequence=1, changed_at=AT, cancelled_on=date(2026, 12, 1))


def test_revisions_come_back_as_they_were_saved(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    saved = [revision(), whole_day("clock-s-2027-03-27@s")]
    with journal.writing() as writing:
        revisions.save(writing.connection, "s", saved)
    assert journal.revisions("s") == {one.event.uid: one for one in saved}
    assert journal.revisions("another") == {}
    journal.close()


def test_saving_again_replaces_and_pruning_forgets(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    many = [revision(f"lockup-a-{n}@s") for n in range(1200)]
    with journal.writing() as writing:
        revisions.save(writing.connection, "s", many)
        revisions.save(writing.connection, "s", [revision("lockup-a-7@s", sequence=8)])
    assert journal.revisions("s")["lockup-a-7@s"].sequence == 8
    with journal.writing() as writing:
        revisions.prune(writing.connection, date(2026, 12, 21))
    assert len(journal.revisions("s")) == 1200
    with journal.writing() as writing:
        revisions.prune(writing.connection, date(2026, 12, 22))
    assert journal.revisions("s") == {}
    journal.close()


def test_settings_hold_on_every_pooled_connection(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    connections = [journal.engine.connect() for _ in range(4)]
    for connection in connections:
        for name, value in PRAGMAS.items():
            assert connection.exec_driver_sql(f"PRAGMA {name}").scalar_one() == value
    for connection in connections:
        connection.close()
    journal.close()


def test_migrations_build_exactly_the_tables_in_use(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    migrated = create_engine(f"sqlite:///{tmp_path / 'migrated.sqlite3'}")
    with journal.engine.connect() as made, migrated.begin() as connection:
        schema._migrate(connection)  # noqa: SLF001 - a new journal never is
        context = MigrationContext.configure(connection)
        assert compare_metadata(context, tables.metadata) == []
        assert shape_of(made) == shape_of(connection)
        for table in (tables.schema, tables.alembic_version):
            row = connection.execute(select(table)).one()
            assert made.execute(select(table)).one() == row
    journal.close()
    migrated.dispose()


def shape_of(connection: Connection) -> dict[str, object]:
    """Every table's columns, keys and indexes, as SQLite knows them; the order is of no account."""
    seen = inspect(connection)
    return {
        name: (
            sorted(
                (one["name"], str(one["type"]), one["nullable"], one["default"])
                for one in seen.get_columns(name)
            ),
            seen.get_pk_constraint(name)["constrained_columns"],
            sorted(map(str, seen.get_indexes(name))),
            sorted(str(one["column_names"]) for one in seen.get_unique_constraints(name)),
            seen.get_foreign_keys(name),
        )
        for name in seen.get_table_names()
    }


def test_opening_again_changes_nothing(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    open_journal(path).close()
    before = path.read_bytes()
    open_journal(path).close()
    assert path.read_bytes() == before


def test_a_journal_of_a_newer_program_is_refused_untouched(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    open_journal(path).close()
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE schema SET version = 99, min_reader = 98")
    connection.close()
    before = path.read_bytes()
    with pytest.raises(JournalFault, match=r"newer Duskfold .*left untouched"):
        open_journal(path)
    assert path.read_bytes() == before


def test_a_newer_journal_that_we_may_still_read_is_opened(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    open_journal(path).close()
    with sqlite3.connect(path) as connection:
        connection.execute("UPDATE schema SET version = 99")
    connection.close()
    journal = open_journal(path)
    assert journal.revisions("s") == {}
    journal.close()


def test_a_file_that_is_no_database_is_a_fault_that_names_it(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    path.write_bytes(b"this is not a database, whatever its name says" * 100)
    with pytest.raises(JournalFault, match=r"journal\.sqlite3.*not a database"):
        open_journal(path)


@pytest.mark.parametrize(
    "at",
    [datetime(2026, 11, 25, 9, 30), AT.astimezone(timezone(timedelta(hours=1)))],  # noqa: DTZ001 - refused
)
def test_naive_and_zoned_instants_are_refused(tmp_path: Path, at: datetime) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    row = {
        "site_id": "s", "uid": "u", "part": "jobs", "day": date(2026, 1, 1), "start": "", "end": "",
        "title": "", "description": "", "rings": 0, "sequence": 0, "changed_at": at,
    }  # fmt: skip
    with (
        pytest.raises(StatementError, match="not an aware UTC instant"),
        journal.engine.begin() as connection,
    ):
        connection.execute(insert(tables.revision), row)
    journal.close()


def test_a_transaction_inside_another_is_refused_before_a_writer_can_come_between(
    tmp_path: Path,
) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    for outer in (journal.reading, journal.writing):
        with outer(), pytest.raises(RuntimeError, match="inside another"):
            journal.reports("orchard")
    assert journal.reports("orchard") == {}
    journal.close()


def test_a_journal_that_is_only_being_made_is_called_so(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    path.touch()
    with pytest.raises(JournalFault, match="only just being made"):
        open_journal(path, migrate=False)


def test_reports_of_a_journal_that_knew_no_birds_stay_as_they_were(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    old = open_journal(path)
    order = Report(kind="order", spell=Spell(first=date(2026, 12, 1)), who="all keepers")
    now = datetime(2026, 12, 21, 12, tzinfo=UTC)
    ana = Speaker(who="Ana", now=now, today=now.date())
    with old.writing() as writing:
        number = reports_before.add(writing.connection, "s", order, now)
        ended = replace(order, spell=Spell(first=date(2026, 12, 1), last=date(2026, 12, 20)))
        said = reports_before.Change(
            number=number, kind="ended", day=date(2026, 12, 20), who="Ana", at=now
        )
        reports_before.say(writing.connection, "s", said, ended)
        before = reports_before.in_force(writing.connection, "s")
    old.close()
    as_left_by(path, "0006")
    journal = open_journal(path)
    assert journal.reports("s") == before
    assert again(journal, "s", number, ana) == order
    journal.close()


def test_a_journal_without_pages_keeps_what_was_said_when_they_come(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    open_journal(path).close()
    as_left_by(path, "0003")
    with sqlite3.connect(path) as connection:
        connection.execute(
            "INSERT INTO closing VALUES ('s', 1, 'closed', 'walnut', '2026-12-21', 1797870000, "
            "'Ana', 12, 11, 1, 1797870000)"
        )
    connection.close()
    with pytest.raises(JournalFault, match=r"older Duskfold.*duskfold watch"):
        open_journal(path, migrate=False)  # as the pages do
    journal = open_journal(path)
    with journal.reading() as connection_now:
        context = MigrationContext.configure(connection_now)
        assert compare_metadata(context, tables.metadata) == []
        [said] = closings.closings(connection_now, "s")
    assert (said.kind, said.count, said.who) == ("closed", 11, "Ana")
    journal.close()


def test_what_was_called_by_its_position_is_called_by_its_name_and_loses_nothing(
    tmp_path: Path,
) -> None:
    path = tmp_path / "journal.sqlite3"
    open_journal(path).close()
    text = (
        '[site]\nname = "果园"\n[[coop]]\nname = "鸡舍"\n[[coop]]\nname = "Walnut"\n'
        '[[coop]]\nid = "coop-3"\nname = "谷仓"\n'
        '[[person]]\nname = "安娜"\n[[care]]\nname = "磨铲"\n'
        '[[flock]]\nname = "母鸡"\n[[flock]]\nname = "母鸡"\n'
    )
    as_left_by(path, "0005")
    with sqlite3.connect(path) as connection:
        connection.execute("INSERT INTO accepted_profile VALUES ('site-1', 1, ?, 1)", (text,))
        for number, coop in enumerate(("coop-1", "walnut", "coop-3"), start=1):
            connection.execute(
                "INSERT INTO closing (site_id, number, kind, coop_id, evening, at, who, flock, "
                "some_missing, made_at) VALUES "
                "('site-1', ?, 'closed', ?, '2026-12-21', 1, '安娜', 12, 1, 1)",
                (number, coop),
            )
        connection.execute("INSERT INTO renewal VALUES ('site-1', 'person-1', 1, 1)")
        connection.execute(
            "INSERT INTO evening VALUES ('site-1', 'coop-1', '2026-12-21', ?)",
            ('{"doors": [{"coop_id": "coop-1"}], "crew": ["person-1"]}',),
        )
        connection.execute(
            "INSERT INTO done (site_id, care_id, subject_id, day, ordinal, who, at, made_at) "
            "VALUES ('site-1', 'care-1', 'coop-1', '2026-12-21', 0, 'A', 1, 1), "
            "('site-1', 'stroll', 'flock-2', '2026-12-21', 0, 'A', 1, 1)"
        )
        connection.execute(
            "INSERT INTO session (site_id, id_hash, person_id, device, made_at, until, "
            "invited_by) VALUES ('site-1', 'h', 'kim', 'phone', 1, 2, 'robin person-1')"
        )
        connection.execute(
            "INSERT INTO memo VALUES ('site-1', 'people', 'kim person-1 robin'), "
            "('site-1', 'own-jobs', '{\"care-1\": \"2026-11-01\"}')"
        )
    connection.close()
    journal = open_journal(path)
    with journal.reading() as reading:
        formerly = memos.former_ids(reading, "site-1")
    journal.close()
    [(person, old)] = formerly.items()
    assert (person, old) == (id_of("person", "安娜"), "person-1")
    house = id_of("coop", "鸡舍")
    with sqlite3.connect(path) as connection:
        read = connection.execute("SELECT coop_id FROM closing ORDER BY number").fetchall()
        assert read == [(house,), ("walnut",), ("coop-3",)]
        assert connection.execute("SELECT person_id FROM renewal").fetchall() == [(person,)]
        assert connection.execute("SELECT subject_id, snapshot FROM evening").fetchall() == [
            (house, f'{{"doors": [{{"coop_id": "{house}"}}], "crew": ["{person}"]}}')
        ]
        done = connection.execute("SELECT care_id, subject_id FROM done").fetchall()
        # Of two flocks with one name nobody knows which is meant.
        assert done == [(id_of("care", "磨铲"), house), ("stroll", "flock-2")]
        notes = dict(connection.execute("SELECT name, value FROM memo"))
        assert notes["people"] == f"kim {person} robin"
        assert notes["own-jobs"] == f'{{"{id_of("care", "磨铲")}": "2026-11-01"}}'
        through = connection.execute("SELECT invited_by FROM session").fetchall()
        assert through == [(f"robin {person}",)]
    connection.close()
