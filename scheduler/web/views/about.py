"""About: what this program is made of, whose data and figures it uses, and where to take care."""

import re
from collections.abc import Iterator
from functools import cache
from importlib.metadata import metadata, requires, version

from scheduler.cares.catalogue_words import spoken
from scheduler.service.weather.agreed import attributions
from scheduler.web.request_and_answer import Answer, Visit
from scheduler.wording.sources.attribution import DrawingsAttribution, PlacesAttribution
from scheduler.wording.web.about import Cautions
from scheduler.wording.words import Words

# What to take care with, each by the jobs of the catalogue that say so.
_SAID_BY: tuple[tuple[Words, tuple[str, ...]], ...] = (
    (Cautions.heat_lamps, ("brooder-evening",)),
    (Cautions.wiring, ("drinker-heaters", "electric-check")),
    (Cautions.air, ("ammonia-sniff", "litter-stirring")),
    (Cautions.medicines, ("first-aid-box", "worm-count")),
    (Cautions.disease, ("illness-call", "order-start")),
    (Cautions.food, ("egg-collection", "sitter-sheet")),
)
_NAME = re.compile(r"[A-Za-z0-9._-]+")
_WITHIN = " :: "


def show(visit: Visit) -> Answer:
    """The page."""
    facts = {
        "release": version("duskfold"),
        "cautions": [(title(), list(_texts(visit, jobs))) for title, jobs in _SAID_BY],
        "attributions": (
            *attributions(visit.profile),
            (PlacesAttribution.place_names(), "https://www.geonames.org/"),
            (DrawingsAttribution.drawings(), "https://lucide.dev/license"),
        ),
        "libraries": libraries(),
    }
    return Answer(template="about.html", facts=facts)


def _texts(visit: Visit, jobs: tuple[str, ...]) -> Iterator[tuple[str, str]]:
    profile = visit.profile
    texts = {care.id: care for care in visit.standing.household.catalogue}
    for job in jobs:
        yield spoken(texts[job].title, profile), spoken(texts[job].why, profile)


@cache
def libraries() -> tuple[tuple[str, str], ...]:
    """Each library that the program needs, with its licence as its own package states it."""
    needed = (one for one in requires("duskfold") or () if "extra ==" not in one)
    names = (found[0] for one in needed if (found := _NAME.match(one)))
    return tuple((name, licence) for name in names if (licence := _licence(name)))


def _licence(name: str) -> str:
    try:
        told = metadata(name)
    except ModuleNotFoundError:  # one for another system only
        return ""
    for field in ("License-Expression", "License"):
        for named in told.get_all(field) or ():
            if "\n" not in named:  # some put the whole text there
                return str(named)
    listed = told.get_all("Classifier") or ()
    return ", ".join(one.rpartition(_WITHIN)[2] for one in listed if one.startswith("License"))
