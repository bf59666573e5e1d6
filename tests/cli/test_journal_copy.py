"""`duskfold journal copy` as an administrator uses it: what it says, and how it ends."""

import json
import os
import pty
import subprocess
import sys
from contextlib import closing
from pathlib import Path

import pytest
from typer.testing import CliRunner, Result

from scheduler.cli.app import app
from scheduler.journal import on_postgresql
from scheduler.journal.copied_tables import COPIED
from scheduler.journal.store import open_journal
from scheduler.machine.clock import SystemClock
from scheduler.machine.paths import JOURNAL_NAME
from scheduler.service.health import tick_rows
from scheduler.service.health.tick_file import Pulse, write_pulse
from tests.journal.filled import fill, held_by, some
from tests.sinks.postgres import PASSWORD, Postgres

SERVER = pytest.mark.postgresql
ROWS = 7 * len(COPIED)


@pytest.fixture
def data(tmp_path: Path) -> Path:
    """A data folder with rows in every table of its journal."""
    folder = tmp_path / "data"
    folder.mkdir()
    fill(folder / JOURNAL_NAME, some())
    return folder


def copy(*arguments: str | Path) -> Result:
    """The command in this process; whatever comes of it, no traceback."""
    result = CliRunner().invoke(app, ["journal", "copy", *map(str, arguments)])
    assert isinstance(result.exception, SystemExit | None), result.exception
    assert PASSWORD not in result.output
    return result


def beating() -> Pulse:
    """The tick of reminders that run."""
    now = SystemClock().read()
    return Pulse(
        wall=now.wall.isoformat(), boot_s=now.boot_s, complete_boot_s=now.boot_s, trust="trusted",
        profile_number=1,
    )  # fmt: skip


@SERVER
def test_a_data_folder_goes_to_a_server_and_back(
    data: Path, tmp_path: Path, postgres: Postgres
) -> None:
    server, back = postgres.url(postgres.new_database()), tmp_path / "back"
    back.mkdir()
    there = copy(data, server)
    assert there.exit_code == 0, there.output
    assert f": {ROWS} rows." in there.stdout
    assert "Both sides were read again in full, and they are equal" in there.stdout
    assert "set DUSKFOLD_JOURNAL to its address" in there.stdout
    for one in COPIED:
        assert one.name in there.stdout
    address = tmp_path / "address"
    address.write_text(f"{server}\n")
    again = json.loads(copy(address, back, "--json").stdout)
    assert again["to"] == str(back / JOURNAL_NAME)
    assert again["rows"] == ROWS
    assert {(one["rows"], one["before"]) for one in again["tables"]} == {(7, 0)}
    for one in again["tables"]:
        assert one["digest"][:16] in there.stdout
    assert held_by(back / JOURNAL_NAME) == held_by(data / JOURNAL_NAME)


def test_what_reminders_use_is_copied_only_by_who_means_it(data: Path, tmp_path: Path) -> None:
    write_pulse(data, beating())
    asked = copy(data, tmp_path / "copy.sqlite3")
    assert asked.exit_code == 2
    assert "Reminders that use" in asked.stderr
    assert "run it again with --yes" in asked.stderr
    assert not (tmp_path / "copy.sqlite3").exists()
    sure = copy(data, tmp_path / "copy.sqlite3", "--yes")
    assert sure.exit_code == 0
    assert "name it journal.sqlite3 and put it in a data folder" in sure.stdout


@SERVER
def test_a_server_is_asked_whether_hosts_use_it(tmp_path: Path, postgres: Postgres) -> None:
    server = postgres.url(postgres.new_database())
    with closing(open_journal(server)) as journal:
        tick_rows.write(journal, "orchard", "a host", beating())
    asked = copy(server, tmp_path / "copy.sqlite3")
    assert asked.exit_code == 2
    assert "Reminders that use PostgreSQL database" in asked.stderr
    assert copy(server, tmp_path / "copy.sqlite3", "--yes").exit_code == 0


