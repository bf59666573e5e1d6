"""One thing to know of a house's birds today."""

from dataclasses import dataclass

from scheduler.profile.by_name import from_id
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdLine:
    """One thing to know of a house's birds today, by its house, and what is to be done.

    `at_once`: before anything else, the door too.
    """

    house_id: str
    title: str
    text: str
    at_once: bool = False

    @property
    def sentence(self) -> str:
        """The title as a sentence of its own."""
        return self.title if self.title.endswith("?") else f"{self.title}."


def house_words(profile: Profile, house_id: str) -> str:
    """The house before what is said of it, where there are several: "Walnut: ".

    Of one that the profile has no more, only the id is known, and its birds are elsewhere.
    """
    names = profile.house_names
    if house_id not in names:
        return f"Birds of {from_id(house_id)}: "
    return f"{names[house_id]}: " if len(names) > 1 else ""


def told_of_house(profile: Profile, house_id: str, text: str) -> str:
    """The text after the house's name, else with a capital."""
    where = house_words(profile, house_id)
    return f"{where}{text}" if where else capitalized(text)
