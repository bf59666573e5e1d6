"""Reports in the journal: made, said of, taken back and back again."""

from dataclasses import replace
from datetime import UTC, date, datetime, timedelta

from scheduler.cares.records import Report, Spell
from scheduler.journal import reports
from scheduler.journal.store import Journal
from scheduler.service.diary import Refused, Speaker
from scheduler.service.reports.report import Already, again, confirm, end, make, make_by_tap, undo

NOW = datetime(2026, 12, 21, 12, tzinfo=UTC)
MONDAY = date(2026, 12, 21)
ANA = Speaker(who="Ana", now=NOW, today=MONDAY)


def test_a_report_comes_back_as_it_was_made_with_when(journal: Journal) -> None:
    visit = Report(kind="predator", spell=Spell(first=MONDAY, last=MONDAY), grade="nearby")
    make(journal, "s", visit, NOW)
    (known,) = journal.reports("s").values()
    assert known == visit
    assert known.made_at == NOW


def test_a_report_is_confirmed_and_taken_back_with_who_did_so(journal: Journal) -> None:
    number = make(journal, "s", Report(kind="order", spell=Spell(first=MONDAY)), NOW)
    confirm(journal, "s", number, ANA)
    assert journal.reports("s")[number].confirmed_on == MONDAY
    undo(journal, "s", number, ANA)
    assert journal.reports("s") == {}
    with journal.reading() as connection:
        assert [one.undone_by for one in reports.written(connection, "s")] == ["Ana"]


def test_what_was_said_of_a_report_is_taken_back_step_by_step(journal: Journal) -> None:
    order = Report(kind="order", spell=Spell(first=date(2026, 12, 1)))
    number = make(journal, "s", order, NOW)
    states = [journal.reports("s")]
    confirm(journal, "s", number, ANA)
    states.append(journal.reports("s"))
    end(journal, "s", number, MONDAY, ANA)
    states.append(journal.reports("s"))
    undo(journal, "s", number, ANA)
    assert journal.reports("s") == {}
    for before in reversed(states):
        assert isinstance(again(journal, "s", number, ANA), Report)
        assert journal.reports("s") == before
    assert isinstance(again(journal, "s", number, ANA), Refused), "there is nothing left"


def test_a_change_that_something_newer_has_followed_is_not_taken_back(journal: Journal) -> None:
    number = make(journal, "s", Report(kind="order", spell=Spell(first=MONDAY)), NOW)
    confirm(journal, "s", number, ANA)
    end(journal, "s", number, MONDAY, ANA)
    assert isinstance(again(journal, "s", number, ANA, turn=1), Already)
    assert journal.reports("s")[number].spell.last == MONDAY


def test_a_report_ends_on_one_of_its_days(journal: Journal) -> None:
    days = Spell(first=MONDAY, last=date(2026, 12, 23))
    number = make(journal, "s", Report(kind="storm", spell=days), NOW)
    for wrong in (date(2026, 12, 19), date(2026, 12, 24)):
        assert isinstance(end(journal, "s", number, wrong, ANA), Refused)
    assert isinstance(end(journal, "s", number, date(2026, 12, 23), ANA), Already)
    assert journal.reports("s")[number].spell == days


def test_one_persons_tap_repeated_is_one_report_and_two_people_make_two(journal: Journal) -> None:
    anas = Report(kind="heat", spell=Spell(first=MONDAY, last=MONDAY), air_c=38.0, said_by="Ana")
    bens, hotter = replace(anas, said_by="Ben"), replace(anas, air_c=41.0)
    second, minutes = timedelta(seconds=1), timedelta(minutes=3)
    tapped = [(anas, NOW), (anas, NOW + second), (bens, NOW + second), (hotter, NOW + second)]

    def tap(one: Report, at: datetime) -> int | Refused:
        return make_by_tap(journal, "s", one, Speaker(who=one.said_by, now=at, today=MONDAY))

    assert [tap(one, at) for one, at in tapped] == [1, 1, 2, 3]
    assert [one.said_by for one in journal.reports("s").values()] == ["Ana", "Ben", "Ana"]
    undo(journal, "s", 1, ANA)
    assert list(journal.reports("s")) == [2, 3], "Ben's word stands without Ana's"
    assert tap(anas, NOW + 2 * second) == 4, "said anew"
    assert tap(anas, NOW + minutes) == 5
