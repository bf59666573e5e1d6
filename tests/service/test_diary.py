"""The one way to keep what people say: nothing else writes it, and each voice says what it may."""

import ast
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import get_args

import pytest

import scheduler
from scheduler.cares.diary.entry import Entry, taken_back
from scheduler.cares.diary.job_entries import JobDone
from scheduler.journal import entries
from scheduler.journal.store import Journal, open_journal
from scheduler.profile.who_may import MAY, Matter, Voice, VoiceKind
from scheduler.service import diary
from scheduler.service.diary import Judged, Refused, Speaker

ROOT = Path(scheduler.__file__).parent
NOW = datetime(2026, 12, 21, 16, 30, tzinfo=UTC)
OLD_TABLES = {"closing", "done", "report", "report_change"}


def attributes(path: Path) -> Iterator[str]:
    """What the file asks of names: "entries.keep", "tables.entry"."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Attribute) and isinstance(node.value, ast.Name):
            yield f"{node.value.id}.{node.attr}"


def calls(path: Path) -> Iterator[tuple[str, str]]:
    """The functions that it calls by name, each with its first argument."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.args:
            yield node.func.id, ast.unparse(node.args[0])


def programs() -> list[Path]:
    return [path for path in ROOT.rglob("*.py") if "migrations" not in path.parts]


def test_what_people_say_is_written_in_one_place_and_kept_by_one_function() -> None:
    asked = {path.relative_to(ROOT).as_posix(): {*attributes(path)} for path in programs()}
    assert [name for name, found in asked.items() if "entries.keep" in found] == [
        "service/diary.py"
    ]
    changes = {
        (path.relative_to(ROOT).as_posix(), what)
        for path in programs()
        for what, of in calls(path)
        if what in {"insert", "update", "delete"} and of == "tables.entry"
    }
    assert changes == {("journal/entries.py", "insert")}, "the diary is only ever added to"
    old = {f"tables.{name}" for name in OLD_TABLES}
    assert not [name for name, found in asked.items() if old & found], "an old table is in use"
    raw = [path for path in programs() if "INTO entry" in path.read_text(encoding="utf-8")]
    assert raw == []


@pytest.fixture
def journal(tmp_path: Path) -> Iterator[Journal]:
    opened = open_journal(tmp_path / "journal.sqlite3")
    yield opened
    opened.close()


def say(journal: Journal, by: Speaker, judged: Judged[None]) -> None:
    diary.say(journal, "orchard", by, "jobs", None, lambda _: judged)


def kept(journal: Journal) -> list[Entry]:
    with journal.reading() as connection:
        return entries.by_number(connection, "orchard", range(1, 100))


@pytest.mark.parametrize("kind", get_args(VoiceKind))
def test_every_voice_is_asked_before_anything_is_read_or_kept(
    journal: Journal, kind: VoiceKind
) -> None:
    by = Speaker(who="Ana", now=NOW, today=NOW.date(), voice=Voice(kind=kind), person_id="ana")
    entry = by.entry(JobDone(care_id="water"), "walnut", NOW.date())
    for matter in get_args(Matter):
        before = len(kept(journal))
        answer = diary.say(
            journal, "orchard", by, matter, None, lambda _: Judged(answer="kept", said=[entry])
        )
        if matter in MAY[kind]:
            assert answer == "kept"
            assert len(kept(journal)) == before + 1
        else:
            assert isinstance(answer, Refused)
            assert answer.question
            assert len(kept(journal)) == before


def test_what_follows_is_kept_with_what_was_said_or_neither_is(journal: Journal) -> None:
    by = Speaker(who="Ana", now=NOW, today=NOW.date())
    entry = by.entry(JobDone(care_id="water"), "walnut", NOW.date())

    def fail(_: object) -> None:
        raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        diary.say(
            journal,
            "orchard",
            by,
            "jobs",
            None,
            lambda _: Judged(answer=None, said=[entry], then=fail),
        )
    assert kept(journal) == []


def test_what_is_taken_back_counts_no_more_and_again_once_that_is_taken_back(
    journal: Journal,
) -> None:
    by = Speaker(who="Ana", now=NOW, today=NOW.date(), person_id="ana")
    entry = by.entry(JobDone(care_id="water"), "walnut", NOW.date())
    diary.say(journal, "orchard", by, "jobs", None, lambda _: Judged(answer=None, said=[entry]))
    for number, struck in ((1, {1}), (2, {2}), (1, {1, 2}), (4, {2, 4}), (1, {1, 2, 4})):
        say(journal, by, Judged(answer=None, back=[number]))
        assert {*taken_back(kept(journal))} == struck
    found = kept(journal)
    assert {(one.about, one.day, one.person_id) for one in found} == {("walnut", NOW.date(), "ana")}
    with journal.reading() as connection:
        assert entries.of_family(connection, "orchard", "job", NOW.date()) == found


def test_a_name_that_two_people_have_belongs_to_neither() -> None:
    names = {"ana": "Ana", "kim": "Kim", "kim-2": "Kim"}
    assert diary.id_of_speaker(names, "Ana") == "ana"
    assert diary.id_of_speaker(names, "Kim") is None
    assert diary.id_of_speaker(names, "Zoë") is None
