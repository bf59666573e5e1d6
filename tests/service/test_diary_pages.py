"""The diary by evening and day: page by page, filtered, put right in place, taken along whole."""

import csv
import io
import json
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from pathlib import Path

import pytest
from sqlalchemy import Connection, text

from scheduler.cares.closing import Closing
from scheduler.cares.diary.bird_entries import BirdsMoved
from scheduler.cares.diary.door_entries import BirdsFound, DoorShut
from scheduler.cares.diary.egg_entries import EggsCounted
from scheduler.cares.diary.entry import BY_CLOCK, Entry, Said, TakenBack
from scheduler.cares.diary.job_entries import JobDone
from scheduler.cares.records import Report, Spell
from scheduler.journal import closings, entries, entries_by_day, memos
from scheduler.journal.entries_by_day import Asked, PlaceInDiary
from scheduler.journal.store import Journal, open_journal
from scheduler.profile.who_may import voice_of
from scheduler.service import diary_export, diary_files, diary_pages
from scheduler.service.almanac import Almanac
from scheduler.service.diary import Refused, Speaker
from scheduler.service.diary_asked import asked_for, houses
from scheduler.service.diary_pages import LineOfDiary
from scheduler.service.entry_undo import take_back
from scheduler.service.reports import report
from tests.alerts.orchard import ANA, HAZEL, SITE, WALNUT, almanac, at

DAY = date(2026, 12, 21)
NOW = datetime(2026, 12, 21, 18, 0, tzinfo=UTC)
SITTER = """
[[person]]
name = "Jo"
push = "https://push.example.org/jo"
role = "sitter"
first_day = 2026-12-22
last_day = 2026-12-24
"""


@dataclass(slots=True)
class Book:
    """A journal and its household."""

    journal: Journal
    days: Almanac

    def keep(self, *said: Entry) -> None:
        with self.journal.writing() as writing:
            entries.keep(writing.connection, "orchard", said)

    def back(self, number: int, who: str = "Ben", now: datetime = NOW) -> None:
        one = Entry(
            what=TakenBack(entry=number), about="", day=DAY, who=who, said_at=now, happened_at=now
        )
        with self.journal.writing() as writing:
            entries.keep(writing.connection, "orchard", [], [one])

    def pages(self, asked: Asked | None = None) -> list[diary_pages.PageOfDiary]:
        household = self.days.household
        return [*diary_pages.pages(self.journal, household, asked or Asked(), NOW)]

    def lines(self, asked: Asked | None = None) -> list[LineOfDiary]:
        return [line for page in self.pages(asked) for of in page.days for line in of.lines]

    def take_back(self, number: int, *, put_back: bool = False) -> Refused | None:
        return take_back(self.journal, self.days, number, self.by(), put_back=put_back)

    def closings(self) -> tuple[Closing, ...]:
        with self.journal.reading() as connection:
            return closings.closings(connection, "orchard")

    def by(self) -> Speaker:
        return Speaker(who="Ana", now=NOW, today=DAY)


@pytest.fixture
def book(tmp_path: Path) -> Iterator[Book]:
    journal = open_journal(tmp_path / "journal.sqlite3")
    yield Book(journal=journal, days=almanac(SITE + WALNUT + HAZEL + ANA))
    journal.close()


def said(
    what: Said, about: str = "walnut", day: date = DAY, when: datetime = NOW, who: str = "Ana"
) -> Entry:
    return Entry(what=what, about=about, day=day, who=who, said_at=when, happened_at=when)


def shut(day: date = DAY, about: str = "walnut", count: int = 12) -> Entry:
    when = datetime(day.year, day.month, day.day, 16, 30, tzinfo=UTC)
    return said(DoorShut(flock=12, count=count), about, day, when)


def washed(day: date = DAY, about: str = "walnut") -> Entry:
    when = datetime(day.year, day.month, day.day, 9, 0, tzinfo=UTC)
    return said(JobDone(care_id="egg-collection"), about, day, when)


