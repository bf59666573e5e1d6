"""One thing to know of a house's birds today."""

from collections.abc import Hashable
from dataclasses import dataclass

from scheduler.profile.by_name import from_id
from scheduler.profile.values import Profile
from scheduler.profile.words import capitalized
from scheduler.wording.cares.birds import BirdsToday
from scheduler.wording.cares.of_house import OfHouse


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdLine:
    """One thing to know of a house's birds today, by its house, and what is to be done.

    `about` is what its title says, as a value: of one house the same is told once. `at_once`:
    before anything else, the door too. `asks`: the title ends with a question.
    """

    house_id: str
    about: Hashable
    title: str
    text: str
    at_once: bool = False
    asks: bool = False

    @property
    def sentence(self) -> str:
        """The title as a sentence of its own."""
        return self.title if self.asks else BirdsToday.title_as_sentence(title=self.title)


def said_of_house(profile: Profile, house_id: str, said: str) -> str:
    """The text after the house's name, where there are several.

    Of one that the profile has no more, only the id is known, and its birds are elsewhere.
    """
    names = profile.house_names
    if house_id not in names:
        return OfHouse.gone(house=from_id(house_id), said=said)
    return OfHouse.here(house=names[house_id], said=said) if len(names) > 1 else said


def told_of_house(profile: Profile, house_id: str, said: str) -> str:
    """The text after the house's name, else with a capital."""
    is_alone = list(profile.house_names) == [house_id]
    return capitalized(said) if is_alone else said_of_house(profile, house_id, said)
