"""A look while nothing is due: what it asks of the journal, every fifteen seconds for years."""

from datetime import timedelta
from pathlib import Path

import pytest
from sqlalchemy import event, select

from scheduler.journal import tables
from scheduler.machine.clock import SystemClock
from scheduler.service.health import tick_rows
from tests.sinks.postgres import Postgres
from tests.watch.ticked_by_hand import quiet_watch

pytestmark = pytest.mark.postgresql
DAY = timedelta(days=1)


def test_a_quiet_look_asks_a_server_twice(tmp_path: Path, postgres: Postgres) -> None:
    server = postgres.url(postgres.new_database())
    with quiet_watch(tmp_path / "watch", server) as ticker:
        asked: list[str] = []
        engine = ticker.journal.engine
        event.listen(engine, "before_cursor_execute", lambda *given: asked.append(str(given[2])))
        assert ticker.tick()
        assert len(asked) == 2, asked
        assert "clock_timestamp()" in asked[0]
        assert "INSERT INTO process" in asked[1]
        [host] = tick_rows.read(ticker.journal, SystemClock().read())
        assert host.name == ticker.health.name


def test_a_cut_line_makes_no_look_incomplete(tmp_path: Path, postgres: Postgres) -> None:
    database = postgres.new_database()
    with quiet_watch(tmp_path / "watch", postgres.url(database)) as ticker:
        for _ in range(3):
            postgres.cut_all(database)
            assert ticker.tick(), ticker.health.fault


def test_a_host_that_has_told_nothing_for_a_week_is_forgotten(
    tmp_path: Path, postgres: Postgres
) -> None:
    server = postgres.url(postgres.new_database())
    with quiet_watch(tmp_path / "watch", server) as ticker:
        journal, now = ticker.journal, ticker.clock.read().wall.replace(microsecond=0)
        row = {"site_id": ticker.site_id, "pulse": "{}"}
        for name, days in (("gone", 8), ("away", 6)):
            told = {"name": name, "told_at": now - days * DAY}
            with journal.writing() as writing:
                writing.connection.execute(tables.process.insert(), row | told)
        assert ticker.tick()
        with journal.reading() as connection:
            names = connection.execute(select(tables.process.c.name)).scalars().all()
        assert set(names) == {"away", ticker.health.name}
