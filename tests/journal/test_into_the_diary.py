"""A journal of before the diary, full of everything: in the diary it means what it meant."""

import os
import shutil
import signal
import sqlite3
import subprocess
import sys
from contextlib import closing
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import hypothesis.strategies as st
import pytest
from hypothesis import given
from sqlalchemy import Connection, create_engine

from scheduler.cares.closing import Closing
from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.cares.records import GRADES, Report, ReportKind, Spell
from scheduler.journal import closings, done, entries, reports
from scheduler.journal.fault import JournalFault
from scheduler.journal.on_sqlite import SqliteFile
from scheduler.journal.store import Journal, open_journal
from tests.journal.before import closings as closings_before
from tests.journal.before import done as done_before
from tests.journal.before import reports as reports_before
from tests.journal.older import as_left_by
from tests.unhurried import unhurried

SITE = "orchard"
WINTER = date(2026, 12, 21)
NOON = datetime(2026, 12, 21, 12, tzinfo=UTC)
MINUTE = timedelta(minutes=1)
DAY = timedelta(days=1)
FIRST_RELEASE = "0004"  # the schema of version 0.1.0
ROOT = Path(__file__).parents[2]
SHM = Path("/dev/shm")  # noqa: S108 - no power fails here, and syncs take minutes
MEMORY = SHM if os.access(SHM, os.W_OK) else None
CARES = ("water", "nests")

whom = st.sampled_from(["Ana", "Kim", "Zoë 🐔"])
days = st.sampled_from([WINTER, WINTER + DAY, WINTER + 2 * DAY])
coops = st.sampled_from(["walnut", "barn"])
# The clock goes on, and now and then it is set back.
passing = st.sampled_from([0, 1, 1, 7, 60, 1500, -30])


@st.composite
def said_of_doors(draw: st.DrawFn) -> tuple[str, Any]:
    kinds = ["closed", "reopened", "found", "not-found", "dead", "given-up", "elsewhere", "back"]
    kind = draw(st.sampled_from(kinds))
    count = None if kind == "reopened" else draw(st.none() | st.integers(0, 12))
    return "say", {
        "kind": kind,
        "coop_id": draw(coops),
        "evening": draw(days),
        "who": draw(whom),
        "flock": draw(st.sampled_from([12, 11])),
        "count": count,
        "some_missing": kind == "closed" and count is None and draw(st.booleans()),
    }


@st.composite
def reported(draw: st.DrawFn) -> tuple[str, Any]:
    kinds: list[ReportKind] = ["heat", "order", "predator", "illness", "medicine"]
    kind = draw(st.sampled_from(kinds))
    first = draw(days)
    last = draw(st.none() | st.just(first + 3 * DAY))
    of_birds = kind in {"illness", "medicine"}
    return "report", Report(
        kind=kind,
        spell=Spell(first=first, last=first if kind == "predator" else last),
        air_c=draw(st.sampled_from([0.0, 33.5])) if kind == "heat" else None,
        grade=draw(st.sampled_from(GRADES)) if kind == "predator" else None,
        house_id=draw(coops) if of_birds else "",
        birds=draw(st.none() | st.integers(1, 3)) if of_birds else None,
        signs=("crop", "wound") if kind == "illness" else (),
        egg_days=draw(st.sampled_from([None, 0, 7])) if kind == "medicine" else None,
        words=draw(st.sampled_from(["", "=1+1", "Zoë's wormer"])) if of_birds else "",
        said_by=draw(whom),
    )


tasks = st.builds(TaskKey, st.sampled_from(CARES), coops, days, st.sampled_from([1, 1, 2]))
happenings = st.lists(
    st.tuples(
        passing,
        st.one_of(
            said_of_doors(),
            st.tuples(st.just("undo"), st.tuples(coops, days, whom)),
            st.tuples(st.just("tick"), st.tuples(st.lists(tasks, min_size=1), whom, st.booleans())),
            st.tuples(st.just("untick"), st.tuples(tasks, whom)),
            reported(),
            st.tuples(
                st.sampled_from(["end", "confirm", "label", "withdraw", "again"]),
                st.tuples(st.integers(1, 3), whom, st.integers(0, 9)),
            ),
            st.tuples(st.just("ahead"), st.sampled_from([1, 60, 2000])),
        ),
    ),
    max_size=25,
)


