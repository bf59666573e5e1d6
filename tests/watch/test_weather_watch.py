"""The weather's own turns: whom they ask and when, what they decide and when, and on two hosts."""

import threading
from collections.abc import Sequence
from dataclasses import replace
from datetime import UTC, date, datetime, time
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from scheduler.climate.blend import Known
from scheduler.journal import memos
from scheduler.journal.fault import JournalFault
from scheduler.journal.store import Journal, open_journal
from scheduler.service.weather.ask import Services
from scheduler.service.weather.week import DECIDED_FOR, decide_week, decisions
from scheduler.sources.forecast_port import Answer, Asking, Fresh, refused
from scheduler.sources.met_norway import MetNorway
from scheduler.sources.us_nws_warnings import UsNwsWarnings
from scheduler.watch.weather_watch import WeatherWatch
from tests.alerts.orchard import household
from tests.channels.conftest import authority
from tests.climate.test_blend import flat, forecast
from tests.conftest import SMALL
from tests.faults.driven import DAY, MINUTE, driven, memory_folder
from tests.journal.conftest import journal, made
from tests.sinks.authority import Authority
from tests.sources.forecast_rigs import client
from tests.sources.met_norway_server import MetNorwayServer
from tests.sources.us_nws_server import UsNwsServer
from tests.watch.skies import (
    ANA,
    AWAY,
    FIRST,
    HOUR,
    ICE,
    TODAY,
    profile,
    sensor,
    show,
    skies,
)
from tests.weather_decided import decided_days, measured_since

__all__ = ["authority", "journal", "made", "memory_folder"]


# Whom it asks


@pytest.mark.parametrize("text", [SMALL + ANA, profile()])
def test_nobody_is_asked_and_nothing_decided_where_nobody_agreed(
    memory_folder: Path, text: str
) -> None:
    with skies(memory_folder, text) as over:
        before = over.house.journal.changes()
        over.turns(FIRST, FIRST + 2 * DAY, every=10 * MINUTE)
        assert not over.met.asked + over.open_meteo.asked + over.nws.asked + over.warnings.asked
        assert over.decided == {}
        assert over.house.journal.changes() == before
        assert over.made == 0


def test_only_who_was_named_is_asked_and_the_next_only_where_the_first_tells_nothing(
    memory_folder: Path,
) -> None:
    with skies(memory_folder, profile("met-norway", "open-meteo")) as over:
        over.turns(FIRST, FIRST + 6 * HOUR)
        assert len(over.met.asked) > 5
        assert not over.open_meteo.asked
        assert not over.nws.asked
        assert not over.warnings.asked
        # It falls silent; its last copy is good for 36 hours.
        over.met.answers = [AWAY] * 500
        last = FIRST + 6 * HOUR
        over.turns(last, last + 34 * HOUR, every=5 * MINUTE)
        assert not over.open_meteo.asked
        over.turns(last + 34 * HOUR, last + 42 * HOUR, every=5 * MINUTE)
        assert over.open_meteo.asked
        found = over.decided[(last + 42 * HOUR).date() + DAY]
        assert found.weather.low_c.by == "open-meteo"


def test_a_source_is_asked_once_a_round_of_half_an_hour_or_more(memory_folder: Path) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.turns(FIRST, FIRST + 5 * HOUR)
        assert 7 <= len(over.met.asked) <= 10


@pytest.mark.parametrize(
    ("answer", "most"),
    [
        (refused("broken"), 2 * 10),  # each round once more after some minutes
        (AWAY, 2 * 10),
        (refused("throttled", 7200.0), 3),
        (refused("throttled"), 3),  # one hour, two, four
        (refused("not let in", until_restart=True), 1),
        (refused("outside", 86_400.0), 1),
        (Fresh(body=b"<html>"), 10),
        (Fresh(body=b"{}"), 10),
    ],
)
def test_who_refuses_or_lies_is_asked_no_more_often_than_its_rules_let(
    memory_folder: Path, answer: Answer, most: int
) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.met.answers = [answer] * 1000
        over.turns(FIRST, FIRST + 5 * HOUR)
        assert 1 <= len(over.met.asked) <= most
        assert over.decided == {}


def test_a_second_try_that_brings_rubbish_is_the_last_of_its_round(memory_folder: Path) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.met.answers = [refused("broken"), *[Fresh(body=b"<html>")] * 1000]
        over.turns(FIRST, FIRST + 36 * MINUTE)
        assert len(over.met.asked) == 2


