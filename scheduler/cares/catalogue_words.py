"""The catalogue's texts in the words and units of a profile."""

from scheduler.cares.catalogue_text import CareText
from scheduler.husbandry.age import QUARANTINE_DAYS
from scheduler.husbandry.growth import FEED_WORDS
from scheduler.profile.values import Profile
from scheduler.profile.words import words
from scheduler.wording.cares.tasks import TaskWords
from scheduler.wording.husbandry.figures import FigureAmounts


def spoken(text: CareText, profile: Profile, flock: str | None = None) -> str:
    """A text of a job in the words and units of the profile, on no day in particular."""
    days = FigureAmounts.days(days=QUARANTINE_DAYS)
    nobody = {
        "flock": TaskWords.any_flock() if flock is None else flock,
        "day": days,
        "count": days,
        "feed": FEED_WORDS["grower"](),
        "not_chicks": "",
        "direction": TaskWords.either_way(),
        "from_house": "",
    }
    return text.said({**words(profile.site.region), **nobody}, profile.units)