def say(connection: Connection, what: str, told: Any, now: datetime) -> None:
    """Says it as a program of before the diary did."""
    match what, told:
        case "say", values:
            late = values["kind"] == "closed"
            at = now - 5 * MINUTE if late else now
            closings_before.add(connection, SITE, [Closing(at=at, **values)], now)
        case "undo", (coop_id, day, who):
            closings_before.take_back(connection, SITE, coop_id, day, now, who)
        case "tick", (keys, who, is_asked_anew):
            asked = dict.fromkeys(keys, now) if is_asked_anew else {}
            keys = [*dict.fromkeys(keys)]
            done_before.mark(connection, SITE, keys, Done(who=who, at=now), now, asked)
        case "untick", (key, who):
            done_before.take_back(connection, SITE, [key], who, now)
        case "report", report:
            reports_before.add(connection, SITE, report, now)
        case "ahead", minutes:
            after = now - minutes * MINUTE
            closings_before.undo_ahead(connection, SITE, after, now)
            done_before.undo_ahead(connection, SITE, after, now)
            reports_before.undo_ahead(connection, SITE, after, now)
        case _, (number, who, days_):
            change(connection, what, number, who, days_, now)


def change(  # noqa: PLR0913, PLR0917 - what, of which, by whom, when
    connection: Connection, what: str, number: int, who: str, days_: int, now: datetime
) -> None:
    """Says it of a report that is in force."""
    if what == "again":
        written = {one.number for one in reports_before.written(connection, SITE)}
        if number in written:
            reports_before.take_back(connection, SITE, number, who, now)
        return
    report = reports_before.in_force(connection, SITE).get(number)
    if report is None:
        return
    day = report.spell.first + days_ * DAY
    kind, after = {
        "end": ("ended", replace(report, spell=Spell(first=report.spell.first, last=day))),
        "confirm": ("confirmed", replace(report, confirmed_on=day)),
        "label": ("label", replace(report, egg_days=days_)),
        "withdraw": ("undone", report),
    }[what]
    said_on = day if kind in {"ended", "confirmed"} else None
    said = reports_before.Change(number=number, kind=kind, day=said_on, who=who, at=now)  # type: ignore[arg-type] # a kind of these four
    reports_before.say(connection, SITE, said, after)


def answers_before(connection: Connection) -> dict[str, Any]:
    """What the program of before the diary reads."""
    return {
        "closings": closings_before.closings(connection, SITE),
        "turns": closings_before.turns(connection, SITE, WINTER),
        "done": done_before.since(connection, SITE, WINTER),
        "times": sorted(done_before.times_of(connection, SITE, CARES)),
        "in force": as_told(reports_before.in_force(connection, SITE)),
        "changes": [plain(one) for one in reports_before.changes(connection, SITE)],
        "written": [plain(one) for one in reports_before.written(connection, SITE)],
    }


def answers(connection: Connection) -> dict[str, Any]:
    """What this program reads."""
    return {
        "closings": closings.closings(connection, SITE),
        "turns": closings.turns(connection, SITE, WINTER),
        "done": done.since(connection, SITE, WINTER),
        "times": sorted(done.times_of(connection, SITE, CARES)),
        "in force": as_told(reports.in_force(connection, SITE)),
        "changes": [plain(one) for one in reports.changes(connection, SITE)],
        "written": [plain(one) for one in reports.written(connection, SITE)],
    }


def as_told(found: dict[int, Report]) -> dict[int, tuple[Any, ...]]:
    """With what two reports are not compared by."""
    return {number: (one, one.made_at, one.said_by, one.again_at) for number, one in found.items()}


def plain(one: Any) -> dict[str, Any]:
    """Its values without the number of its entry, which is new."""
    new = {"entry", "undone_in"}
    named = {name: getattr(one, name) for name in type(one).__slots__ if name not in new}
    if report := named.pop("report", None):
        named["told"] = (replace(report, again_at=None), report.made_at, report.said_by)
    return named


