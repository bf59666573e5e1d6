"""What is done once a night beside the reminders."""

from dataclasses import replace
from datetime import timedelta
from pathlib import Path
from typing import Any

import pytest

from scheduler.cares.records import Records
from scheduler.climate.forecast import Measured
from scheduler.journal import access
from scheduler.journal.access import SignedIn
from scheduler.service.calendars import shelf
from scheduler.service.data_place import DataPlace
from scheduler.watch.housekeeping import Housekeeping
from tests.alerts.orchard import TEXT, WINTER, at
from tests.service.desk import desk
from tests.unhurried import unhurried
from tests.weather_decided import decided, decided_days, keep_decided, measured_since

YEAR = timedelta(days=365)


@unhurried
def test_a_session_whose_time_is_over_is_forgotten_at_night(tmp_path: Path) -> None:
    now = at("03:30", WINTER)
    over = SignedIn(
        id_hash="a" * 64,
        person_id="ana",
        device="phone",
        made_at=now - YEAR,
        until=now - timedelta(minutes=1),
    )
    lasts = replace(over, id_hash="b" * 64, until=now + YEAR)
    with desk(tmp_path, TEXT) as house:
        with house.journal.writing() as writing:
            for one in (over, lasts):
                access.sign_in(writing.connection, "orchard", one)
        Housekeeping(DataPlace(tmp_path)).run(house.journal, house.days, 1, now)
        with house.journal.reading() as connection:
            assert access.sessions(connection, "orchard") == (lasts,)


def test_calendars_are_published_again_when_a_statement_empties_a_house(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    published: list[object] = []

    def publish(*given: object) -> tuple[()]:
        published.append(given)
        return ()

    monkeypatch.setattr(shelf, "publish", publish)
    work, now = Housekeeping(DataPlace(tmp_path)), at("02:30", WINTER)
    with desk(tmp_path, TEXT) as house:
        work.run(house.journal, house.days, 1, now)
        house.say("closed", "16:20", 12)
        work.run(house.journal, house.days, 1, now)
        assert len(published) == 1
        house.say("elsewhere", "16:30", 12)
        work.run(house.journal, house.days, 1, now)
        work.run(house.journal, house.days, 1, now)
        assert len(published) == 2


def test_a_forecast_publishes_no_calendar_anew(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    published: list[Records] = []

    def publish(*given: Any) -> tuple[()]:
        published.append(given[4])
        return ()

    monkeypatch.setattr(shelf, "publish", publish)
    work, now = Housekeeping(DataPlace(tmp_path)), at("02:30", WINTER)
    with desk(tmp_path, TEXT) as house:
        for low_c in (None, -3.0, -9.0):
            weather = () if low_c is None else (decided(WINTER, low_c),)
            known = replace(house.days.records, weather=weather)
            work.run(house.journal, replace(house.days, records=known), 1, now)
        assert [one.weather for one in published] == [()]


def test_weather_is_forgotten_two_months_after_its_day_and_what_was_measured_after_three_days(
    tmp_path: Path,
) -> None:
    now, day = at("03:30", WINTER), timedelta(days=1)
    days = [decided(WINTER - n * day) for n in (61, 60, 0)]
    shown = [Measured(at=now - 3 * day + n * timedelta(minutes=1), air_c=1.0) for n in (-1, 0)]
    with desk(tmp_path, TEXT) as house:
        keep_decided(house.journal, "orchard", days)
        for one in shown:
            house.journal.keep_measured("orchard", "garden", one)
        Housekeeping(DataPlace(tmp_path)).run(house.journal, house.days, 1, now)
        kept = decided_days(house.journal, "orchard")
        assert kept == tuple(days[1:])
        assert measured_since(house.journal, "orchard", now - YEAR) == (("garden", shown[1]),)
