"""What is copied from nowhere, or over nothing: both sides stay as they were."""

import sqlite3
from contextlib import closing
from pathlib import Path

import pytest
from sqlalchemy import update

from scheduler.journal import copy_whole, tables
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import open_journal
from tests.journal.conftest import SERVER
from tests.journal.filled import a_row, fill, held_by, some
from tests.journal.unfinished import Place, broken_off, copied, unusable
from tests.sinks.postgres import Postgres
from tests.unhurried import unhurried

pytestmark = pytest.mark.usefixtures("_small_batches")


def refused(source: Place, target: Place, why: str) -> None:
    """It says why, and neither side is changed."""
    sides = [one for one in (source, target) if isinstance(one, Path)]
    before = [one.read_bytes() if one.exists() else None for one in sides]
    with pytest.raises(JournalFault, match=why) as told:
        copy_whole.copy_whole(source, target)
    assert told.value.is_refused
    assert "Nothing was changed." in str(told.value)
    assert [one.read_bytes() if one.exists() else None for one in sides] == before


def test_what_is_not_empty_is_copied_over_by_nothing(source: Place, target: Place) -> None:
    fill(target, {"memo": [a_row("memo", 1)]})
    refused(source, target, "is not empty: found a journal with rows in it")
    assert held_by(target)["memo"] == [a_row("memo", 1)]
    copied_to_another = held_by(source)
    refused(target, source, "is not empty")
    assert held_by(source) == copied_to_another


def test_a_finished_copy_is_not_copied_over(source: Place, target: Place) -> None:
    copied(source, target)
    refused(source, target, "is not empty")


@unhurried
def test_only_a_copy_of_the_same_journal_is_gone_on_with(
    source: Place, target: Place, tmp_path: Path
) -> None:
    broken_off(source, target)
    other = tmp_path / "other.sqlite3"
    fill(other, some(2))
    refused(other, target, "a copy of .* that was not finished")
    refused(target, tmp_path / "third.sqlite3", "is itself a copy that was not finished")
    copied(source, target)
    assert held_by(target) == held_by(source)


def test_the_same_place_twice_is_refused(source: Place, tmp_path: Path) -> None:
    if isinstance(source, Path):
        (tmp_path / "link").symlink_to(source)
        refused(source, tmp_path / "link", "the same journal")
        refused(source, tmp_path / ".." / tmp_path.name / source.name, "the same journal")
    else:
        refused(source, source.replace("127.0.0.1", "localhost"), "the same journal")


@pytest.mark.parametrize(
    ("changed", "why"),
    [
        ({"version": tables.VERSION - 1}, "older Duskfold. Start `duskfold watch`"),
        ({"version": tables.VERSION + 1}, "newer Duskfold. Copy it with that version"),
    ],
)
def test_a_journal_of_another_schema_is_refused_on_either_side(
    source: Place, target: Place, tmp_path: Path, changed: dict[str, int], why: str
) -> None:
    with closing(open_journal(source)) as journal, journal.writing() as writing:
        writing.connection.execute(update(tables.schema).values(changed))
    refused(source, target, why)
    small = tmp_path / "small.sqlite3"
    fill(small, some(1))
    refused(small, source, "not empty")


def test_a_place_without_a_journal_is_copied_from_by_nobody(where: Place, tmp_path: Path) -> None:
    why = "holds no journal" if isinstance(where, str) else "no such file"
    refused(where, tmp_path / "copy.sqlite3", why)


def test_what_is_no_journal_is_refused_on_either_side(source: Place, tmp_path: Path) -> None:
    other, text = tmp_path / "other.sqlite3", tmp_path / "text"
    with closing(sqlite3.connect(other)) as connection, connection:
        connection.execute("CREATE TABLE eggs (number)")
    refused(other, tmp_path / "copy.sqlite3", "holds no journal")
    refused(source, other, "is not empty: found something other")
    text.write_text("no database " * 50)
    for one, to in ((text, tmp_path / "copy.sqlite3"), (source, text)):
        with pytest.raises(JournalFault, match="not a Duskfold data file"):
            copy_whole.copy_whole(one, to)
    assert text.read_text() == "no database " * 50


@SERVER
def test_a_text_that_no_server_takes_is_told_and_the_copy_stays_unfinished(
    tmp_path: Path, postgres: Postgres
) -> None:
    source, server = tmp_path / "journal.sqlite3", postgres.url(postgres.new_database())
    fill(source, {"memo": [{"site_id": "", "name": "x", "value": "a\0b"}]})
    with pytest.raises(JournalFault, match=r"NUL.* in the table memo. The copy is not finished"):
        copy_whole.copy_whole(source, server)
    unusable(server)
