"""What is kept of the weather, on each engine: decided days and measurements."""

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta, timezone
from pathlib import Path

import pytest
from sqlalchemy import insert, select, update
from sqlalchemy.exc import StatementError

from scheduler.cares.decided import DecidedDay
from scheduler.cares.decided_codec import VERSION, encode
from scheduler.climate.forecast import Measured
from scheduler.journal import tables, weather
from scheduler.journal.store import Journal, open_journal
from tests.journal.older import as_left_by
from tests.weather_decided import DECIDED_AT as AT
from tests.weather_decided import decided, decided_days, keep_decided, measured_since

FIRST = date(2026, 12, 20)
DAY = timedelta(days=1)
SECOND = timedelta(seconds=1)


def kept(journal: Journal, site: str = "s") -> Sequence[DecidedDay]:
    return decided_days(journal, site)


def test_what_was_decided_comes_back_by_day_of_its_site_and_window(journal: Journal) -> None:
    assert kept(journal) == ()
    days = [decided(FIRST + n * DAY, low_c=-n) for n in range(7)]
    keep_decided(journal, "s", reversed(days))
    keep_decided(journal, "other", [decided(FIRST, low_c=9.0)])
    keep_decided(journal, "s", [])
    assert kept(journal) == tuple(days)
    window = decided_days(journal, "s", FIRST + 2 * DAY, FIRST + 4 * DAY)
    assert window == tuple(days[2:5])
    assert decided_days(journal, "s", FIRST - 9 * DAY, FIRST - DAY) == ()
    assert kept(journal, "other") == (decided(FIRST, low_c=9.0),)


def test_a_day_is_decided_anew_only_later(journal: Journal) -> None:
    keep_decided(journal, "s", [decided(FIRST)])
    for ago in (-9 * SECOND, 0 * SECOND, timedelta(milliseconds=900)):
        keep_decided(journal, "s", [decided(FIRST, low_c=8.0, at=AT + ago)])
        assert kept(journal) == (decided(FIRST),)
    later = decided(FIRST, low_c=8.0, at=AT + SECOND)
    keep_decided(journal, "s", [later, decided(FIRST, low_c=5.0, at=AT + SECOND / 2)])
    assert kept(journal) == (later,)


def test_it_is_a_change_only_where_something_differs(journal: Journal) -> None:
    days = [decided(FIRST + n * DAY) for n in range(3)]
    keep_decided(journal, "s", days)
    before = journal.changes()
    for at in (AT, AT + SECOND, AT + DAY):
        keep_decided(journal, "s", [replace(one, decided_at=at) for one in days])
        assert journal.changes() == before
    assert kept(journal) == tuple(days)
    changed = [*days[:2], decided(days[2].day, low_c=-9.0, at=AT + DAY)]
    keep_decided(journal, "s", changed)
    assert journal.changes() != before
    assert kept(journal) == tuple(changed)


def test_all_of_it_is_kept_or_nothing(journal: Journal) -> None:
    zoned = AT.astimezone(timezone(timedelta(hours=1)))
    wrong = decided(FIRST + DAY, at=zoned)
    with pytest.raises(StatementError, match="not an aware UTC instant"):
        keep_decided(journal, "s", [decided(FIRST), wrong])
    assert kept(journal) == ()


@pytest.mark.parametrize(
    "value",
    [
        *("", "{", "null"),
        encode(decided(FIRST + DAY)).replace("-3.0", '"cold"'),
        encode(decided(FIRST + DAY)).replace(f'"version":{VERSION}', f'"version":{VERSION + 1}'),
        encode(decided(FIRST + 9 * DAY)),
    ],
)
def test_of_a_row_that_cannot_be_read_nothing_is_decided_until_it_is_again(
    journal: Journal, value: str
) -> None:
    days = [decided(FIRST + n * DAY) for n in range(3)]
    keep_decided(journal, "s", days)
    table = tables.weather_decided
    with journal.writing() as writing:
        mine = update(table).where(table.c.day == FIRST + DAY)
        writing.connection.execute(mine.values(value=value))
    assert kept(journal) == (days[0], days[2])
    again = replace(days[1], decided_at=AT + SECOND)
    keep_decided(journal, "s", [again])
    assert kept(journal) == (days[0], again, days[2])


def test_what_was_measured_comes_back_in_order_with_its_sensor(journal: Journal) -> None:
    assert measured_since(journal, "s", AT) == ()
    one, two = Measured(at=AT, air_c=3.4), Measured(at=AT + SECOND, air_c=-0.1, humidity=0.81)
    journal.keep_measured("s", "run", two)
    journal.keep_measured("s", "garden", one)
    journal.keep_measured("s", "garden", two)
    journal.keep_measured("other", "garden", one)
    every = (("garden", one), ("garden", two), ("run", two))
    assert measured_since(journal, "s", AT) == every
    assert measured_since(journal, "s", AT + SECOND) == every[1:]
    assert measured_since(journal, "s", AT + 2 * SECOND) == ()


def test_the_same_instant_twice_is_one_row_and_no_change(journal: Journal) -> None:
    journal.keep_measured("s", "garden", Measured(at=AT, air_c=3.4))
    before = journal.changes()
    for air_c, beside in ((3.4, 0), (9.9, 0), (3.4, 400)):
        at = AT + timedelta(milliseconds=beside)
        journal.keep_measured("s", "garden", Measured(at=at, air_c=air_c))
    assert journal.changes() == before
    assert measured_since(journal, "s", AT - DAY) == (("garden", Measured(at=AT, air_c=3.4)),)


def test_what_is_old_is_forgotten_of_that_site_alone(journal: Journal) -> None:
    for site in ("s", "other"):
        keep_decided(journal, site, [decided(FIRST + n * DAY) for n in range(3)])
        for n in range(3):
            journal.keep_measured(site, "garden", Measured(at=AT + n * DAY, air_c=1.0 * n))
    with journal.writing() as writing:
        weather.prune(writing.connection, "s", FIRST + DAY, AT + 2 * DAY)
    assert [one.day for one in kept(journal)] == [FIRST + DAY, FIRST + 2 * DAY]
    assert measured_since(journal, "s", AT) == (("garden", Measured(at=AT + 2 * DAY, air_c=2.0)),)
    assert len(kept(journal, "other")) == len(measured_since(journal, "other", AT)) == 3


def test_a_journal_of_before_gets_room_for_the_weather_and_keeps_the_rest(tmp_path: Path) -> None:
    path = tmp_path / "journal.sqlite3"
    journal = open_journal(path)
    with journal.writing() as writing:
        row = {"site_id": "s", "name": "word", "value": "kept"}
        writing.connection.execute(insert(tables.memo), row)
    journal.close()
    as_left_by(path, "0013")
    journal = open_journal(path)
    with journal.reading() as connection:
        assert connection.execute(select(tables.memo.c.value)).scalar_one() == "kept"
    keep_decided(journal, "s", [decided(FIRST)])
    assert kept(journal) == (decided(FIRST),)
    journal.close()


@pytest.mark.parametrize("made", ["sqlite"], indirect=True)  # a server chooses by how much there is
def test_no_window_reads_what_lies_outside_it(journal: Journal) -> None:
    with journal.reading() as connection:
        asked = weather._KEPT.compile(connection, compile_kwargs={"render_postcompile": True})  # noqa: SLF001 - its plan
        steps = connection.exec_driver_sql(f"EXPLAIN QUERY PLAN {asked}", ("s", "a", "b")).all()
    (step,) = steps
    assert step.detail.startswith("SEARCH weather_decided USING INDEX")
    assert step.detail.endswith("(site_id=? AND day>? AND day<?)")
