"""W1–W9 of FAULTS.md: whatever a weather service does, the evening is as it is without one.

On the house's day: heads-up 15:48:29, `now` 16:18:29.
"""

import gzip
import json
import threading
from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from datetime import UTC, date, datetime, time
from pathlib import Path

import pytest

from scheduler.cares.decided import DecidedDay
from scheduler.journal.store import Journal
from scheduler.profile.forecast import SourceName
from scheduler.service.data_place import DataPlace
from scheduler.service.weather.ask import Services
from scheduler.sources.forecast_port import ForecastPort
from scheduler.sources.met_norway import MetNorway
from scheduler.watch.housekeeping import Housekeeping
from scheduler.watch.weather_watch import WeatherWatch
from tests.faults.driven import DAY, MINUTE, Driven, driven
from tests.faults.house import ONE_COOP, PEOPLE, QUIET_MORNINGS, SITE, WINTER, House
from tests.faults.weather_root import SERVICE
from tests.sinks.authority import Authority
from tests.sinks.fake_forecast import FakeForecast
from tests.sinks.raw import RawSink, silence
from tests.sources.forecast_rigs import client
from tests.sources.met_norway_server import MetNorwayServer
from tests.sources.weather_server import Asked, Said
from tests.unhurried import UNHURRIED, unhurried
from tests.watch.test_how_much_it_speaks import PROFILE, Heard, pass_evening, week_of
from tests.weather_decided import decided_days

Build = Callable[..., House]
AGREED = '[forecast]\nsources = ["met-norway"]\ncontact = "sam@example.org"\n'
NOW = "Lock up now: Walnut, 12 hens, by 16:33"
TO_THE_SECOND_S = 2.0  # the watch looks ten times a second here, and a machine may be busy
CLOCK_STARTS = datetime(2026, 12, 21, 12, 30, tzinfo=UTC)
MONDAY = date(2027, 1, 4)


class SlowServer(MetNorwayServer):
    """Answers when the test lets it."""

    def __init__(self, authority: Authority) -> None:
        super().__init__(authority.server(), CLOCK_STARTS)
        self.go_on = threading.Event()

    def answer(self, asked: Asked) -> Said:
        assert self.go_on.wait(60)
        return super().answer(asked)


@contextmanager
def server_of(authority: Authority, said: Said | None) -> Iterator[MetNorwayServer]:
    """One that always says that, or what it should."""
    with MetNorwayServer(authority.server(), CLOCK_STARTS) as server:
        server.always = said
        yield server


def with_service(build: Build, url: str, authority: Authority) -> House:
    """A house that asks the service at that address."""
    house = build(
        body=SITE + ONE_COOP + QUIET_MORNINGS + AGREED + PEOPLE, root="tests.faults.weather_root"
    )
    house.environment[SERVICE] = url
    trusted = house.folder / "trusted.pem"
    ours = authority.file(house.folder / "data").read_text()
    trusted.write_text(house.ca_file.read_text() + ours)
    house.environment["SSL_CERT_FILE"] = str(trusted)
    return house


def rings_to_the_second(house: House, minutes_early: int = 0) -> None:
    """`now` has not come seconds before its time, and comes at it."""
    now = house.local("16:18:29") - minutes_early * MINUTE
    house.at("15:45")
    house.set_clock(now - MINUTE / 20)
    house.settle()
    assert NOW not in house.phone("ana")
    house.set_clock(now)
    house.wait(lambda: NOW in house.phone("ana"), "no call in time", TO_THE_SECOND_S)


LIES = {
    "w2-html": Said(body=b"<html>Welcome</html>"),
    "w2-heat": Said(body=json.dumps({"properties": {"timeseries": [9e999]}}).encode()),
    "w3-flood": Said(
        headers={"Content-Encoding": "gzip"}, body=gzip.compress(b"[" * 50_000_000, 1)
    ),
    "w3-cut": Said(body=b"{" * 1000, cut=True),
    "w2-500": Said(status=500),
}


