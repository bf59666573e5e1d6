"""What the weather goes by where a service, a host or a thermometer has nothing to tell."""

from pathlib import Path

from scheduler.climate.forecast import OfficialWarning
from scheduler.sources.forecast_port import refused
from tests.conftest import SMALL
from tests.faults.driven import DAY, MINUTE, memory_folder
from tests.watch.skies import ANA, AWAY, FIRST, HOUR, ICE, TODAY, profile, sensor, show, skies
from tests.weather_decided import measured_since

__all__ = ["memory_folder"]

TONIGHT = OfficialWarning(
    id="urn:1",
    kind="storm",
    event="High Wind Warning",
    headline="High Wind Warning from 8 pm",
    sender="NWS Gray ME",
    onset=FIRST + 14 * HOUR,
    ends=FIRST + 16 * HOUR,
)


def test_a_host_without_a_forecast_decides_nothing_against_one_that_had_it(
    memory_folder: Path,
) -> None:
    with skies(memory_folder, profile("met-norway")) as over:
        over.met.celsius = -4.0
        over.turn(FIRST)
        before = over.decided
        assert ICE in before[TODAY + DAY].signs
        over.lose_copies()
        over.restart()
        over.met.answers = [AWAY] * 500
        over.turns(FIRST + HOUR, FIRST + 34 * HOUR, every=20 * MINUTE)
        assert {day: over.decided[day] for day in before} == before
        over.turns(FIRST + 34 * HOUR, FIRST + 40 * HOUR, every=20 * MINUTE)  # now it is too old
        assert over.decided[TODAY + 3 * DAY].weather.low_c.source == "climate"


def test_each_decision_goes_by_the_thermometer_while_a_service_is_away(memory_folder: Path) -> None:
    file = memory_folder / "garden.json"
    with skies(memory_folder, profile("met-norway", more=sensor(file))) as over:
        over.met.celsius = -4.0
        over.turn(FIRST)
        over.lose_copies()
        over.restart()
        over.met.answers = [AWAY] * 500
        for hours, air_c in ((50, 17.0), (59, 19.0)):  # two decisions; the forecast is too old
            at = FIRST + hours * HOUR
            show(file, air_c, at)
            over.watch.turn(at)
            of = over.decided[TODAY + 2 * DAY].weather
            assert (of.high_c.source, of.high_c.value) == ("measured", air_c)
        assert over.decided[TODAY + 3 * DAY].weather.low_c.source == "climate"


def test_a_warning_outlives_a_restart_in_which_nobody_tells_of_any(memory_folder: Path) -> None:
    with skies(memory_folder, profile("us-nws")) as over:
        over.tell_warnings(TONIGHT)
        over.turn(FIRST)
        assert over.decided[TODAY].weather.warnings == (TONIGHT,)
        over.restart()
        over.turns(FIRST + HOUR, FIRST + 12 * HOUR, every=20 * MINUTE)  # over the next decision
        assert over.decided[TODAY].weather.warnings == (TONIGHT,)
        assert "warned:storm" in over.decided[TODAY].signs
        over.turns(TONIGHT.ends, TONIGHT.ends + 20 * MINUTE, every=20 * MINUTE)
        assert not over.decided[TODAY].weather.warnings
        assert "warned:storm" in over.decided[TODAY].signs | over.decided[TODAY].stood


def test_a_ban_on_asking_for_warnings_outlives_a_clock_set_back(memory_folder: Path) -> None:
    with skies(memory_folder, profile("us-nws")) as over:
        over.warnings.answers.append(refused("not let in", until_restart=True))
        over.watch.turn(FIRST + 3 * DAY)
        over.turns(FIRST, FIRST + 2 * HOUR, every=5 * MINUTE)
        assert len(over.warnings.asked) == 1


def test_a_stuck_thermometer_is_not_believed_before_it_shows_something_else(
    memory_folder: Path,
) -> None:
    file = memory_folder / "garden.json"
    with skies(memory_folder, SMALL + ANA + sensor(file)) as over:
        for number in range(4 * 24):
            show(file, -5.0, FIRST + number * HOUR)
            over.watch.turn(FIRST + number * HOUR)
        kept = measured_since(over.house.journal, "orchard", FIRST + 25 * HOUR)
        assert kept == ()
        last = FIRST + 4 * 24 * HOUR
        show(file, -4.9, last)
        over.watch.turn(last)
        assert len(measured_since(over.house.journal, "orchard", last)) == 1
