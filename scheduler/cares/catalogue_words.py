"""The catalogue's texts in the words and units of a profile."""

import re
from collections.abc import Mapping

from scheduler.cares.catalogue import Care
from scheduler.husbandry.age import QUARANTINE_DAYS
from scheduler.profile.units import Units
from scheduler.profile.units_in_text import in_units
from scheduler.profile.values import Profile
from scheduler.profile.words import words


def worded(care: Care, text: str, spoken: Mapping[str, str], units: Units) -> str:
    """The catalogue's text in the region's words and units; a keeper's own words as they are."""
    return text if care.own_words else in_units(filled_in(text, spoken), units)


def spoken(text: str, profile: Profile, flock: str = "the flock") -> str:
    """A text of the catalogue in the words and units of the profile, on no day in particular."""
    days = f"{QUARANTINE_DAYS} days"
    nobody = {"flock": flock, "day": days, "count": days, "feed": "grower", "not_chicks": ""}
    nobody |= {"direction": "forward or back", "from_house": ""}
    return in_units(filled_in(text, {**words(profile.site.region), **nobody}), profile.units)


def filled_in(text: str, spoken: Mapping[str, str]) -> str:
    return re.sub(r"\{(\w+)\}", lambda match: spoken.get(match[1], match[0]), text)
