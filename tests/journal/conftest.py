"""A journal on each of its engines: every test that takes one runs on both."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from scheduler.journal import copy_whole
from scheduler.journal.store import Journal, open_journal
from tests.journal.filled import fill, some
from tests.sinks.postgres import Postgres

SERVER = pytest.mark.postgresql


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=SERVER)])
def where(request: pytest.FixtureRequest, tmp_path: Path) -> Path | str:
    """Where a journal is not made yet: a file, and a database of a server."""
    if request.param == "sqlite":
        return tmp_path / "journal.sqlite3"
    server: Postgres = request.getfixturevalue("postgres")
    return server.url(server.new_database())


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=SERVER)])
def made(request: pytest.FixtureRequest, tmp_path: Path) -> Path | str:
    """Where a journal is that holds nothing yet."""
    if request.param == "sqlite":
        return tmp_path / "journal.sqlite3"
    server: Postgres = request.getfixturevalue("postgres")
    return server.url(server.new_database(request.getfixturevalue("empty_journal")))


@pytest.fixture
def journal(made: Path | str) -> Iterator[Journal]:
    """An open journal that holds nothing yet."""
    opened = open_journal(made)
    yield opened
    opened.close()


@pytest.fixture
def source(made: Path | str) -> Path | str:
    """A journal with rows of three sites in every table, in a file and on a server."""
    fill(made, some())
    return made


@pytest.fixture(params=["sqlite", pytest.param("postgresql", marks=SERVER)])
def target(request: pytest.FixtureRequest, tmp_path: Path) -> Path | str:
    """Where nothing is yet, beside the source."""
    if request.param == "sqlite":
        return tmp_path / "copy.sqlite3"
    server: Postgres = request.getfixturevalue("postgres")
    return server.url(server.new_database())


@pytest.fixture
def _small_batches(monkeypatch: pytest.MonkeyPatch) -> None:
    """A copy of few rows is one of many batches."""
    monkeypatch.setattr(copy_whole, "ROWS", 3)