def many(count: int) -> list[Entry]:
    """So many entries, six of each day, until the day of the tests."""
    return [
        make(DAY - timedelta(days=n // 6), about)
        for n in range(count)
        for make, about in [((shut, washed)[n % 2], ("walnut", "hazel")[n // 2 % 2])]
    ]


def test_six_hundred_entries_come_in_pages_the_newest_day_first_each_once(book: Book) -> None:
    book.keep(*many(600))
    found = book.pages()
    assert [sum(len(of.lines) for of in page.days) for page in found] == [60] * 10
    of = [(day.day, day.is_evening) for page in found for day in page.days]
    assert of == sorted(set(of), reverse=True), "the newest first, an evening before its day"
    lines = [line for page in found for day in page.days for line in day.lines]
    assert sorted(line.entry.number for line in lines) == [*range(1, 601)]
    for page in found:
        for day in page.days:
            numbers = [line.entry.number for line in day.lines]
            assert numbers == sorted(numbers), "within an evening as it was said"


def test_a_day_longer_than_a_page_goes_on_where_the_page_ended(book: Book) -> None:
    book.keep(*(washed() for _ in range(150)))
    assert sorted(line.entry.number for line in book.lines()) == [*range(1, 151)]
    assert len(book.pages()) == 3


@pytest.mark.parametrize(
    ("asked", "count"),
    [
        (Asked(families=["door"]), 300),
        (Asked(families=["door"], kinds=["door-shut", "found"]), 300),
        (Asked(families=["door"], kinds=["found"]), 0),
        (Asked(families=["report"]), 0),
        (Asked(abouts=["hazel", "bantams"]), 300),
        (Asked(families=["job"], abouts=["hazel"]), 150),
        (Asked(since=DAY - timedelta(days=1)), 12),
        (Asked(until=DAY - timedelta(days=1)), 594),
        (Asked(since=DAY - timedelta(days=2), until=DAY - timedelta(days=1)), 12),
    ],
    ids=str,
)
def test_what_is_asked_for_alone_is_shown_and_taken_along(
    book: Book, asked: Asked, count: int
) -> None:
    book.keep(*many(600))
    shown = {line.entry.number for line in book.lines(asked)}
    assert len(shown) == count
    taken = diary_export.pages(book.journal, book.days.household, asked)
    assert {one.entry.number for page in taken for one in page} == shown


def test_what_a_house_said_years_ago_is_reached_although_no_page_reads_every_year(
    book: Book,
) -> None:
    years = [DAY - timedelta(days=400 * n) for n in range(6)]
    book.keep(*(shut(day) for day in years), shut(years[-1], "hazel"))
    pages = book.pages(Asked(abouts=["hazel"]))
    assert [one.entry.about for page in pages for of in page.days for one in of.lines] == ["hazel"]
    assert len(pages) == len(years), "a page looks back no further than a year"


def steps(connection: Connection, asked: Asked, place: PlaceInDiary | None = None) -> int:
    """How many steps SQLite takes for a page."""
    raw, count = connection.connection.driver_connection, [0]
    assert raw is not None

    def count_one() -> int:
        count[0] += 1
        return 0

    raw.set_progress_handler(count_one, 1)
    numbers, _ = entries_by_day.before(connection, "orchard", place or asked.newest, 60, asked)
    raw.set_progress_handler(None, 0)
    assert numbers
    return count[0]


@pytest.mark.parametrize(
    "asked", [Asked(), Asked(families=["door"]), Asked(abouts=["hazel"])], ids=str
)
def test_a_page_costs_the_same_after_years(book: Book, asked: Asked) -> None:
    book.keep(*many(2400))
    with book.journal.reading() as connection:
        before = steps(connection, asked)
    book.keep(*(shut(DAY - timedelta(days=400 + n)) for n in range(5000)))
    with book.journal.reading() as connection:
        assert steps(connection, asked) < before * 1.1


def test_what_was_taken_back_stays_struck_with_who_did_and_who_put_it_back(book: Book) -> None:
    book.keep(said(BirdsFound(flock=12, birds=1)), shut(), washed())
    book.back(1)
    book.back(2, who=BY_CLOCK)
    book.back(3)
    book.back(6, who="Cleo", now=NOW + timedelta(minutes=5))
    told = {line.entry.number: line for line in book.lines()}
    assert sorted(told) == [1, 2, 3], "what takes back stands with what it takes back"
    assert told[1].since == ("Taken back by Ben, 18:00",)
    assert told[2].since == ("Taken back by the clock, which had run ahead, 18:00",)
    assert told[3].since == ("Taken back by Ben, 18:00", "Put back by Cleo, 18:05")
    assert [told[number].is_struck for number in (1, 2, 3)] == [True, True, False]
    assert told[1].text == "Walnut: 1 found"


def test_only_what_was_said_last_of_a_door_is_taken_back_by_its_line(book: Book) -> None:
    old, eggs = DAY - timedelta(days=61), said(EggsCounted(eggs=9))
    book.keep(shut(), said(BirdsFound(flock=12, birds=1)), washed(), shut(old), washed(old), eggs)
    can = {line.entry.number: line.change for line in book.lines()}
    assert can == {1: None, 2: "take-back", 3: "take-back", 4: None, 5: None, 6: "take-back"}
    assert isinstance(book.take_back(4), Refused)
    assert isinstance(book.take_back(5), Refused)
    assert book.take_back(6) is None
    assert isinstance(book.take_back(1), Refused)
    assert book.take_back(2) is None
    assert book.take_back(1) is None
    assert book.take_back(3) is None
    assert all(line.is_struck for line in book.lines() if line.entry.day == DAY)
    again = book.take_back(3)
    assert isinstance(again, Refused)
    assert again.question == "Nothing was changed, because it is like that already."
    assert isinstance(book.take_back(99), Refused)


def test_birds_that_moved_are_back_in_both_houses_by_either_line(book: Book) -> None:
    out, into = (
        BirdsMoved(flock=12, birds=2, to="hazel"),
        BirdsMoved(flock=6, birds=2, out_of="walnut"),
    )
    book.keep(said(out), said(into, "hazel"), shut(about="hazel"))
    assert isinstance(book.take_back(1), Refused), "of the other house something newer was said"
    assert book.take_back(3) is None
    assert book.take_back(1) is None
    assert all(line.is_struck for line in book.lines())
    assert [line.text for line in book.lines()][:2] == [
        "Walnut: 2 moved to Hazel", "Hazel: 2 moved in from Walnut"
    ]  # fmt: skip


def test_no_line_offers_what_would_be_refused_whatever_is_asked_for_alone(book: Book) -> None:
    out, into = (
        BirdsMoved(flock=12, birds=2, to="hazel"),
        BirdsMoved(flock=6, birds=2, out_of="walnut"),
    )
    doors, birds = (asked_for(kind, None, None, None) for kind in ("doors", "birds"))
    found = said(BirdsFound(flock=12, birds=1))
    book.keep(shut(), found, said(out), said(into, "hazel"), shut(about="hazel"))
    for asked in (Asked(), doors, birds, Asked(abouts=["walnut"])):
        for line in book.lines(asked):
            number = line.entry.number
            assert (line.change is not None) == (number == 5), (asked, number)
    assert book.take_back(5) is None
    can = {line.entry.number: line.change for line in book.lines(birds)}
    assert can == {2: None, 3: "take-back", 4: "take-back"}


def test_what_is_taken_back_by_the_diary_opens_the_door_again(book: Book) -> None:
    book.keep(shut())
    assert book.days.house("walnut", DAY, book.closings()).state == "shut"
    book.take_back(1)
    assert book.days.house("walnut", DAY, book.closings()).state == "open"


def test_a_report_is_taken_back_and_put_back_by_its_line(book: Book) -> None:
    frost = Report(kind="frost", spell=Spell(first=DAY, last=None), air_c=-12.0, said_by="Ana")
    number = report.make(book.journal, "orchard", frost, NOW)
    report.end(book.journal, "orchard", number, DAY + timedelta(days=2), book.by())
    assert {line.entry.number: line.change for line in book.lines()} == {
        1: "take-back", 2: "take-back"
    }  # fmt: skip
    assert book.take_back(2) is None
    assert isinstance(book.take_back(2), Refused), "it is taken back already"
    assert book.take_back(1) is None
    assert {line.entry.number: line.change for line in book.lines()} == {1: "put-back", 2: None}
    assert book.take_back(1, put_back=True) is None
    assert not next(line for line in book.lines() if line.entry.number == 1).is_struck


def test_who_may_not_say_it_may_not_take_it_back_here(book: Book) -> None:
    book.days = almanac(SITE + WALNUT + ANA + SITTER)
    book.keep(shut(), washed())
    report.make(
        book.journal, "orchard", Report(kind="snow", spell=Spell(first=DAY, last=None)), NOW
    )
    jo = Speaker(who="Jo", now=NOW, today=DAY, voice=voice_of(book.days.profile.person[1]))
    for number in (1, 2, 3):
        assert isinstance(take_back(book.journal, book.days, number, jo), Refused), number
    assert not any(line.is_struck for line in book.lines())


def insert(journal: Journal, kind: str, values: str, family: str = "door") -> None:
    """A row as a newer program, or a fault, leaves it."""
    with journal.writing() as writing:
        number = writing.connection.execute(text("SELECT max(number) + 1 FROM entry")).scalar_one()
        row = {
            "number": number, "family": family, "kind": kind, "day": DAY.isoformat(),
            "said": values,
        }  # fmt: skip
        writing.connection.execute(
            text(
                "INSERT INTO entry (site_id, number, family, kind, version, about, day, who, "
                "said_at, happened_at, said) SELECT site_id, :number, :family, :kind, 1, about, "
                ":day, who, said_at, happened_at, :said FROM entry LIMIT 1"
            ),
            row,
        )


def test_an_entry_of_a_newer_program_and_a_damaged_one_are_shown_and_taken_along(
    book: Book,
) -> None:
    book.keep(shut())
    insert(book.journal, "moult-seen", '{"birds":3}', family="moults")
    insert(book.journal, "door-shut", '{"flock":')
    insert(book.journal, "taken-back", '{"entry":"one"}')
    told = {line.entry.number: line.text for line in book.lines()}
    assert told == {
        1: "Walnut: shut, 12 in",
        2: 'Walnut: something that only a newer Duskfold can show ("moult-seen", version 1)',
        3: 'Walnut: entry 3 ("door-shut") is damaged and does not count',
        4: 'Walnut: entry 4 ("taken-back") is damaged and does not count',
    }
    whole = json.loads("".join(diary_files.as_json(book.journal, book.days.household)))
    assert [(one["kind"], one["values"]) for one in whole["diary"]] == [
        ("door-shut", {"flock": 12, "count": 12}),
        ("moult-seen", '{"birds":3}'),
        ("door-shut", '{"flock":'),
        ("taken-back", '{"entry":"one"}'),
    ]


def rows(book: Book) -> Sequence[dict[str, str]]:
    table = "".join(diary_files.as_csv(book.journal, book.days.household))
    return [*csv.DictReader(io.StringIO(table, newline=""))]


def test_the_table_and_the_json_have_every_entry_with_names_and_times_by_the_sites_clock(
    book: Book,
) -> None:
    book.keep(
        *many(1200), said(DoorShut(flock=12), day=date(2026, 7, 1), when=at("20:00"), who="=1")
    )
    book.back(7)
    table = rows(book)
    whole = json.loads("".join(diary_files.as_json(book.journal, book.days.household)))
    assert [int(row["entry"]) for row in table] == [*range(1, 1203)]
    assert [one["entry"] for one in whole["diary"]] == [*range(1, 1203)]
    assert (whole["site"], whole["zone"]) == ("orchard", "Europe/London")
    assert table[0]["name"] == "Walnut"
    assert table[0]["local time"] == "2026-12-21T16:30:00+00:00"
    assert table[0]["in words"] == "Walnut: shut, 12 in"
    assert table[-2]["who"] == "'=1"
    assert table[-1]["in words"].startswith("Taken back: “Hazel: shut")
    assert whole["diary"][6]["taken_back"] == {
        "entry": 1202, "who": "Ben", "at": "2026-12-21T18:00:00Z"
    }  # fmt: skip


def test_a_house_that_the_profile_has_no_more_can_be_asked_for(book: Book) -> None:
    with book.journal.writing() as writing:
        memos.note_houses(writing.connection, "orchard", ["walnut", "old-barn"])
    known = houses(book.journal, book.days.household)
    assert [(one.id, one.name, one.abouts) for one in known] == [
        ("walnut", "Walnut", ("walnut", "girls")),
        ("hazel", "Hazel", ("hazel", "bantams")),
        ("old-barn", "Old Barn", ("old-barn",)),
    ]
