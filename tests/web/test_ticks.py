"""A tick counts against what was asked when it was made, and can be taken back later."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import UTC, date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from scheduler.cares.done_and_waiting import TaskKey
from scheduler.cares.records import Report, Spell
from scheduler.journal.access import SignedIn
from scheduler.service import diary_export
from scheduler.service.diary import Speaker
from scheduler.service.reports import report
from scheduler.web.household_now import Lookout
from scheduler.web.job_lines import JobLine, anchor_of, written
from scheduler.web.last_results import Plans
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.web.views import add, birds, today
from tests.alerts.orchard import ANA, KEY, SITE, WALNUT
from tests.faults.driven import DAY, MINUTE, Driven, driven, memory_folder
from tests.unhurried import unhurried

__all__ = ["memory_folder"]
SUMMER = date(2027, 7, 20)
ZONE = ZoneInfo("Europe/London")
EMERGENCY = TaskKey("heat-emergency", "walnut", SUMMER)


def at(clock: str, day: date = SUMMER) -> datetime:
    return datetime.combine(day, time.fromisoformat(clock), ZONE).astimezone(UTC)


class Home(Driven):
    """A household with the page Today, asked in this process."""

    lookout: Lookout
    plans: Plans

    def heat(self, air_c: float, clock: str, days: int = 1) -> int:
        self.at(at(clock))
        spell = Spell(first=SUMMER, last=SUMMER + (days - 1) * DAY)
        told = Report(kind="heat", spell=spell, air_c=air_c, said_by="Ben")
        number = report.make(self.journal, "orchard", told, self.clock.at)
        self.at(self.clock.at + MINUTE / 4)
        return number

    def speaker(self) -> Speaker:
        return Speaker(who="Ben", now=self.clock.at, today=SUMMER)

    def visit(self, **form: str) -> Visit:
        now = self.clock.at
        sent = {name: [value] for name, value in form.items()}
        standing = self.lookout.standing(now)
        session = SignedIn(id_hash="", person_id="ana", device="", made_at=now, until=now + MINUTE)
        return Visit(now=now, standing=standing, lookout=self.lookout, session=session, form=sent)

    def tap(self, do: str, clock: str, key: TaskKey = EMERGENCY) -> Answer:
        self.at(at(clock, key.day))
        return today.ticked(self.visit(job=written(key), do=do), self.plans)

    def lines(self, part: str) -> list[JobLine]:
        facts = today.show(self.visit(), self.plans).facts[part]
        assert isinstance(facts, list)
        return facts

    def reports(self) -> list[dict[str, list[str]]]:
        reports = add.PAGE.show(self.visit()).facts["reports"]
        assert isinstance(reports, list)
        return reports

    def is_ticked(self, key: TaskKey = EMERGENCY) -> bool:
        (line,) = [one for one in self.lines("urgent") if key in one.keys]
        return bool(line.done)

    def diary(self) -> list[tuple[str, bool]]:
        """When the emergency was ticked, and whether that was taken back."""
        pages = diary_export.pages(self.journal, self.visit().standing.household)
        rows = [diary_export.row(one) for page in pages for one in page]
        return sorted((row[6], bool(row[8])) for row in rows if row[2] == EMERGENCY.care_id)


@contextmanager
def home(folder: Path) -> Iterator[Home]:
    with driven(folder, SITE + WALNUT + ANA, at("08:00")) as found:
        made = Home(folder=folder, clock=found.clock, channels=found.channels, ticker=found.ticker)
        made.lookout = Lookout(found.profile_path, found.running.place, KEY)
        made.plans = Plans()
        made.at(at("08:00"))
        yield made
        made.lookout.close()


def test_a_worse_heat_opens_the_job_again_and_both_ticks_stay_in_the_diary(
    memory_folder: Path,
) -> None:
    with home(memory_folder) as house:
        house.heat(38.0, "09:00")
        house.tap("done", "09:30")
        assert house.is_ticked()
        house.heat(40.0, "10:00")
        assert house.is_ticked(), "two degrees more are told to nobody"
        worse = house.heat(41.0, "11:00")
        assert not house.is_ticked()
        house.tap("done", "11:30")
        assert house.is_ticked()
        assert house.diary() == [("2027-07-20T08:30:00Z", False), ("2027-07-20T10:30:00Z", False)]
        house.tap("undo", "11:40")
        assert not house.is_ticked()
        assert [gone for _, gone in house.diary()] == [False, True]
        assert worse


def test_a_tick_counts_again_when_the_worse_report_was_a_mistake(memory_folder: Path) -> None:
    with home(memory_folder) as house:
        house.heat(38.0, "09:00")
        house.tap("done", "09:30")
        worse = house.heat(45.0, "10:00")
        assert not house.is_ticked()
        report.undo(house.journal, "orchard", worse, house.speaker())
        assert house.is_ticked()


@pytest.mark.parametrize("withdraw", ["undo", "end"])
@unhurried
def test_what_is_left_of_two_reports_asks_for_nothing_anew(
    memory_folder: Path, withdraw: str
) -> None:
    with home(memory_folder) as house:
        first = house.heat(38.0, "09:00")
        house.tap("done", "09:30")
        house.heat(38.0, "10:00")
        if withdraw == "undo":
            report.undo(house.journal, "orchard", first, house.speaker())
        else:
            yesterday = SUMMER - DAY
            report.end(house.journal, "orchard", first, yesterday, house.speaker())
        told = len(house.messages())
        house.at(at("10:01"))
        assert house.is_ticked()
        assert len(house.messages()) == told


def test_the_minutes_of_a_walk_are_those_of_the_jobs_that_stand_under_it(
    memory_folder: Path,
) -> None:
    with home(memory_folder) as house:
        house.heat(36.0, "09:00")
        facts = today.show(house.visit(), house.plans).facts
        now, others = facts["rounds_now"], facts["rounds_else"]
        assert isinstance(now, list)
        assert isinstance(others, list)
        rounds = now + others
        told = {one.name: one.minutes for one in rounds}
        assert told == {one.name: sum(line.minutes for line in one.lines) for one in rounds}
        assert 0 < told["midday"] < sum(line.minutes for line in house.lines("urgent"))


def test_the_answer_to_a_report_says_what_to_do_now(memory_folder: Path) -> None:
    with home(memory_folder) as house:
        house.at(at("09:00"))
        made = add.PAGE.make(house.visit(kind="heat", air="38"))
        assert made.location == "/add#report-1"
        house.at(at("13:10"))
        second = add.PAGE.make(house.visit(kind="heat", air="42"))
        assert second.location == "/add#report-2"
        later, first = house.reports()
        assert first["urgent"] == [], "it is four hours old"
        (job,) = later["urgent"]
        assert job.startswith("Heat emergency: cool water, shade, moving air. Do it now. ")
        assert not any("Heat emergency" in one for one in later["changes"]), "it was said"


def test_a_report_asks_for_nothing_that_was_ticked_since(memory_folder: Path) -> None:
    with home(memory_folder) as house:
        house.heat(36.0, "09:00")
        (job,) = house.reports()[0]["urgent"]
        assert job.startswith(
            "Heat emergency: cool water, shade, moving air. Do it today at 13:06. "
        )
        house.tap("done", "09:30")
        assert house.reports()[0]["urgent"] == []
        house.heat(40.0, "10:00")
        assert all(one["urgent"] == [job] for one in house.reports()), "it is open again"
        house.tap("done", "10:20")
        assert not any(one["urgent"] for one in house.reports())
        house.tap("undo", "10:21")
        assert all(one["urgent"] == [job] for one in house.reports())


def test_the_answer_to_word_of_ill_birds_says_what_to_do_now(memory_folder: Path) -> None:
    with home(memory_folder) as house:
        house.at(at("09:00"))
        told = house.visit(kind="illness", coop="walnut", count="2", sign="swollen-head", sure="1")
        assert birds.PAGE.make(told).location == "/birds#report-1"
        reports = birds.PAGE.show(house.visit()).facts["reports"]
        assert isinstance(reports, list)
        assert reports[0]["urgent"][0].startswith("Ill birds: call your vet")
        assert "Do it now. " in reports[0]["urgent"][0]


def test_a_tick_whose_job_has_left_the_plan_can_be_taken_back(memory_folder: Path) -> None:
    with home(memory_folder) as house:
        number = house.heat(38.0, "09:00")
        house.tap("done", "09:30")
        assert house.lines("unplanned") == []
        report.undo(house.journal, "orchard", number, house.speaker())
        (line,) = house.lines("unplanned")
        assert line.text == "Heat emergency: cool water, shade, moving air"
        assert line.done == "Ana, 09:30"
        assert house.tap("done", "09:40").status == 422, "it is asked of nobody any more"
        assert house.tap("undo", "09:41").status == 303
        assert house.lines("unplanned") == []
        assert house.diary() == [("2027-07-20T08:30:00Z", True)]


def test_an_undo_of_what_is_taken_back_already_says_so(memory_folder: Path) -> None:
    with home(memory_folder) as house:
        number = house.heat(38.0, "09:00")
        house.tap("done", "09:30")
        assert house.tap("undo", "09:31").location == f"/#{anchor_of(EMERGENCY)}"
        again = house.tap("undo", "09:32").location
        assert again.startswith(f"/?already={anchor_of(EMERGENCY)}#")
        report.undo(house.journal, "orchard", number, house.speaker())
        answer = add.PAGE.end(house.visit(number=str(number), do="undo"))
        assert answer.location == f"/add?already={number}#report-{number}"
        visit = replace(house.visit(), query={"already": str(number)})
        assert add.PAGE.show(visit).facts["already"] == (
            "Nothing has changed: that had already been taken back by Ben, Tue 20 Jul, 09:32."
        )
        gone = replace(house.visit(), query={"overtaken": "walnut-2027-06-01"})
        assert "no longer on this page" in str(today.show(gone, house.plans).facts["untold"])


def test_the_walk_at_midday_is_ticked_of_itself_but_for_the_hour_before(
    memory_folder: Path,
) -> None:
    with home(memory_folder) as found:
        found.heat(36, "10:00")
        found.tap("done", "10:10")
        assert found.is_ticked()
        found.at(at("13:00"))
        assert found.is_ticked(), "the walk is not due yet"
        found.at(at("13:30"))
        assert not found.is_ticked(), "it has been called for once more"
        found.tap("done", "13:31")
        assert found.is_ticked()


def test_on_the_days_after_the_report_the_walk_at_midday_is_ticked_of_itself_as_well(
    memory_folder: Path,
) -> None:
    with home(memory_folder) as found:
        found.heat(36, "10:00", days=2)
        second = replace(EMERGENCY, day=SUMMER + DAY)
        found.tap("done", "10:10", second)
        assert found.is_ticked(second)
        found.at(at("13:30", SUMMER + DAY))
        assert not found.is_ticked(second), "it has been called for once more"
        found.tap("done", "13:31", second)
        assert found.is_ticked(second)
        found.at(at("14:40", SUMMER + DAY))
        assert found.is_ticked(second)


def test_a_tick_in_the_hour_before_the_walk_is_the_walk(memory_folder: Path) -> None:
    with home(memory_folder) as found:
        found.heat(36, "10:00")
        found.tap("done", "12:30")
        found.at(at("13:30"))
        assert found.is_ticked()
