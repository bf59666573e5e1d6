"""Places by name: the one door to the index of places."""

from functools import cache

from scheduler.places.index import Index
from scheduler.profile import package_data


@cache
def places() -> Index:
    """The index of the package, unpacked once."""
    return Index(package_data.places())