@pytest.mark.slow
@pytest.mark.parametrize("name", LIES if UNHURRIED else ["w2-html", "w3-flood"])
@unhurried
def test_w2_w3_a_service_that_lies_or_floods_delays_nobody(build: Build, name: str) -> None:
    authority = Authority()
    with server_of(authority, LIES[name]) as server:
        house = with_service(build, server.url, authority)
        house.start()
        house.wait(server.asked.all, "the service was not asked")
        rings_to_the_second(house)
        assert weather_of(house) == {}
        house.stop()


@pytest.mark.slow
@unhurried
def test_w1_a_service_that_says_nothing_delays_nobody(build: Build) -> None:
    authority = Authority()
    with RawSink(silence) as sink:
        house = with_service(build, f"https://127.0.0.1:{sink.port}", authority)
        house.start()
        rings_to_the_second(house)
        house.stop()


@pytest.mark.slow
@unhurried
def test_w4_an_answer_that_comes_while_now_is_due_delays_nobody(build: Build) -> None:
    authority = Authority()
    with SlowServer(authority) as server:
        house = with_service(build, server.url, authority)
        house.start()
        house.at("16:18:26")
        house.wait(server.asked.all, "the service was not asked")
        assert NOW not in house.phone("ana")
        house.set_clock(house.local("16:18:29"))
        server.go_on.set()
        house.wait(lambda: NOW in house.phone("ana"), "no call in time", TO_THE_SECOND_S)
        house.wait(lambda: weather_of(house), "the forecast was not used")
        house.stop()


@pytest.mark.slow
@unhurried
def test_w5_where_no_copy_can_be_kept_the_forecast_counts_and_the_evening_is_told(
    build: Build,
) -> None:
    authority = Authority()
    with server_of(authority, None) as server:
        house = with_service(build, server.url, authority)
        (house.data / "forecast").write_text("a file where copies should lie")
        house.start()
        house.wait(lambda: weather_of(house), "the forecast was not used")
        early = weather_of(house)[WINTER].shift_minutes
        assert early > 0  # it is cloudy there
        rings_to_the_second(house, early)
        found = weather_of(house)[WINTER + 2 * DAY].weather.low_c
        assert found.source == "forecast"
        house.stop()


def weather_of(house: House) -> dict[date, DecidedDay]:
    with house.journal() as journal:
        return decided(journal)


def decided(journal: Journal) -> dict[date, DecidedDay]:
    return {one.day: one for one in decided_days(journal, "orchard")}


# In this process


@contextmanager
def watched(folder: Path, text: str, port: ForecastPort, at: datetime) -> Iterator[Driven]:
    """A household whose weather is seen to at every tick."""
    with driven(folder, text, at) as house:
        watch = WeatherWatch(
            ticker=house.running,
            folder=folder / "data" / "forecast",
            make_services=lambda: Services(ports=named(port)),
            share=lambda: 0.5,
        )
        usual = house.tick

        def tick() -> bool:
            watch.turn(house.clock.at)
            return usual()

        house.tick = tick  # type: ignore[method-assign] # this one house's
        yield house


def named(port: ForecastPort) -> dict[SourceName, ForecastPort]:
    return {"met-norway": port}


def test_w5_a_full_disk_keeps_the_last_forecast_in_mind(tmp_path: Path) -> None:
    """Half an hour later the service is not asked again yet, and there is no copy to read."""
    (tmp_path / "data").mkdir(mode=0o700)
    (tmp_path / "data" / "forecast").write_text("a file where copies should lie")
    at, fake = datetime.combine(MONDAY, time(12, 1), UTC), FakeForecast(celsius=30.0)
    with watched(tmp_path, PROFILE + AGREED, fake, at) as house:
        for number in range(12):
            house.at(at + number * 10 * MINUTE)
        found = decided(house.journal)[MONDAY + 2 * DAY].weather.high_c
        assert found.source == "forecast"


