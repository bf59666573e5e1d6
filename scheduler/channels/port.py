"""The one port of every way out."""

from typing import Protocol

from scheduler.alerts.delivery import ChannelName, Outcome, Outgoing


class Channel(Protocol):
    """Hands one message over and says what came of it, within the deadline; raises nothing."""

    @property
    def name(self) -> ChannelName:
        """Which channel this is."""
        ...

    def destination(self, address: str) -> str:
        """Which server the address is on: equal for all that fail and hang together."""
        ...

    def deliver(self, outgoing: Outgoing) -> Outcome:
        """The outcome of one attempt: never an exception, never later than the deadline."""
        ...