def unmigrated(path: Path) -> Journal:
    """A journal of before the diary, as the program of then has it open."""
    return Journal(create_engine(f"sqlite:///{path}"), SqliteFile(path, 5000))


@pytest.fixture(scope="module")
def empty(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A journal of before the diary in which nobody has said anything."""
    path = tmp_path_factory.mktemp("old") / "journal.sqlite3"
    open_journal(path).close()
    as_left_by(path, "0009")
    return path


def read_before(path: Path) -> dict[str, Any]:
    """What the program of before the diary reads."""
    journal = unmigrated(path)
    with journal.reading() as connection:
        found = answers_before(connection)
    journal.close()
    return found


@given(happened=happenings)
def test_an_old_journal_folded_gives_the_old_answers(
    empty: Path, happened: list[tuple[int, tuple[str, Any]]]
) -> None:
    with TemporaryDirectory(dir=MEMORY) as folder:
        path = Path(shutil.copy(empty, folder))
        old, now = unmigrated(path), NOON
        with old.writing() as writing:
            for passed, (what, told) in happened:
                now += passed * MINUTE
                say(writing.connection, what, told, now)
        old.close()
        known = read_before(path)
        journal = open_journal(path)
        with journal.reading() as connection:
            assert answers(connection) == known
        journal.close()
        assert read_before(path) == known, "the old tables were touched"


def full(path: Path) -> None:
    """Says something of every kind in a journal of before the diary."""
    old = unmigrated(path)
    with old.writing() as writing:
        for minute, (what, told) in enumerate(OF_EVERY_KIND):
            say(writing.connection, what, told, NOON + minute * MINUTE)
    old.close()


def of_door(kind: str, count: int | None = None) -> tuple[str, dict[str, Any]]:
    return "say", {
        "kind": kind, "coop_id": "walnut", "evening": WINTER, "who": "Ana", "flock": 12,
        "count": count, "some_missing": kind == "closed" and count is None,
    }  # fmt: skip


WATER = TaskKey("water", "walnut", WINTER)
VISIT = Report(
    kind="predator", spell=Spell(first=WINTER, last=WINTER), said_by="Kim", grade="nearby"
)
DOSE = Report(
    kind="medicine", spell=Spell(first=WINTER, last=WINTER), house_id="walnut", egg_days=0,
    words="wormer", said_by="Ana",
)  # fmt: skip
OF_EVERY_KIND: list[tuple[str, Any]] = [
    of_door("closed"), of_door("not-found", 1), of_door("reopened"), of_door("closed", 10),
    of_door("found", 1), of_door("given-up", 1), of_door("back", 1), of_door("dead", 1),
    of_door("elsewhere", 2), ("undo", ("walnut", WINTER, "Kim")),
    ("tick", ([WATER], "Ana", False)), ("tick", ([WATER], "Kim", True)), ("untick", (WATER, "Ana")),
    ("report", VISIT), ("report", DOSE), ("label", (2, "Kim", 7)), ("again", (2, "Ana", 0)),
    ("end", (2, "Ana", 2)), ("withdraw", (1, "Kim", 0)), ("again", (1, "Ana", 0)),
    ("withdraw", (2, "Kim", 0)),
]  # fmt: skip


def test_everything_said_before_stands_in_the_diary_in_the_order_of_saying(
    empty: Path, tmp_path: Path
) -> None:
    path = Path(shutil.copy(empty, tmp_path))
    full(path)
    journal = open_journal(path)
    with journal.reading() as connection:
        found = entries.by_number(connection, SITE, range(1, 100))
    journal.close()
    assert [one.number for one in found] == [*range(1, len(found) + 1)]
    assert [one.what.KIND for one in found] == [
        "door-shut", "stopped-looking", "door-reopened", "door-shut", "found", "stopped-looking",
        "home-again", "died", "away", "taken-back", "job-done", "job-done", "taken-back",
        "report-made", "report-made", "label-read", "taken-back", "report-ended", "taken-back",
        "taken-back", "taken-back",
    ]  # fmt: skip
    assert {one.who for one in found} == {"Ana", "Kim"}


def test_a_predator_of_before_there_were_grades_counts_as_the_worst_for_a_fortnight(
    empty: Path, tmp_path: Path
) -> None:
    path = Path(shutil.copy(empty, tmp_path))
    old = unmigrated(path)
    with old.writing() as writing:
        say(writing.connection, "report", replace(VISIT, grade=None), NOON)
    old.close()
    journal = open_journal(path)
    [visit] = journal.reports(SITE).values()
    assert (visit.grade, visit.spell) == ("got-at", Spell(first=WINTER, last=WINTER + 13 * DAY))
    journal.close()


@unhurried
def test_a_journal_that_is_killed_on_its_way_begins_anew_and_loses_nothing(
    empty: Path, tmp_path: Path
) -> None:
    path = Path(shutil.copy(empty, tmp_path))
    full(path)
    known = read_before(path)
    killed = (
        "import os, sys\n"
        "from pathlib import Path\n"
        "from sqlalchemy import Engine, event\n"
        "from scheduler.journal.store import open_journal\n"
        "seen = []\n"
        "@event.listens_for(Engine, 'after_cursor_execute')\n"
        "def count(connection, cursor, statement, *rest):\n"
        "    seen.append(statement)\n"
        "    if sys.argv[2] in statement:\n"
        "        os.kill(os.getpid(), 9)\n"
        "open_journal(Path(sys.argv[1]))\n"
    )
    for at in ("CREATE TABLE entry", "INSERT INTO entry", "CREATE TRIGGER report_kept_update"):
        ran = subprocess.run(
            [sys.executable, "-c", killed, str(path), at], cwd=ROOT, check=False, timeout=60
        )
        assert ran.returncode == -signal.SIGKILL, at
        assert read_before(path) == known, at
    journal = open_journal(path)
    with journal.reading() as connection:
        assert answers(connection) == known
    journal.close()


def test_a_journal_of_0_1_0_full_of_everything_loses_nothing(empty: Path, tmp_path: Path) -> None:
    path = Path(shutil.copy(empty, tmp_path))
    frost = Report(kind="frost", spell=Spell(first=WINTER, last=WINTER + DAY), air_c=-12.0)
    heat = replace(frost, kind="heat", air_c=38.0)
    known_then = [
        *(one for one in OF_EVERY_KIND if one[0] in {"say", "undo"}),
        ("tick", ([WATER, replace(WATER, care_id="nests")], "Ana", False)),
        ("report", frost), ("report", heat), ("report", VISIT),
    ]  # fmt: skip
    old = unmigrated(path)
    with old.writing() as writing:
        for minute, (what, told) in enumerate(known_then):
            say(writing.connection, what, told, NOON + minute * MINUTE)
        writing.connection.exec_driver_sql("UPDATE report SET undone_at = made_at WHERE number = 2")
    old.close()
    known = read_before(path)
    as_left_by(path, FIRST_RELEASE)
    journal = open_journal(path)
    with journal.reading() as connection:
        found = answers(connection)
    journal.close()
    # Who took something back it did not keep.
    took_back = [replace(one, who=one.was_by or one.who) for one in known["closings"]]
    assert list(found["closings"]) == took_back
    for same in ("turns", "done", "times"):
        assert found[same] == known[same], same
    assert [one for one, *_ in found["in force"].values()] == [
        replace(frost, said_by=""),
        replace(VISIT, grade="got-at", spell=Spell(first=WINTER, last=WINTER + 13 * DAY)),
    ]
    assert [one["undone_at"] is None for one in found["written"]] == [True, False, True]


def test_a_program_of_before_can_say_nothing_where_nobody_reads_it(
    empty: Path, tmp_path: Path
) -> None:
    path = Path(shutil.copy(empty, tmp_path))
    full(path)
    old = unmigrated(path)  # still running, as its unit was not stopped
    open_journal(path).close()
    for what, told in OF_EVERY_KIND[0], OF_EVERY_KIND[9], ("withdraw", (1, "Kim", 0)):
        with pytest.raises(JournalFault, match="newer Duskfold"), old.writing() as writing:
            say(writing.connection, what, told, NOON + DAY)
    old.close()
    with closing(sqlite3.connect(path)) as connection:
        assert connection.execute("SELECT version, min_reader FROM schema").fetchall() == [(15, 10)]
