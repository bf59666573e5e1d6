"""The index that comes along, and places drawn from all of it."""

from functools import cache

from hypothesis import strategies as st

from scheduler.places.index import Index
from scheduler.places.place import Place
from scheduler.profile.package_data import places


@cache
def world() -> Index:
    """Opened once."""
    return Index(places())


def drawn() -> st.SearchStrategy[Place]:
    """Any place, the large ones no more often than the small."""
    return st.integers(0, 234_907).map(lambda at: world()[at])
