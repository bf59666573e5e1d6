"""The brief tells once that there is no forecast any more, and once a season of the first frost."""

from dataclasses import replace
from datetime import date, datetime, timedelta
from pathlib import Path

import pytest

from scheduler.cares.decided import DecidedDay
from scheduler.cares.records import Records
from scheduler.climate.chance import first_frost
from scheduler.climate.curve import averages
from scheduler.climate.weather import Reading
from scheduler.service.almanac import Almanac
from scheduler.watch import weather_in_brief
from tests.alerts.orchard import ANA, BOTH, KEY, SITE, TEXT, WALNUT, at, household
from tests.faults.driven import driven, memory_folder
from tests.service.desk import desk
from tests.weather_decided import decided, keep_decided

__all__ = ["memory_folder"]
DAY = timedelta(days=1)
YES = '[forecast]\nsources = ["met-norway"]\ncontact = "sam@example.org"\n'
FROST = (
    "The first frost of the autumn may come tonight: think of the drinkers, the hose and the eggs."
)
SOUTH = SITE.replace("51.5", "-51.5").replace("Europe/London", "America/Argentina/Rio_Gallegos")


def days_of(text: str, *weather: DecidedDay) -> Almanac:
    return Almanac(household=household(text), records=Records(weather=weather), ways=BOTH, key=KEY)


def morning(day: date) -> datetime:
    return at("07:00", day)


class Told:
    """The briefs of a household, one after another."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def __call__(self, almanac: Almanac, day: date, now: datetime | None = None) -> list[str]:
        with desk(self.folder) as house, house.journal.writing() as writing:
            now = now or morning(day)
            said = list(weather_in_brief.lines(almanac, writing.connection, day, now))
            weather_in_brief.told(almanac, writing.connection, day, now)
            return said


@pytest.fixture
def told(tmp_path: Path) -> Told:
    return Told(tmp_path)


def usual_first(text: str = TEXT, year: int = 2026) -> tuple[date, date]:
    found = first_frost(averages(household(text).profile), year)
    assert found
    return found.one_in_ten, found.usual


def frosty(day: date, low_c: float = -3.0) -> DecidedDay:
    """The forecast for the night after that day."""
    return decided(day + DAY, low_c)


def test_the_first_frost_is_told_once_a_season(told: Told) -> None:
    _, usual = usual_first()
    assert told(days_of(TEXT, frosty(usual)), usual) == [FROST]
    for later in (usual, usual + DAY, usual + 5 * DAY):
        assert told(days_of(TEXT, frosty(later)), later) == []
    _, next_year = usual_first(year=2027)
    assert told(days_of(TEXT, frosty(next_year)), next_year) == [FROST]


def test_it_is_told_from_a_chance_of_one_in_five_and_of_a_forecast_alone(told: Told) -> None:
    _, usual = usual_first()
    unlikely, by_year = frosty(usual, low_c=1.3), frosty(usual)
    low_c = Reading(value=-3.0, sd=2.0)
    by_year = replace(by_year, weather=replace(by_year.weather, low_c=low_c))
    for weather in (unlikely, by_year, decided(usual), decided(usual + 2 * DAY)):
        assert told(days_of(TEXT, weather), usual) == []
    # 0 °C is 0.84 standard deviations below the low: a chance of 20 %.
    assert told(days_of(TEXT, frosty(usual, low_c=1.09)), usual) == [FROST]


def test_it_is_not_told_long_before_it_may_come_nor_when_it_has_come_for_long(told: Told) -> None:
    rare, usual = usual_first()
    earliest = rare - timedelta(days=14)
    latest = usual + (usual - rare) + timedelta(days=14)
    for day in (earliest - DAY, latest + DAY, latest + timedelta(days=100)):
        assert told(days_of(TEXT, frosty(day)), day) == []
    assert told(days_of(TEXT, frosty(earliest)), earliest) == [FROST]


def test_the_region_and_the_south_have_it_in_their_own_words_and_months(told: Told) -> None:
    american = TEXT.replace('region = "UK"', 'region = "US"')
    _, usual = usual_first(american)
    [line] = told(days_of(american, frosty(usual)), usual)
    assert line.startswith("The first frost of the fall may come tonight: think of the waterers")
    southern = SOUTH + WALNUT + ANA
    _, usual = usual_first(southern, 2027)
    assert usual.month in range(3, 8)
    [line] = told(days_of(southern, frosty(usual)), usual)
    assert line.startswith("The first frost of the ")


def test_that_no_forecast_comes_is_told_once_until_one_has_come_again(told: Told) -> None:
    day = date(2026, 12, 20)  # when the forecast of decided days was made, at 07:30
    almanac = days_of(TEXT + YES, decided(day, low_c=5.0))
    lost = at("20:00", day + DAY)
    assert told(almanac, day + DAY, at("19:29", day + DAY)) == []
    line = "No forecast since Sun 07:30: the year's averages stand in."
    assert told(almanac, day + DAY, lost) == [line]
    assert told(almanac, day + 2 * DAY) == []
    again = decided(day + 3 * DAY, low_c=5.0)
    low_c = replace(again.weather.low_c, at=at("07:30", day + 3 * DAY))
    again = replace(again, weather=replace(again.weather, low_c=low_c))
    almanac = days_of(TEXT + YES, again)
    assert told(almanac, day + 4 * DAY) == []
    assert told(almanac, day + 5 * DAY) == [line.replace("Sun", "Wed")]


def test_who_has_agreed_to_no_service_is_told_of_none_that_is_missing(told: Told) -> None:
    almanac = days_of(TEXT, decided(date(2026, 12, 20), low_c=5.0))
    assert told(almanac, date(2026, 12, 23)) == []


def test_it_stands_in_one_brief_that_goes_out(memory_folder: Path) -> None:
    day = date(2026, 12, 20)  # when the forecast was made
    with driven(memory_folder, TEXT + YES, at("12:30", day)) as home:
        keep_decided(home.journal, "orchard", [decided(day, low_c=5.0)])
        for after in range(1, 5):
            home.at(at("07:00", day + after * DAY))
        briefs = [
            (one.at.date(), "No forecast since Sun 07:30" in one.outgoing.message.body)
            for one in home.arrived
            if one.outgoing.message.title.startswith("Today: ")
        ]
    assert [on for on, told in briefs if told] == [day + 2 * DAY]
    assert len({on for on, _ in briefs}) == 4
