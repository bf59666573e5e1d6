"""The services that tell the weather, ready to be asked."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from scheduler.profile.forecast import SourceName
from scheduler.sources.forecast_port import ForecastPort
from scheduler.sources.met_norway import MetNorway
from scheduler.sources.one_get import Client
from scheduler.sources.open_meteo import OpenMeteo
from scheduler.sources.us_nws import UsNws
from scheduler.sources.us_nws_warnings import UsNwsWarnings


def _ports() -> Mapping[SourceName, ForecastPort]:
    client = Client()
    return MappingProxyType({
        "met-norway": MetNorway(client=client),
        "open-meteo": OpenMeteo(client=client),
        "us-nws": UsNws(client=client),
    })  # fmt: skip


@dataclass(frozen=True, slots=True, kw_only=True)
class Services:
    """Every service by its name in a profile, and the US one's warnings."""

    ports: Mapping[SourceName, ForecastPort] = field(default_factory=_ports)
    warnings: UsNwsWarnings = field(default_factory=UsNwsWarnings)
