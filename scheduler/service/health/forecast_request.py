"""What would be sent to each service that the profile names for the forecast, to the letter."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from importlib.metadata import version
from types import MappingProxyType

from scheduler.channels.http import Request
from scheduler.profile.forecast import SourceName
from scheduler.profile.values import Profile
from scheduler.service.forecast_agreed import service_name, services
from scheduler.wording.service.forecast import ForecastShown

# The requests of one source from the profile and the agent, made as those that are sent are made:
# each in its order, as far as it can be known before the first is answered.
Requests = Callable[[Profile, str], Sequence[Request]]


@dataclass(frozen=True, slots=True, kw_only=True)
class AskedOf:
    """A service that may be asked, and exactly what it is sent."""

    source: SourceName
    requests: tuple[Request, ...]


# Empty until `sources` has its ports: a service without one is asked nothing.
SOURCES: Mapping[SourceName, Requests] = MappingProxyType({})


def agent_of(profile: Profile) -> str:
    """What the program is called in a request; with the contact, where the profile gives one."""
    ours = f"Duskfold/{version('duskfold')}"
    contact = profile.forecast.contact if profile.forecast else None
    return f"{ours} ({contact})" if contact else ours


def forecast_requests(
    profile: Profile, sources: Mapping[SourceName, Requests] = SOURCES
) -> tuple[AskedOf, ...]:
    """Each service that was agreed to, the preferred one first; none where none was."""
    agent = agent_of(profile)
    return tuple(
        AskedOf(
            source=source,
            requests=tuple(sources[source](profile, agent)) if source in sources else (),
        )
        for source in services(profile)
    )


def sent_to(asked: AskedOf) -> Iterator[tuple[str, tuple[str, ...]]]:
    """What goes to the service: a sentence, and below it the request as it is sent, by line."""
    if not asked.requests:
        yield ForecastShown.nothing_yet(service=service_name(asked.source)), ()
    for number, request in enumerate(asked.requests):
        said = ForecastShown.next_request()
        if not number:
            said = ForecastShown.request(service=service_name(asked.source))
        headers = (f"{name}: {value}" for name, value in request.headers.items())
        yield said, (f"{request.method} {request.url}", *headers)
