"""A household whose weather turns are made by hand, over services that a test answers for."""

import json
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field
from datetime import UTC, date, datetime, timedelta
from pathlib import Path
from typing import ClassVar

from scheduler.cares.decided import DecidedDay
from scheduler.climate.forecast import ForecastSource, OfficialWarning
from scheduler.profile.forecast import SourceName
from scheduler.service.weather.ask import Services
from scheduler.sources.forecast_port import Answer, Asking, ForecastPort, Fresh, Refused, refused
from scheduler.sources.us_nws_warnings import UsNwsWarnings
from scheduler.watch.weather_watch import WeatherWatch
from tests.conftest import SMALL
from tests.faults.driven import MINUTE, Driven, driven
from tests.sinks.fake_forecast import FakeForecast
from tests.weather_decided import decided_days

ANA = '[[person]]\nname = "Ana"\npush = "https://push.example.net/ana-8c1f9e2b77aa"\n'
HOUR = timedelta(hours=1)
TODAY = date(2027, 4, 12)  # lock-up 19:26 UTC, so decided at 16:26; the brief's at 05:55
FIRST = datetime(2027, 4, 12, 6, 0, tzinfo=UTC)
ICE = "frost:low:0"
AWAY = Refused(kind="no connection", reason="away")


def profile(*sources: SourceName, more: str = "") -> str:
    named = ", ".join(f'"{one}"' for one in sources)
    agreed = f'[forecast]\nsources = [{named}]\ncontact = "sam@example.org"\n'
    return SMALL + ANA + agreed + more


class OpenMeteoFake(FakeForecast):
    """Another one, by another name."""

    name: ClassVar[ForecastSource] = "open-meteo"


class NwsFake(FakeForecast):
    """The American one."""

    name: ClassVar[ForecastSource] = "us-nws"


@dataclass(frozen=True, kw_only=True)
class NoWarnings(UsNwsWarnings):
    """Answers with what it is given; counts how often it is asked."""

    answers: list[Answer] = field(default_factory=list)
    asked: list[datetime] = field(default_factory=list)
    tells: list[OfficialWarning] = field(default_factory=list)

    def read(self, body: bytes, now: datetime) -> tuple[OfficialWarning, ...]:
        del body, now
        return tuple(self.tells)

    def fetch(self, asking: Asking, now: datetime) -> Answer:
        del asking
        self.asked.append(now)
        return self.answers.pop(0) if self.answers else refused("broken", 900.0)


@dataclass
class Skies:
    """A household whose weather turns are made by hand."""

    house: Driven
    met: FakeForecast = field(default_factory=FakeForecast)
    open_meteo: OpenMeteoFake = field(default_factory=OpenMeteoFake)
    nws: NwsFake = field(default_factory=NwsFake)
    warnings: NoWarnings = field(default_factory=NoWarnings)
    watch: WeatherWatch = field(init=False)
    made: int = 0  # how often services were

    def __post_init__(self) -> None:
        self.restart()

    def restart(self) -> None:

        def services() -> Services:
            self.made += 1
            return Services(ports=ports, warnings=self.warnings)

        ports: dict[SourceName, ForecastPort] = {
            "met-norway": self.met,
            "open-meteo": self.open_meteo,
            "us-nws": self.nws,
        }
        self.watch = WeatherWatch(
            ticker=self.house.running,
            folder=self.house.folder / "data" / "forecast",
            make_services=services,
            share=lambda: 0.5,
        )

    def turn(self, at: datetime) -> None:
        """A tick and a turn at that instant."""
        self.house.at(at)
        self.watch.turn(at)

    def rewrite(self, text: str, at: datetime) -> None:
        """The keeper saves another profile; it is followed."""
        self.house.write_profile(text)
        for number in range(3):
            self.house.at(at + number * MINUTE / 4)
        self.turn(at + MINUTE)

    def turns(self, first: datetime, last: datetime, every: timedelta = MINUTE) -> None:
        at = first
        while at <= last:
            self.watch.turn(at)
            at += every

    def lose_copies(self) -> None:
        """The disk has none of the last good copies any more."""
        for copy in self.watch.folder.glob("*"):
            copy.unlink()

    def tell_warnings(self, *warnings: OfficialWarning) -> None:
        """The next answer has these in force."""
        self.warnings.tells.extend(warnings)
        self.warnings.answers.append(Fresh(body=b"{}", expires=None))

    @property
    def decided(self) -> dict[date, DecidedDay]:
        found = decided_days(self.house.journal, "orchard")
        return {one.day: one for one in found}


@contextmanager
def skies(folder: Path, text: str, at: datetime = FIRST) -> Iterator[Skies]:
    with driven(folder, text, at) as house:
        yield Skies(house)


def sensor(file: Path, where: str = "outside") -> str:
    house = 'coop = "walnut"\n' if where == "coop" else ""
    return f'[[sensor]]\nname = "Garden"\nwhere = "{where}"\nfile = "{file}"\n{house}'


def show(file: Path, air_c: float, at: datetime) -> None:
    file.write_text(json.dumps({"air_c": air_c, "at": at.isoformat()}))