@pytest.mark.parametrize(
    ("named", "why"),
    [
        ("", "found nothing; accepted: a data folder"),
        ("postgres://duskfold@server/one", "Did you mean postgresql:// ?"),
        ("http://server/one", "found something else; accepted: a data folder"),
        ("nowhere/at-all", "nowhere/at-all: no such file"),
    ],
)
def test_what_names_no_journal_is_said_in_a_sentence(data: Path, named: str, why: str) -> None:
    result = copy(named, data)
    assert result.exit_code == 2
    assert why in result.stderr


def test_both_names_are_judged_at_once(tmp_path: Path) -> None:
    result = copy("mysql://one", "")
    assert result.exit_code == 2
    assert [line.split(": found")[0] for line in result.stderr.splitlines()] == [
        "duskfold journal copy: FROM",
        "duskfold journal copy: TO",
    ]
    assert not [*tmp_path.iterdir()]


def test_a_folder_that_is_not_there_is_a_fault(data: Path, tmp_path: Path) -> None:
    result = copy(data, tmp_path / "no" / "copy.sqlite3")
    assert result.exit_code == 1
    assert "unable to open database file" in result.stderr


def test_from_and_to_alike_are_refused(data: Path) -> None:
    result = copy(data, data / JOURNAL_NAME)
    assert result.exit_code == 2
    assert "From and to are the same journal" in result.stderr


@SERVER
def test_what_a_server_says_is_told_with_what_to_do(data: Path, postgres: Postgres) -> None:
    database, new = postgres.new_database(), data / "new.sqlite3"
    for address, why, status in (
        (postgres.url(database, "coop", "wrong"), "Check the user name and password", 2),
        (postgres.url("nowhere"), "Make it first: see deploy/postgresql.md", 1),
        ("postgresql://coop@127.0.0.1:1/one", "Is the server running?", 1),
        ("postgresql://coop@127.0.0.1:many/one", "The journal's address cannot be read", 2),
    ):
        for result in (copy(data, address), copy(address, new)):
            assert why in result.stderr, address
            assert result.exit_code == status, address
        assert not new.exists(), address


@SERVER
def test_whom_a_server_gives_no_rights_is_told_whose_it_must_be(
    data: Path, postgres: Postgres
) -> None:
    database = postgres.new_database()
    postgres.sql("DROP ROLE IF EXISTS guest; CREATE ROLE guest LOGIN PASSWORD 'of a guest'")
    result = copy(data, postgres.url(database, "guest", "of a guest"))
    assert "Its user must own the database" in result.stderr
    assert result.exit_code == 2
    assert copy(data, postgres.url(database)).exit_code == 0
    read = copy(postgres.url(database, "guest", "of a guest"), data / "new.sqlite3")
    assert "Its user must own the database" in read.stderr
    assert read.exit_code == 2
    assert not (data / "new.sqlite3").exists()


def test_without_the_package_it_says_how_to_install_it(
    data: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(on_postgresql, "find_spec", lambda _: None)
    result = copy(data, "postgresql://coop@server/one")
    assert result.exit_code == 2
    assert "pip install 'duskfold[postgresql]'" in result.stderr


def test_who_sits_at_a_terminal_sees_how_far_it_is(data: Path, tmp_path: Path) -> None:
    ours, theirs = pty.openpty()
    arguments = ["journal", "copy", str(data), str(tmp_path / "copy.sqlite3")]
    done = subprocess.run(
        [sys.executable, "-m", "scheduler", *arguments],
        stdout=subprocess.PIPE, stderr=theirs, text=True, check=True, timeout=60,
    )  # fmt: skip
    os.close(theirs)
    seen = os.read(ours, 100_000).decode()
    os.close(ours)
    assert f"\rcopied: 100 % of {ROWS} rows" in seen
    assert seen.endswith("\r\x1b[K")
    assert "%" not in done.stdout
