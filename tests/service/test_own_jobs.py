"""What the journal knows of a keeper's own jobs."""

from datetime import UTC, date, datetime
from pathlib import Path

from scheduler.cares.done_and_waiting import Done, TaskKey
from scheduler.journal.store import open_journal
from scheduler.service.household import own_jobs
from scheduler.service.reports.report import records
from tests.alerts.orchard import TEXT, household
from tests.journal.as_said import keep_ticks, take_back

HINGES = '[[care]]\nname = "Hinges"\nevery = "14 days"\n'
SPADE = '[[care]]\nname = "Spade"\nevery = "14 days"\n'
ONCE = '[[care]]\nname = "Vet"\non = 2026-12-24\n'


def test_k17_each_own_job_keeps_the_day_from_which_it_was_known(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    first, later, last = date(2026, 12, 1), date(2026, 12, 5), date(2026, 12, 9)
    steps = [
        (HINGES, first, (("hinges", first),)),
        (HINGES + SPADE + ONCE, later, (("hinges", first), ("spade", later))),
        (SPADE, later, (("spade", later),)),
        (HINGES + SPADE, last, (("hinges", last), ("spade", later))),
    ]
    for text, day, added in steps:
        house = household(TEXT + text)
        with journal.writing() as writing:
            own_jobs.note_added(writing.connection, house, day)
        assert records(journal, house).own_added == added
    journal.close()


def test_k17_it_was_done_on_the_day_of_the_site_and_not_when_that_was_taken_back(
    tmp_path: Path,
) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    house = household(TEXT.replace("Europe/London", "Europe/Paris") + HINGES)
    at = datetime(2026, 12, 15, 23, 30, tzinfo=UTC)  # after midnight in Paris
    key = TaskKey("hinges", "orchard", date(2026, 12, 15))
    with journal.writing() as writing:
        keep_ticks(writing.connection, "orchard", [key], Done(who="Ana", at=at), at)
    assert records(journal, house).own_done == (("hinges", date(2026, 12, 16)),)
    with journal.writing() as writing:
        take_back(writing.connection, "orchard", 1, "Ana", at)
    assert records(journal, house).own_done == ()
    journal.close()
