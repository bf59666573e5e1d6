"""`duskfold diary`: by evening and day in plain words, filtered, whole as a table and as JSON."""

import csv
import io
import json
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text

from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal.store import open_journal
from scheduler.machine.paths import JOURNAL_NAME
from tests.cli.test_door import PEOPLE, SITE, TWO, _somewhere_of_its_own, declare, run
from tests.journal.as_said import keep_ticks

__all__ = ["_somewhere_of_its_own"]
WINTER = date(2026, 12, 21)


def test_what_was_said_is_told_by_evening_and_day_the_newest_first() -> None:
    assert run("diary").output == "The diary is empty so far.\n"
    assert run("diary", "--kind", "eggs").output == "The diary has nothing of that kind.\n"
    assert run("diary", "--to", "2026-12-20").output == "The diary has nothing of that kind.\n"
    run("eggs", "7", "--date", "2026-12-20")
    run("closed", "--count", "11", "--yes")
    run("found")
    run("undo")
    lines = run("diary").output.splitlines()
    assert [line for line in lines if not line.startswith(" ")] == [
        "Evening of Monday 21 December 2026", "", "Sunday 20 December 2026",
    ]  # fmt: skip
    assert "Walnut: shut, 11 of 12 in" in lines[1]
    assert "Walnut: all missing birds found" in lines[2] or "Walnut: 1 found" in lines[2]
    assert "Taken back by" in " ".join(lines)
    assert "Walnut: 7 eggs collected" in lines[-1]


def many(count: int) -> None:
    """So many ticks of two houses, a day each."""
    declare(SITE + TWO + PEOPLE)
    run("diary")  # it makes the journal
    journal = open_journal(Path("data") / JOURNAL_NAME)
    at = datetime(2026, 12, 21, 9, tzinfo=UTC)
    with journal.writing() as writing:
        for ago in range(count):
            keys = [
                TaskKey("egg-collection", house, WINTER - timedelta(days=ago))
                for house in ("walnut", "barn")
            ]
            keep_ticks(writing.connection, "orchard", keys, Done(who="Ana", at=at), at)
    journal.close()


@pytest.mark.parametrize(
    ("arguments", "count"),
    [
        ((), 200),
        (("--coop", "Barn"), 100),
        (("--kind", "jobs", "--coop", "barn"), 100),
        (("--kind", "doors"), 0),
        (("--from", "2026-12-20"), 4),
        (("--from", "2026-12-19", "--to", "2026-12-20"), 4),
    ],
)
def test_it_is_whole_and_what_is_asked_for_alone_in_every_form(
    arguments: tuple[str, ...], count: int
) -> None:
    many(100)
    assert run("diary", *arguments).output.count("Collect the eggs") == count
    told = json.loads(run("diary", *arguments, "--json").output)
    assert len(told["diary"]) == count
    rows = [*csv.DictReader(io.StringIO(run("diary", *arguments, "--csv").output, newline=""))]
    assert [int(row["entry"]) for row in rows] == [one["entry"] for one in told["diary"]]


def test_the_json_of_an_entry() -> None:
    run("closed", "--count", "11", "--yes", "--at", "11:30")
    told = json.loads(run("diary", "--json").output)
    assert (told["site"], told["zone"]) == ("orchard", "Europe/London")
    [one] = told["diary"]
    assert one | {"said_at": "", "who": "", "person": None} == {
        "entry": 1,
        "date": "2026-12-21",
        "kind": "door-shut",
        "version": 1,
        "subject": "walnut",
        "name": "Walnut",
        "words": "Walnut: shut, 11 of 12 in",
        "who": "",
        "person": None,
        "at": "2026-12-21T11:30:00Z",
        "local_time": "2026-12-21T11:30:00+00:00",
        "said_at": "",
        "taken_back": None,
        "values": {"flock": 12, "count": 11},
    }


def test_what_only_a_newer_program_knows_and_what_is_damaged_is_shown_and_harms_no_other() -> None:
    run("closed", "--count", "11", "--yes")
    run("reopened")
    engine = create_engine(f"sqlite:///{Path('data') / JOURNAL_NAME}")
    with engine.begin() as connection:
        connection.execute(text("UPDATE entry SET said = '{', kind = 'door-shut' WHERE number = 2"))
    engine.dispose()
    told = run("diary").output
    assert "Walnut: shut, 11 of 12 in" in told
    assert 'Walnut: entry 2 ("door-shut") is damaged and does not count' in told


def test_everything_that_cannot_be_used_is_told_at_once_with_the_nearest_spelling() -> None:
    refused = run(
        "diary", "--coop", "wallnut", "--kind", "door", "--from", "21.12.", "--to", "soon",
        "--json", "--csv",
    )  # fmt: skip
    assert refused.exit_code == 2
    for told in (
        '--coop: found "wallnut"; accepted: Walnut. Did you mean "Walnut"?',
        '--kind: found "door"; accepted: doors, birds, jobs, eggs, reports, changes.',
        'Did you mean "doors"?',
        '--from: found "21.12."',
        '--to: found "soon"',
        "--csv: found both --csv and --json; accepted: one of the two.",
    ):
        assert told in refused.output
    backwards = run("diary", "--from", "2026-12-21", "--to", "2026-12-01")
    assert backwards.exit_code == 2
    assert "--to: found 2026-12-01; accepted: 2026-12-21 or a later day." in backwards.output
