"""A way out that keeps what it is given and answers as a test says."""

import threading
from collections import deque
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Self

from scheduler.alerts.delivery import ChannelName, Outcome, Outgoing
from tests.sinks.waiting import Collected


@dataclass
class FakeChannel:
    """Answers with the scripted outcomes in order, then as `meaning` says.

    `got` is what it was given, `taken` what may have arrived. Between `hang` and `go_on` it gives
    no answer.
    """

    name: ChannelName = "push"
    meaning: Callable[[Outgoing], Outcome] = lambda _: Outcome(kind="sent")
    got: Collected[Outgoing] = field(default_factory=Collected)
    taken: Collected[Outgoing] = field(default_factory=Collected)
    _hung: str = ""
    _script: deque[Outcome] = field(default_factory=deque)
    _free: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        self._free.set()

    def script(self, *outcomes: Outcome) -> Self:
        """Adds what the next deliveries come to."""
        self._script.extend(outcomes)
        return self

    def hang(self) -> None:
        """From now on deliveries are taken and not answered."""
        self._free.clear()

    def hang_for(self, server: str) -> None:
        """From now on that server alone does not answer."""
        self._hung = server
        self._free.clear()

    def go_on(self) -> None:
        """Answers again, those that wait too."""
        self._free.set()

    def destination(self, address: str) -> str:
        """What stands before the last slash."""
        return address.rpartition("/")[0]

    def deliver(self, outgoing: Outgoing) -> Outcome:
        """The next scripted outcome."""
        self.got.add(outgoing)
        if self.destination(outgoing.address).startswith(self._hung):
            self._free.wait()
        outcome = self._script.popleft() if self._script else self.meaning(outgoing)
        if outcome.kind in {"sent", "unknown"}:
            self.taken.add(outgoing)
        return outcome
