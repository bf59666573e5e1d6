"""The services that tell the weather, ready to be asked."""

from collections.abc import Mapping
from dataclasses import dataclass, field

from scheduler.profile.forecast import SourceName
from scheduler.sources.forecast_port import ForecastPort
from scheduler.sources.met_norway import MetNorway
from scheduler.sources.one_get import Client
from scheduler.sources.open_meteo import OpenMeteo
from scheduler.sources.us_nws import UsNws
from scheduler.sources.us_nws_warnings import UsNwsWarnings


@dataclass(frozen=True, slots=True, kw_only=True)
class Services:
    """Every service by its name in a profile, and the US one's warnings."""

    ports: Mapping[SourceName, ForecastPort]
    warnings: UsNwsWarnings = field(default_factory=UsNwsWarnings)


def every_service() -> Services:
    """All of them over one client."""
    client = Client()
    return Services(
        ports={
            "met-norway": MetNorway(client=client),
            "open-meteo": OpenMeteo(client=client),
            "us-nws": UsNws(client=client),
        },
        warnings=UsNwsWarnings(client=client),
    )