def test_warnings_are_asked_only_with_the_us_service_and_every_quarter_of_an_hour_at_most(
    memory_folder: Path,
) -> None:
    with skies(memory_folder, profile("us-nws")) as over:
        over.turns(FIRST, FIRST + 2 * HOUR)
        gaps = zip(over.warnings.asked, over.warnings.asked[1:], strict=False)
        assert len(over.warnings.asked) == 9
        assert all(later - earlier >= 15 * MINUTE for earlier, later in gaps)


def test_a_set_back_clock_keeps_nobody_unasked(memory_folder: Path) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        ahead = FIRST + 3 * DAY
        over.watch.turn(ahead)
        asked = len(over.met.asked)
        over.turns(FIRST, FIRST + 2 * HOUR, every=5 * MINUTE)
        assert len(over.met.asked) > asked
        assert over.decided[TODAY + 4 * DAY].decided_at < FIRST + 3 * HOUR


def test_a_forbidden_source_stays_so_until_the_keeper_changes_what_it_is_asked(
    memory_folder: Path,
) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.met.answers = [refused("not let in", until_restart=True)]
        over.turns(FIRST, FIRST + 2 * HOUR)
        over.rewrite(profile("met-norway").replace("hens = 12", "hens = 13"), FIRST + 3 * HOUR)
        assert over.house.running.household.profile.flock[0].hens == 13
        assert len(over.met.asked) == 1
        over.rewrite(profile("met-norway").replace("sam@", "kim@"), FIRST + 4 * HOUR)
        assert len(over.met.asked) == 2
        assert "kim@example.org" in over.met.asked[1].agent


def test_the_servers_rules_are_kept_over_the_wire(
    memory_folder: Path, authority: Authority
) -> None:
    """MET Norway: a name, no more often than it says, and only for what is new."""
    with (
        MetNorwayServer(authority.server(), FIRST) as met,
        UsNwsServer(authority.server(), FIRST) as nws,
        driven(memory_folder, profile("met-norway"), FIRST) as house,
    ):
        port = MetNorway(client=client(authority), server=met.url)
        watch = WeatherWatch(
            ticker=house.running,
            folder=house.folder / "copies",
            make_services=lambda: Services(
                ports={"met-norway": port},
                warnings=UsNwsWarnings(client=client(authority), server=nws.url),
            ),
            share=lambda: 0.5,
        )
        for number in range(0, 4 * 60, 5):
            now = FIRST + number * MINUTE
            met.now = now
            if number == 120:
                met.made_at = now - 10 * MINUTE
            watch.turn(now)
        asked = met.asked.all()
        assert 4 <= len(asked) <= 8
        assert all("sam@example.org" in one.headers["User-Agent"] for one in asked)
        assert all("lat=51.50" in one.path and "lon=-0.10" in one.path for one in asked)
        assert "If-Modified-Since" not in asked[0].headers
        assert all("If-Modified-Since" in one.headers for one in asked[1:])
        assert not nws.asked.all()
        assert [one.name for one in (house.folder / "copies").iterdir()] == ["met-norway.copy"]
        days = decided_days(house.journal, "orchard")
        assert {one.weather.low_c.by for one in days[1:6]} == {"met-norway"}


# When it decides


def test_it_decides_before_the_brief_and_three_hours_before_lock_up_and_else_only_adds(
    memory_folder: Path,
) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.met.celsius = 12.0
        over.turn(FIRST)
        mild = over.decided[TODAY + 2 * DAY]
        assert ICE not in mild.signs
        over.met.celsius = -4.0
        over.turn(FIRST + 2 * HOUR)
        cold = over.decided[TODAY + 2 * DAY]
        assert ICE in cold.signs
        over.met.celsius = 12.0
        over.turn(FIRST + 10 * HOUR)
        assert over.decided[TODAY + 2 * DAY] == cold
        lock_up = over.house.evenings(TODAY)[0].lock_up
        over.turn(lock_up - 3 * HOUR - MINUTE)
        assert over.decided[TODAY + 2 * DAY] == cold
        over.turn(lock_up - 3 * HOUR)
        assert ICE not in over.decided[TODAY + 2 * DAY].signs
        over.met.celsius = -4.0
        morning = datetime.combine(TODAY + DAY, time(5, 54), UTC)  # the brief is at seven, BST
        over.turn(morning - HOUR)
        over.met.celsius = 12.0
        over.turn(morning)
        assert ICE in over.decided[TODAY + 3 * DAY].signs
        over.turn(morning + MINUTE)
        assert ICE not in over.decided[TODAY + 3 * DAY].signs


