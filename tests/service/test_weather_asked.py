"""What a plan reads of the decided weather: who asks for it, of which days, and what it costs."""

from datetime import timedelta
from pathlib import Path

from sqlalchemy import event

from scheduler.service.reports.report import records
from scheduler.service.weather_asked import around, over
from scheduler.web.household_now import Lookout
from tests.alerts.orchard import TEXT, WINTER, at
from tests.faults.driven import driven
from tests.service.desk import desk
from tests.weather_decided import decided, keep_decided

DAY = timedelta(days=1)


def test_only_who_asks_for_the_weather_of_days_gets_it(tmp_path: Path) -> None:
    days = [decided(WINTER + n * DAY) for n in range(-20, 21)]
    with desk(tmp_path) as house:
        journal, household = house.journal, house.days.household
        keep_decided(journal, "orchard", days)
        keep_decided(journal, "elsewhere", [decided(WINTER, low_c=-20.0)])
        assert records(journal, household).weather == ()
        found = records(journal, household, over(WINTER, WINTER)).weather
        assert [one.day - WINTER for one in found] == [-DAY, 0 * DAY, DAY]
        found = records(journal, household, around(WINTER)).weather
        assert {WINTER - 7 * DAY, WINTER, WINTER + 7 * DAY} <= {one.day for one in found}
        assert len(found) < len(days)


def test_it_costs_one_query_whatever_is_kept(tmp_path: Path) -> None:
    with desk(tmp_path) as house:
        journal, household = house.journal, house.days.household
        asked: list[str] = []
        event.listen(
            journal.engine, "before_cursor_execute", lambda *given: asked.append(str(given[2]))
        )

        def costs(*, weather: bool) -> int:
            asked.clear()
            records(journal, household, around(WINTER) if weather else None)
            return len(asked)

        without = costs(weather=False)
        assert costs(weather=True) == without + 1
        keep_decided(journal, "orchard", [decided(WINTER + n * DAY) for n in range(-60, 8)])
        assert costs(weather=True) == without + 1
        assert costs(weather=False) == without


def test_reminders_and_pages_go_by_what_was_decided_last(tmp_path: Path) -> None:
    frost, mild = decided(WINTER), decided(WINTER, low_c=5.0, at=at("12:02"))
    with driven(tmp_path, TEXT, at("12:00")) as house:
        running = house.running
        lookout = Lookout(house.profile_path, running.place, running.almanac.key)
        for number, one in enumerate((frost, mild)):
            keep_decided(running.journal, "orchard", [one])
            now = at(f"12:{10 + number}")
            house.at(now)
            assert running.almanac.records.weather == (one,)
            assert lookout.standing(now).records.weather == (one,)
        lookout.close()
