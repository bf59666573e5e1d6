"""A place with a name, and how it is told apart from others of that name."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Place:
    """A village, town or city.

    `name` is in Latin letters, `region` is empty where it is not known, `country` is English.
    `people` is rough, 0 where nobody counted.
    """

    name: str
    region: str
    country: str
    country_code: str
    latitude_deg: float
    longitude_deg: float
    zone_name: str
    people: int

    def __str__(self) -> str:
        """The name with region and country: Lewes, England, United Kingdom."""
        return ", ".join(filter(None, (self.name, self.region, self.country)))


def labels(places: Sequence[Place]) -> tuple[str, ...]:
    """The places in words, with latitude and longitude where another there is called the same.

    One place in twenty has a namesake in its region, or in its country where that is not known.
    """
    called = Counter(map(str, places))
    return tuple(
        f"{place} ({place.latitude_deg:.2f}, {place.longitude_deg:.2f})"
        if called[str(place)] > 1
        else str(place)
        for place in places
    )
