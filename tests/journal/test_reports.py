"""Reports in the journal: their grades, those kept before there were grades, who took one back."""

from datetime import UTC, date, datetime
from pathlib import Path

from sqlalchemy import text

from scheduler.cares.records import Report, Spell
from scheduler.journal.store import open_journal
from scheduler.service.report import confirm, end, make, undo

NOW = datetime(2026, 12, 21, 12, tzinfo=UTC)
MONDAY = date(2026, 12, 21)


def test_a_predator_kept_before_there_were_grades_counts_as_the_worst(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    visit = Report(kind="predator", spell=Spell(first=MONDAY, last=MONDAY))
    number = make(journal, "s", visit, NOW)
    (known,) = journal.reports("s").values()
    assert (known.grade, known.spell.last) == ("got-at", date(2027, 1, 3))
    end(journal, "s", number, date(2026, 12, 23))
    (ended,) = journal.reports("s").values()
    assert (ended.grade, ended.spell.last) == ("got-at", date(2026, 12, 23))
    journal.close()


def test_a_report_comes_back_as_it_was_made_with_when(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    visit = Report(kind="predator", spell=Spell(first=MONDAY, last=MONDAY), grade="nearby")
    make(journal, "s", visit, NOW)
    (known,) = journal.reports("s").values()
    assert known == visit
    assert known.made_at == NOW
    journal.close()


def test_a_report_is_confirmed_and_taken_back_with_who_did_so(tmp_path: Path) -> None:
    journal = open_journal(tmp_path / "journal.sqlite3")
    number = make(journal, "s", Report(kind="order", spell=Spell(first=MONDAY)), NOW)
    confirm(journal, "s", number, MONDAY)
    assert journal.reports("s")[number].confirmed_on == MONDAY
    undo(journal, "s", number, NOW, "Ana")
    assert journal.reports("s") == {}
    with journal.reading() as connection:
        rows = connection.execute(text("SELECT undone_by FROM report")).all()
    assert [tuple(row) for row in rows] == [("Ana",)]
    journal.close()
