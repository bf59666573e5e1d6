"""A place with a name, and how it is told apart from others of that name."""

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
