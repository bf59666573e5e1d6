"""Each forecast source against its server on loopback, so that one suite can be run on all."""

from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import UTC, datetime

from scheduler.channels.deadline import Limits
from scheduler.sources.forecast_port import Asking, ForecastPort, rough
from scheduler.sources.met_norway import MetNorway
from scheduler.sources.one_get import Client
from scheduler.sources.open_meteo import OpenMeteo
from scheduler.sources.us_nws import UsNws
from tests.sinks.authority import Authority
from tests.sinks.fake_forecast import FakeForecast
from tests.sources.met_norway_server import MetNorwayServer
from tests.sources.open_meteo_server import OpenMeteoServer
from tests.sources.us_nws_server import UsNwsServer
from tests.sources.weather_server import WeatherServer

NOW = datetime(2026, 11, 28, 14, 12, tzinfo=UTC)
AGENT = "Duskfold/0.1 keeper@example.org"
PATIENT = Limits(total_s=10.0, connect_s=5.0, reply_s=5.0)
PLACE = rough(44.30123456, -71.19876543, 296.0)
ASKING = Asking(place=PLACE, agent=AGENT)


@dataclass(frozen=True, kw_only=True)
class Rig:
    """A source and the server it asks; `towards` turns it to another address."""

    port: ForecastPort
    server: WeatherServer
    towards: Callable[[str, Limits], ForecastPort]


def client(authority: Authority, limits: Limits = PATIENT) -> Client:
    """Who trusts the tests' authority alone."""
    return Client(tls=authority.client(), limits=limits)


@contextmanager
def met_rig(authority: Authority) -> Iterator[Rig]:
    """MET Norway."""

    def towards(url: str, limits: Limits) -> ForecastPort:
        return MetNorway(client=client(authority, limits), server=url)

    with MetNorwayServer(authority.server(), NOW) as server:
        yield Rig(port=towards(server.url, PATIENT), server=server, towards=towards)


@contextmanager
def open_meteo_rig(authority: Authority) -> Iterator[Rig]:
    """Open-Meteo."""

    def towards(url: str, limits: Limits) -> ForecastPort:
        return OpenMeteo(client=client(authority, limits), server=url)

    with OpenMeteoServer(authority.server(), NOW) as server:
        yield Rig(port=towards(server.url, PATIENT), server=server, towards=towards)


@contextmanager
def us_nws_rig(authority: Authority) -> Iterator[Rig]:
    """The US National Weather Service."""

    def towards(url: str, limits: Limits) -> ForecastPort:
        return UsNws(client=client(authority, limits), server=url)

    with UsNwsServer(authority.server(), NOW) as server:
        yield Rig(port=towards(server.url, PATIENT), server=server, towards=towards)


WIRED = {"met-norway": met_rig, "open-meteo": open_meteo_rig, "us-nws": us_nws_rig}


@contextmanager
def port_of(name: str, authority: Authority) -> Iterator[ForecastPort]:
    """The source of that name, the fake one too."""
    if name == "fake":
        yield FakeForecast()
        return
    with WIRED[name](authority) as rig:
        yield rig.port