def test_a_restart_decides_nothing_that_was_decided(memory_folder: Path) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.met.celsius = -4.0
        over.turn(FIRST)
        before = over.decided
        over.met.celsius = 12.0
        for number in range(1, 8):
            over.restart()
            over.turn(FIRST + number * HOUR)
        assert over.decided == before


def test_another_day_begins_and_what_stood_stays(memory_folder: Path) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.met.celsius = -4.0
        over.turn(FIRST)
        over.met.celsius = 12.0
        over.turn(FIRST + DAY - 10 * MINUTE)
        over.turn(FIRST + DAY)
        today = over.decided[TODAY + DAY]
        assert ICE in today.signs | today.stood
        tomorrow = over.decided[TODAY + 2 * DAY]
        assert ICE not in tomorrow.signs | tomorrow.stood


def test_what_was_forecast_of_hours_that_are_past_is_not_forgotten(memory_folder: Path) -> None:
    """The night is frosty; by noon each new forecast begins at noon and knows of no night."""
    with skies(memory_folder, profile("met-norway"), FIRST - 12 * HOUR) as over:
        over.met.celsius = -4.0
        over.turns(FIRST - 12 * HOUR, FIRST, every=30 * MINUTE)
        over.met.celsius = 12.0
        over.turns(FIRST + HOUR, FIRST + 10 * HOUR, every=30 * MINUTE)
        lock_up = over.house.evenings(TODAY)[0].lock_up
        over.turns(lock_up - 3 * HOUR, lock_up, every=30 * MINUTE)
        today = over.decided[TODAY]
        assert ICE in today.signs
        assert today.weather.low_c.source == "forecast"
        assert today.weather.low_c.value < 0
        assert today.weather.high_c.value > 9


LONDON = ZoneInfo("Europe/London")


@pytest.mark.parametrize(
    ("day", "brief", "expected"),
    [
        (date(2027, 3, 27), "07:00", "06:55"),
        (date(2027, 3, 28), "07:00", "05:55"),  # clocks go forward
        (date(2027, 3, 28), "01:30", "00:55"),  # no clock shows it
        (date(2027, 10, 31), "01:30", "00:25"),  # both show it; the first counts
        (date(2027, 10, 31), "07:00", "06:55"),
        (date(2027, 10, 31), "none", "06:55"),
    ],
)
def test_the_mornings_decision_comes_five_minutes_before_the_brief_on_every_day(
    day: date, brief: str, expected: str
) -> None:
    home = household(SMALL + ANA + f'[reminders]\nbrief = "{brief}"\n')
    lock_up = datetime.combine(day, time(18), UTC)
    morning, evening = decisions(home, day, lock_up)
    assert morning == datetime.combine(day, time.fromisoformat(expected), UTC)
    assert morning.tzinfo is UTC
    assert evening == lock_up - 3 * HOUR
    assert decisions(home, day, None) == (morning,)


# Nobody is asked any more


def test_agreement_withdrawn_the_days_go_back_to_the_year(memory_folder: Path) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.met.celsius = 25.0
        over.turn(FIRST)
        assert ICE not in over.decided[TODAY + 3 * DAY].signs
        asked = len(over.met.asked)
        over.rewrite(profile(), FIRST + HOUR)
        over.turns(FIRST + 2 * HOUR, FIRST + 2 * DAY, every=10 * MINUTE)
        assert len(over.met.asked) == asked
        for day in (TODAY + n * DAY for n in range(1, 8)):
            found = over.decided[day]
            assert found.weather.low_c.source == found.weather.high_c.source == "climate"
            assert ICE in found.signs  # in the middle of an English April it may freeze


def test_without_an_answer_for_36_hours_the_year_stands_in(memory_folder: Path) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.met.celsius = -20.0
        over.turn(FIRST)
        over.met.answers = [AWAY] * 1000
        over.turns(FIRST + HOUR, FIRST + 34 * HOUR, every=10 * MINUTE)
        assert over.decided[TODAY + 4 * DAY].weather.low_c.source == "forecast"
        over.turns(FIRST + 35 * HOUR, FIRST + 49 * HOUR, every=10 * MINUTE)
        assert over.decided[TODAY + 4 * DAY].weather.low_c.source == "climate"


# Thermometers


def test_a_thermometer_alone_bounds_the_night_and_makes_a_decision(memory_folder: Path) -> None:
    file = memory_folder / "garden.json"
    with skies(memory_folder, SMALL + ANA + sensor(file)) as over:
        show(file, -5.0, FIRST)
        over.turn(FIRST)
        low_c = over.decided[TODAY].weather.low_c
        assert (low_c.value, low_c.source) == (-5.0, "measured")
        assert ICE in over.decided[TODAY].signs