def test_w6_a_weather_thread_that_cannot_be_begun_or_dies_ends_nothing(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    at, fake = datetime.combine(MONDAY, time(12, 1), UTC), FakeForecast()
    with driven(tmp_path, PROFILE + AGREED, at) as house:
        watch = WeatherWatch(
            ticker=house.running,
            folder=tmp_path / "copies",
            make_services=lambda: Services(ports=named(fake)),
            share=lambda: 0.0,
        )
        house.at(at)
        with monkeypatch.context() as broken:
            broken.setattr(threading.Thread, "start", _no_room)
            watch.keep_up()
        house.at(at + MINUTE)
        with monkeypatch.context() as broken:
            broken.setattr(fake, "fetch", _dies)
            watch.keep_up()
            watch.stop(20)
        assert decided(house.journal) == {}
        house.at(at + 40 * MINUTE)
        watch.keep_up()
        watch.stop(20)
        assert decided(house.journal)


def _no_room(_: object) -> None:
    raise RuntimeError("can't start new thread")


def _dies(*_: object) -> None:
    raise MemoryError


def heard_in_a_week(folder: Path, celsius: float | None) -> dict[str, Heard]:
    """What everybody hears in a week of such weather; None: without a forecast."""
    begins = datetime.combine(MONDAY, time(12, 1), UTC)
    with ExitStack() as stack:
        if celsius is None:
            house = stack.enter_context(driven(folder, PROFILE, begins))
        else:
            fake = FakeForecast(celsius=celsius)
            house = stack.enter_context(watched(folder, PROFILE + AGREED, fake, begins))
        for number in range(7):
            pass_evening(house, MONDAY + number * DAY)
        if celsius is not None:
            assert decided(house.journal)[MONDAY + 4 * DAY].weather.low_c.source == "forecast"
        return week_of(house, 0)


@pytest.mark.slow
@unhurried
def test_w7_a_week_of_frost_or_warmth_tells_nobody_more_often(tmp_path: Path) -> None:
    heard = {}
    for celsius in (None, -6.0, 12.0):
        folder = tmp_path / str(celsius)
        folder.mkdir()
        heard[celsius] = heard_in_a_week(folder, celsius)
    assert heard[-6.0] == heard[None] == heard[12.0]


@unhurried
def test_w8_calendars_are_the_same_to_the_byte_with_and_without_a_forecast(
    tmp_path: Path,
) -> None:
    at = datetime.combine(MONDAY, time(12, 1), UTC)
    shelves = []
    for celsius in (None, -9.0, 30.0):
        folder = tmp_path / str(celsius)
        folder.mkdir()
        fake = FakeForecast(celsius=celsius or 0.0)
        text = PROFILE + ("" if celsius is None else AGREED)
        with watched(folder, text, fake, at) as house:
            house.at(at)
            house.at(at + MINUTE)
            assert bool(decided(house.journal)) is (celsius is not None)
            place, almanac = DataPlace(folder / "data"), house.running.almanac
            assert bool(almanac.records.weather) is (celsius is not None)
            Housekeeping(place).run(house.journal, almanac, 1, at + 2 * MINUTE)
        files = sorted((folder / "data" / "calendars").rglob("*.ics"))
        assert files
        shelves.append({one.name: one.read_bytes() for one in files})
    assert shelves[0] == shelves[1] == shelves[2]


def test_w9_a_service_on_loopback_is_the_only_one_that_hears_of_it(tmp_path: Path) -> None:
    """The request has the rough place, the program and the contact; no name, no birds, no house."""
    authority, at = Authority(), datetime.combine(MONDAY, time(12, 1), UTC)
    with MetNorwayServer(authority.server(), at) as server:
        port = MetNorway(client=client(authority), server=server.url)
        with watched(tmp_path, PROFILE + AGREED, port, at) as house:
            house.at(at)
        (asked,) = server.asked.all()
        told = asked.path + " ".join(f"{name}: {value}" for name, value in asked.headers.items())
        for word in ("Ana", "Walnut", "Girls", "Orchard", "12", "51.5000"):
            assert word not in told.replace("127.0.0.1", ""), word
