"""How many requests a push server still takes from us."""

from dataclasses import dataclass
from datetime import datetime, timedelta

# ntfy docs/config.md, request limits by default: 60 at once, then one every 5 seconds a visitor.
BURST = 60
EVERY_S = 5.0
KEPT_FOR_MESSAGES = 15  # what holding and taking back must leave: messages go first


@dataclass(slots=True)
class Budget:
    """The requests left at one server: they come back with time, and at most `BURST` are kept.

    Messages are never kept back by it, only counted: if it comes to that, the server may refuse.
    """

    _left: float = BURST
    _at: datetime | None = None
    _asked_to_wait_until: datetime | None = None

    def spend(self, now: datetime) -> None:
        """One request goes out."""
        self._refill(now)
        self._left = max(self._left - 1, 0.0)

    def refused(self, now: datetime, wait_s: float | None) -> None:
        """The server says that it was too many, and how long to wait."""
        self._refill(now)
        self._left = 0.0
        self._asked_to_wait_until = now + timedelta(seconds=wait_s or 0.0)

    def asked_to_wait_s(self, now: datetime) -> float:
        """How long the server still wants to be left alone."""
        until = self._asked_to_wait_until
        return max((until - now).total_seconds(), 0.0) if until else 0.0

    def wait_s(self, now: datetime, kept: int) -> float:
        """How long until a request goes out that leaves so many."""
        self._refill(now)
        lacking = max(kept + 1 - self._left, 0.0)
        return max(lacking * EVERY_S, self.asked_to_wait_s(now))

    def _refill(self, now: datetime) -> None:
        # A clock that was set back gives nothing, one set forward no more than all.
        passed_s = (now - self._at).total_seconds() if self._at else 0.0
        self._left = min(self._left + max(passed_s, 0.0) / EVERY_S, BURST)
        self._at = now
        if passed_s < 0:
            self._asked_to_wait_until = None