def test_a_thermometer_in_a_house_says_nothing_of_the_weather(memory_folder: Path) -> None:
    file = memory_folder / "garden.json"
    with skies(memory_folder, SMALL + ANA + sensor(file, "coop")) as over:
        show(file, -5.0, FIRST)
        over.turn(FIRST)
        assert over.decided == {}
        assert len(measured_since(over.house.journal, "orchard", FIRST - DAY)) == 1


@pytest.mark.parametrize("content", ["", "NaN", "85", "-61", "{", '{"air_c": "x"}', "9" * 5000])
def test_what_no_thermometer_can_show_is_not_kept(
    memory_folder: Path, content: str, caplog: pytest.LogCaptureFixture
) -> None:
    file = memory_folder / "garden.json"
    with skies(memory_folder, SMALL + ANA + sensor(file)) as over:
        file.write_text(content)
        with caplog.at_level("INFO"):
            over.turns(FIRST, FIRST + HOUR)
        assert measured_since(over.house.journal, "orchard", FIRST - DAY) == ()
        assert over.decided == {}
        assert sum(one.getMessage().startswith("thermometer") for one in caplog.records) <= 1


def test_a_thermometer_that_is_read_each_minute_is_written_down_every_five(
    memory_folder: Path,
) -> None:
    file = memory_folder / "garden.json"
    with skies(memory_folder, SMALL + ANA + sensor(file)) as over:
        for number in range(31):
            show(file, 4.0 + number / 100, FIRST + number * MINUTE)
            over.watch.turn(FIRST + number * MINUTE)
        assert len(measured_since(over.house.journal, "orchard", FIRST - DAY)) == 7


# What it stands


def test_a_turn_that_fails_ends_nothing_and_the_next_one_works(
    memory_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        fails = [JournalFault("away"), RuntimeError("lost"), MemoryError()]

        def look(*_: object) -> Sequence[object]:
            raise fails.pop(0)

        monkeypatch.setattr(over.met, "fetch", look)
        for number in range(4):
            over.house.at(FIRST + number * HOUR)
            over.watch.keep_up()
            over.watch.stop(20)
            if not fails:
                monkeypatch.undo()
        assert over.decided


def test_no_second_turn_begins_while_one_hangs_and_the_tick_waits_for_none(
    memory_folder: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        begun, go_on = threading.Event(), threading.Event()
        usual = over.met.fetch
        turns = []

        def hang(asking: Asking, now: datetime) -> Answer:
            turns.append(now)
            begun.set()
            assert go_on.wait(20)
            return usual(asking, now)

        monkeypatch.setattr(over.met, "fetch", hang)
        over.house.at(FIRST)
        over.watch.keep_up()
        assert begun.wait(20)
        for number in range(1, 6):
            over.house.at(FIRST + number * HOUR)
            over.watch.keep_up()
        assert len(turns) == 1
        go_on.set()
        over.watch.stop(20)
        assert over.decided


# Two hosts


@pytest.mark.postgresql
def test_two_hosts_decide_once_and_their_rows_are_one_weeks(
    journal: Journal, made: Path | str
) -> None:
    home = household(SMALL + ANA)
    other = open_journal(made)
    try:
        slot = FIRST - 5 * MINUTE
        cold, mild = (week_of(air_c, FIRST) for air_c in (-4.0, 12.0))
        barrier = threading.Barrier(2)
        found: list[int] = []

        def decide(at: Journal, known: Known) -> None:
            barrier.wait(20)
            found.append(len(decide_week(at, home, known, FIRST, slot=slot) or ()))

        hosts = [
            threading.Thread(target=decide, args=(at, known))
            for at, known in ((journal, cold), (other, mild))
        ]
        for one in hosts:
            one.start()
        for one in hosts:
            one.join(30)
        days = decided_days(journal, "orchard")
        assert len(days) == 8
        assert len({ICE in one.signs for one in days[2:6]}) == 1
        with journal.reading() as connection:
            assert memos.recall_instant(connection, "orchard", DECIDED_FOR) == slot
        assert max(found) == 8
    finally:
        other.close()


def week_of(air_c: float, now: datetime) -> Known:
    """A forecast of one temperature, as it is known then."""
    told = forecast(lambda at: replace(flat(at), air_c=air_c), made_at=now - HOUR)
    return Known(forecasts=[told])
