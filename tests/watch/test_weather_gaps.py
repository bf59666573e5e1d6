"""The tick tells which weather service told nothing new and which thermometer is not used."""

from collections.abc import Iterator
from dataclasses import replace
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from scheduler.service.health.tick_file import WeatherGap, read_pulse
from scheduler.service.weather.agreed import asking
from scheduler.service.weather.ask import Services
from scheduler.sources.forecast_port import Fresh, refused
from scheduler.watch.weather_watch import WeatherWatch
from tests.alerts.orchard import TEXT, at
from tests.faults.driven import Driven, driven, memory_folder
from tests.sinks.fake_forecast import FakeForecast

__all__ = ["memory_folder"]
YES = '[forecast]\nsources = ["met-norway"]\ncontact = "sam@example.org"\n'
HOUR = timedelta(hours=1)


class Watched:
    """A household whose weather is kept up by hand."""

    def __init__(self, home: Driven, service: FakeForecast) -> None:
        self.home, self.service = home, service
        self.watch = WeatherWatch(
            ticker=home.running,
            folder=home.folder / "forecast",
            make_services=lambda: Services(ports={"met-norway": service}),
            share=lambda: 0.0,
        )

    def gaps(self, now: datetime) -> tuple[WeatherGap, ...]:
        """What the tick tells after a turn."""
        self.home.clock.go_to(now)
        self.watch.turn(now)
        self.home.tick()
        pulse = read_pulse(self.home.folder / "data")
        assert pulse
        return pulse.gaps


@pytest.fixture
def sensor(tmp_path: Path) -> Path:
    """The file of a thermometer."""
    return tmp_path / "garden.txt"


@pytest.fixture
def watched(memory_folder: Path, sensor: Path) -> Iterator[Watched]:
    """With MET Norway and one thermometer outside."""
    of = f'[[sensor]]\nname = "Garden"\nwhere = "outside"\nfile = "{sensor}"\n'
    with driven(memory_folder, TEXT + YES + of, at("12:30")) as home:
        yield Watched(home, FakeForecast())


def test_what_is_refused_or_unreadable_is_told_until_a_forecast_comes(
    watched: Watched, sensor: Path
) -> None:
    sensor.write_text('{"air_c": 3.4, "at": "2026-12-21T12:30:00Z"}')
    now = at("12:31")
    watched.service.answers = [refused("broken"), Fresh(body=b"<html>")]
    broken = "the weather service has a fault of its own"
    assert watched.gaps(now) == (WeatherGap("service", "met-norway", broken),)
    assert watched.gaps(now + timedelta(minutes=1)) == (
        WeatherGap("service", "met-norway", broken),
    )
    [gap] = watched.gaps(now + HOUR)
    assert gap.why in {broken, "the answer is not a forecast at all"}
    assert watched.service.answers == []
    assert watched.gaps(now + 1.9 * HOUR) == ()


def test_a_thermometer_that_is_not_used_is_told_with_why(watched: Watched, sensor: Path) -> None:
    now = at("12:31")
    why = "the thermometer's file is not there or cannot be read"
    assert watched.gaps(now) == (WeatherGap("sensor", "Garden", why),)
    sensor.write_text('{"air_c": 85, "at": "2026-12-21T12:30:00Z"}')
    [gap] = watched.gaps(now + timedelta(minutes=1))
    assert gap.why == "the thermometer shows a temperature that does not occur"
    sensor.write_text('{"air_c": 3.4, "at": "2026-12-21T12:30:00Z"}')
    assert watched.gaps(now + timedelta(minutes=2)) == ()


def test_a_service_that_will_end_is_told_beside_its_forecast(
    watched: Watched, sensor: Path
) -> None:
    now = at("12:31")
    sensor.write_text('{"air_c": 3.4, "at": "2026-12-21T12:30:00Z"}')
    fresh = FakeForecast().fetch(asking(watched.home.running.almanac.profile), now)
    assert isinstance(fresh, Fresh)
    watched.service.answers = [replace(fresh, deprecated=True)]
    why = "it says that it will stop answering this version of Duskfold"
    assert watched.gaps(now) == (WeatherGap("ending", "met-norway", why),)
    assert watched.gaps(now + HOUR) == ()
