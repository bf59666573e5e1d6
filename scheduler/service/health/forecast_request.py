"""What would be sent to each service that the profile names for the forecast, to the letter."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from types import MappingProxyType

from scheduler.channels.http import Request
from scheduler.profile.forecast import SourceName
from scheduler.profile.values import Profile
from scheduler.service.weather.agreed import asking, service_name, services
from scheduler.sources import met_norway, open_meteo, us_nws, us_nws_warnings
from scheduler.sources.forecast_port import Asking
from scheduler.wording.service.forecast import ForecastShown


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedOf:
    """A service that may be asked, and exactly what it is sent, as far as that is known before."""

    source: SourceName
    requests: tuple[Request, ...]


def _of_us_nws(ask: Asking) -> tuple[Request, ...]:
    return (*us_nws.requests(ask), *us_nws_warnings.requests(ask))


_REQUESTS: Mapping[SourceName, Callable[[Asking], tuple[Request, ...]]] = MappingProxyType({
    "met-norway": met_norway.requests,
    "open-meteo": open_meteo.requests,
    "us-nws": _of_us_nws,
})  # fmt: skip


def forecast_requests(profile: Profile) -> tuple[AskedOf, ...]:
    """Each service that was agreed to, the preferred one first; none where none was."""
    ask = asking(profile)
    return tuple(
        AskedOf(source=source, requests=_REQUESTS[source](ask)) for source in services(profile)
    )


def sent_to(asked: AskedOf) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What goes to the service: a sentence, and below it the request as it is sent, by line."""
    for number, request in enumerate(asked.requests):
        said = ForecastShown.warnings()  # only the US service is asked more than once
        if not number:
            said = ForecastShown.request(service=service_name(asked.source))
        headers = (f"{name}: {value}" for name, value in request.headers.items())
        yield said, (f"{request.method} {request.url}", *headers)
