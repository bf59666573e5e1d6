"""The last few things that were worked out, by what they were worked out from."""

from collections.abc import Callable, Hashable
from typing import Generic, TypeVar

T = TypeVar("T")


class LastResults(Generic[T]):
    """At most so many; replaced as a whole, because several threads may ask."""

    def __init__(self, most: int) -> None:
        """Knows nothing yet."""
        self._most = most
        self._found: dict[Hashable, T] = {}

    def get(self, key: Hashable, work_out: Callable[[], T]) -> T:
        """What belongs to the key; worked out when it is not kept any more."""
        found = self._found.get(key)
        if found is None:
            found = work_out()
            room = max(len(self._found) + 1 - self._most, 0)
            self._found = {**dict(list(self._found.items())[room:]), key: found}
        return found
