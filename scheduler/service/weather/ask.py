"""The services that may be asked for the forecast, and what each is asked."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from importlib.metadata import version
from types import MappingProxyType

from scheduler.profile.forecast import SourceName
from scheduler.profile.values import Profile
from scheduler.sources.forecast_port import Asking, ForecastPort, rough
from scheduler.sources.met_norway import MetNorway
from scheduler.sources.open_meteo import OpenMeteo
from scheduler.sources.us_nws import UsNws
from scheduler.sources.us_nws_warnings import UsNwsWarnings


@dataclass(frozen=True, slots=True, kw_only=True)
class Services:
    """Every service by its name in a profile, and the US one's warnings."""

    ports: Mapping[SourceName, ForecastPort] = field(
        default_factory=lambda: MappingProxyType(
            {"met-norway": MetNorway(), "open-meteo": OpenMeteo(), "us-nws": UsNws()}
        )
    )
    warnings: UsNwsWarnings = field(default_factory=UsNwsWarnings)


def agreed(profile: Profile) -> tuple[SourceName, ...]:
    """The services that may be asked, the preferred one first."""
    return profile.forecast.sources if profile.forecast else ()


def agent_of(profile: Profile) -> str:
    """What the program is called in a request; with the contact, where the profile gives one."""
    ours = f"Duskfold/{version('duskfold')}"
    contact = profile.forecast.contact if profile.forecast else None
    return f"{ours} ({contact})" if contact else ours


def asking(profile: Profile) -> Asking:
    """What any of them is told: roughly where, and who asks."""
    site, rounding = profile.site, profile.forecast.rounding_deg if profile.forecast else 0.01
    place = rough(site.latitude_deg, site.longitude_deg, site.elevation_m, rounding)
    return Asking(place=place, agent=agent_of(profile))
