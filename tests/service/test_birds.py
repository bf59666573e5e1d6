"""What is told of ill and treated birds: at once where it has to be reported, and in the brief."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.alerts.delivery import LOUD, QUIET
from scheduler.cares.records import Report, Spell
from scheduler.journal import memos
from scheduler.service.diary import Speaker
from scheduler.service.reports import report
from scheduler.wording.words import Language
from tests.alerts.orchard import ANA, BEN, SITE, WALNUT
from tests.faults.driven import DAY, MINUTE, Driven, driven, memory_folder
from tests.wording.marked import speaking

__all__ = ["memory_folder"]
SUMMER = date(2027, 7, 20)
ZONE = ZoneInfo("Europe/London")


def at(clock: str, day: date = SUMMER) -> datetime:
    return datetime.combine(day, time.fromisoformat(clock), ZONE).astimezone(UTC)


@contextmanager
def house(folder: Path, begins: datetime) -> Iterator[Driven]:
    text = SITE + WALNUT + ANA.replace("/ana", "/ana-8c1f9e2b77aa") + BEN
    text = text.replace("/ben", "/ben-8c1f9e2b77aa").replace('mail = "ana@example.org"\n', "")
    with driven(folder, text, begins) as found:
        found.at(begins)
        yield found


def medicine(egg_days: int | None) -> Report:
    spell = Spell(first=SUMMER, last=SUMMER)
    return Report(
        kind="medicine", spell=spell, house_id="walnut", words="Wormer A", egg_days=egg_days
    )


def test_a_sign_that_has_to_be_reported_is_told_at_once_and_that_it_was_taken_back(
    memory_folder: Path,
) -> None:
    ill = Report(
        kind="illness",
        spell=Spell(first=SUMMER),
        house_id="walnut",
        birds=2,
        signs=("swollen-head",),
        said_by="Ben",
    )
    with house(memory_folder, at("12:00")) as home:
        number = report.make(home.journal, "orchard", ill, home.clock.at)
        home.at(at("12:01"))
        last = home.messages()[-1].outgoing
        assert (last.person_name, last.message.priority) == ("Ana", LOUD)
        assert last.message.title.startswith("Ill birds: call your vet or the animal-health")
        body = last.message.body
        assert body.startswith("Ben reported at 12:00: 2 ill birds (swollen head")
        assert (
            "Let no bird, egg or equipment leave. Keep people and other birds well clear." in body
        )
        report.undo(
            home.journal, "orchard", number, Speaker(who="Ben", now=at("12:05"), today=SUMMER)
        )
        home.at(at("12:06"))
        last = home.messages()[-1].outgoing
        assert last.message.priority == QUIET
        assert last.message.title == "Ben took back the report of ill birds: no longer urgent"
        assert last.message.body.endswith("say so on the page Birds.")


def told_of_eggs(home: Driven) -> list[tuple[str, str]]:
    """Each message about eggs: who got it, and its title."""
    found = [one.outgoing for one in home.messages() if one.outgoing.message.stem == "Eggs"]
    return [(one.person_name, one.message.title) for one in found]


def test_everybody_hears_by_day_which_eggs_are_not_to_be_eaten_and_each_change_of_it(
    memory_folder: Path,
) -> None:
    def by(clock: str) -> Speaker:
        return Speaker(who="Ben", now=at(clock), today=SUMMER)

    with house(memory_folder, at("06:00")) as home:
        dosed = replace(medicine(None), said_by="Ben")
        number = report.make(home.journal, "orchard", dosed, home.clock.at)
        home.at(at("06:01"))
        assert told_of_eggs(home) == [], "nobody eats eggs at night"
        home.at(at("07:01"))
        rule = "Do not eat, give away or sell the eggs"
        unread = ("Ana", f"{rule} until the vet or the label says so")
        assert told_of_eggs(home) == [unread], "Ben reported it"
        home.at(at("09:00"))
        report.label(home.journal, "orchard", number, 2, by("09:00"))
        home.at(at("09:01"))
        dated = ("Ana", f"{rule} before Fri 23 Jul")
        assert told_of_eggs(home) == [unread, dated]
        report.undo(home.journal, "orchard", number, by("10:00"))
        report.undo(home.journal, "orchard", number, by("10:00"))
        home.at(at("10:01"))
        free = "By what is noted now, eggs laid from today on may be eaten"
        assert told_of_eggs(home)[2:] == [("Ana", free), ("Ben", free)]
        eggs = [one for one in home.messages() if one.outgoing.message.stem == "Eggs"]
        assert not any(one.loud for one in eggs)


def test_whoever_noted_a_medicine_hears_what_another_read_on_its_label(
    memory_folder: Path,
) -> None:
    with house(memory_folder, at("08:00")) as home:
        dosed = replace(medicine(None), said_by="Ana")
        number = report.make(home.journal, "orchard", dosed, home.clock.at)
        home.at(at("09:00"))
        told = [who for who, _ in told_of_eggs(home)]
        assert told == ["Ben"]
        ben = Speaker(who="Ben", now=at("09:00"), today=SUMMER)
        report.label(home.journal, "orchard", number, 2, ben)
        home.at(at("09:01"))
        assert [who for who, _ in told_of_eggs(home)] == [*told, "Ana"]


def test_the_records_name_the_houses_of_reports_that_nobody_lives_in_now(
    memory_folder: Path,
) -> None:
    with house(memory_folder, at("08:00")) as home:
        here = home.running.household
        for house_id in (here.profile.coop[0].id, "pen"):
            noted = replace(medicine(1), house_id=house_id)
            report.make(home.journal, "orchard", noted, home.clock.at)
        assert report.records(home.journal, here).left == {"pen"}


def test_neither_that_the_last_dose_was_given_nor_that_the_days_are_over_is_a_message(
    memory_folder: Path,
) -> None:
    with house(memory_folder, at("08:00")) as home:
        course = replace(medicine(1), spell=Spell(first=SUMMER, last=SUMMER + DAY))
        report.make(home.journal, "orchard", course, home.clock.at)
        for number in range(5):
            home.at(at("12:00", SUMMER + number * DAY))
        assert [who for who, _ in told_of_eggs(home)] == ["Ana", "Ben"]


def test_neither_an_older_programs_note_nor_another_language_is_a_message(
    memory_folder: Path,
) -> None:
    with house(memory_folder, at("08:00")) as home:
        report.make(home.journal, "orchard", medicine(None), home.clock.at)
        home.at(at("09:00"))
        told = told_of_eggs(home)
        assert [who for who, _ in told] == ["Ana", "Ben"]
        with home.journal.writing() as writing:
            kept = json.loads(memos.recall(writing.connection, "orchard", "eggs-told") or "")
            del kept["walnut"]["about"]  # as a program kept it that compared titles
            memos.note(writing.connection, "orchard", "eggs-told", json.dumps(kept))
        home.at(at("09:00", SUMMER + DAY))
        assert told_of_eggs(home) == told
        of_eggs = {"EggsWithheld.not_for_eating": "Keine Eier essen, {until}"}
        with speaking(Language("de", of_eggs)):
            home.at(at("09:00", SUMMER + 2 * DAY))
            assert told_of_eggs(home) == told


def briefs(home: Driven, days: int) -> list[str]:
    """The first line of the brief of so many mornings."""
    found = []
    for number in range(days):
        home.at(at("07:01", SUMMER + number * DAY))
        messages = [one.outgoing.message for one in home.messages()]
        body = [one.body for one in messages if one.title.startswith("Today:")][-1]
        found.append(body.splitlines()[0])
    return found


def test_the_brief_says_first_until_when_no_egg_is_eaten_and_once_that_it_is_over(
    memory_folder: Path,
) -> None:
    with house(memory_folder, at("06:00")) as home:
        report.make(home.journal, "orchard", medicine(2), home.clock.at - MINUTE)
        first = briefs(home, 5)
    rule = "Do not eat, give away or sell the eggs before Fri 23 Jul."
    assert first[:3] == [rule] * 3
    assert first[3] == "By the label, eggs laid from today (Fri 23 Jul) on may be eaten again."
    assert "eggs" not in first[4].partition("lock up")[0]


def test_an_unread_label_is_asked_about_each_morning(memory_folder: Path) -> None:
    with house(memory_folder, at("06:00")) as home:
        report.make(home.journal, "orchard", medicine(None), home.clock.at - MINUTE)
        told = briefs(home, 2)
    assert (
        told == ["Do not eat, give away or sell the eggs until the vet or the label says so."] * 2
    )
