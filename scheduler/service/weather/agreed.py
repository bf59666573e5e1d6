"""What a household is asked and told of the forecast: the one question, its services, their due."""

from collections.abc import Iterator
from importlib.metadata import version

from scheduler.profile.forecast import SourceName, in_reach_of_nws, usual_source
from scheduler.profile.values import Profile
from scheduler.service.note import Keys, Note, note
from scheduler.sources.forecast_port import Asking, rough
from scheduler.wording.service.flock_notes import InProfile
from scheduler.wording.service.forecast import ForecastNotes
from scheduler.wording.sources.attribution import Attribution, ClimateAttribution
from scheduler.wording.sources.question import ForecastQuestion, ForecastServices
from scheduler.wording.words import by_code

# Where each publisher wants a reader to be led (M).
_PAGES: dict[SourceName, str] = {
    "met-norway": "https://api.met.no/doc/License",
    "open-meteo": "https://open-meteo.com/",
    "us-nws": "https://www.weather.gov/",
}


def is_asked(profile: Profile) -> bool:
    """Whether nobody has answered yet, neither yes nor no."""
    return profile.forecast is None


def services(profile: Profile) -> tuple[SourceName, ...]:
    """The services that may be asked, the preferred one first."""
    return profile.forecast.sources if profile.forecast else ()


def service_name(source: SourceName) -> str:
    """What it is called within a sentence."""
    return by_code(ForecastServices, source)()


def question(profile: Profile) -> str:
    """What is asked once, with the service that a yes would name."""
    return ForecastQuestion.asked(service=service_name(_usual(profile)))


def sources_of(profile: Profile, *, yes: bool) -> tuple[str, ...]:
    """The services that a yes names, and those that a no does: none."""
    return (_usual(profile),) if yes else ()


def attributions(profile: Profile) -> tuple[tuple[str, str], ...]:
    """Whose data are used, each with its publisher's page or "": of the year, then the services."""
    own = ((by_code(Attribution, source)(), _PAGES[source]) for source in services(profile))
    return ((ClimateAttribution.climate_map(), ""), *own)


def forecast_notes(profile: Profile) -> Iterator[str | Note]:
    """What keeps a service that may be asked from answering."""
    agreed, site = profile.forecast, profile.site
    if agreed is None:
        return
    if "us-nws" in agreed.sources and not in_reach_of_nws(site.latitude_deg, site.longitude_deg):
        keys = Keys(InProfile.forecast_sources())
        yield note(ForecastNotes.far_from_the_us, keys=keys)
    if "met-norway" in agreed.sources and agreed.contact is None:
        yield note(ForecastNotes.no_contact, keys=Keys(InProfile.forecast_contact()))


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


def _usual(profile: Profile) -> SourceName:
    site = profile.site
    return usual_source(site.region, site.latitude_deg, site.longitude_deg)
