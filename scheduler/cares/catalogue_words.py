"""The catalogue's texts in the words and units of a profile."""

from scheduler.cares.catalogue_text import CareText
from scheduler.husbandry.age import QUARANTINE_DAYS
from scheduler.profile.values import Profile
from scheduler.profile.words import words


def spoken(text: CareText, profile: Profile, flock: str = "the flock") -> str:
    """A text of a job in the words and units of the profile, on no day in particular."""
    days = f"{QUARANTINE_DAYS} days"
    nobody = {"flock": flock, "day": days, "count": days, "feed": "grower", "not_chicks": ""}
    nobody |= {"direction": "forward or back", "from_house": ""}
    return text.said({**words(profile.site.region), **nobody}, profile.units)
