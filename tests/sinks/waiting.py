"""Things that other threads add to, and that a test waits for."""

import threading
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import Generic, TypeVar

# A look that a lock has caught half-way waits five seconds, and so does the next.
PATIENCE_S = 30.0

_Thing = TypeVar("_Thing")


class Collected(Generic[_Thing]):
    """A list that can be waited for."""

    def __init__(self, changed: threading.Condition | None = None) -> None:
        self.changed = changed or threading.Condition()
        self._things: list[_Thing] = []

    def add(self, thing: _Thing) -> None:
        """Puts it at the end and wakes who waits."""
        with self.changed:
            self._things.append(thing)
            self.changed.notify_all()

    def all(self) -> list[_Thing]:
        """What is there now."""
        with self.changed:
            return list(self._things)

    def wait(self, count: int = 1, timeout_s: float = PATIENCE_S) -> list[_Thing]:
        """What is there once there are `count`; fails when that takes too long."""
        wait_until(self.changed, lambda: len(self._things) >= count, timeout_s)
        return self.all()


def wait_until(
    changed: threading.Condition, true: Callable[[], object], timeout_s: float = PATIENCE_S
) -> None:
    """Waits on a condition; AssertionError after `timeout_s`."""
    with changed:
        assert changed.wait_for(true, timeout_s), "it did not happen in time"


@contextmanager
def at_most(limit_s: float) -> Iterator[None]:
    """Fails when its block takes longer."""
    began = time.monotonic()
    yield
    took_s = time.monotonic() - began
    assert took_s <= limit_s, f"took {took_s:.2f} s instead of at most {limit_s} s"
