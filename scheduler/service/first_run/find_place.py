"""Places by name: the one door of the first run to the index of places."""

from functools import cache
from typing import Protocol


class Found(Protocol):
    """A place of the index."""

    @property
    def name(self) -> str: ...
    @property
    def region(self) -> str: ...
    @property
    def country(self) -> str: ...
    @property
    def latitude_deg(self) -> float: ...
    @property
    def longitude_deg(self) -> float: ...


class Places(Protocol):
    """What the first run asks of an index of places."""

    def starting(self, typed: str, most: int = 8) -> tuple[Found, ...]:
        """The places that begin so, those with most people first."""

    def like(self, typed: str, most: int = 5) -> tuple[Found, ...]:
        """The places that this may be a slip of."""

    def near(self, latitude_deg: float, longitude_deg: float) -> Found | None:
        """The place that is nearest."""


class NoPlaces:
    """An index without a place: names are found nowhere, coordinates are all that helps."""

    def starting(self, typed: str, most: int = 8) -> tuple[Found, ...]:
        """None."""
        del typed, most
        return ()

    def like(self, typed: str, most: int = 5) -> tuple[Found, ...]:
        """None."""
        del typed, most
        return ()

    def near(self, latitude_deg: float, longitude_deg: float) -> Found | None:
        """None."""
        del latitude_deg, longitude_deg
        return None


@cache
def places() -> Places:
    """The index of the package, unpacked once."""
    return NoPlaces()


def called(place: Found) -> str:
    """The place as people tell it from others of its name: with region and country."""
    parts = (place.name, place.region, place.country)
    return ", ".join(dict.fromkeys(part for part in parts if part))
