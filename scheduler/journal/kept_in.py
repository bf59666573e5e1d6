"""What a journal is kept in: the port of the two engines."""

from contextlib import AbstractContextManager
from datetime import datetime
from typing import NamedTuple, Protocol

from sqlalchemy import Connection, Engine

from scheduler.journal.fault import JournalFault


class Changes(NamedTuple):
    """Which journal it is, and a number that moves with every change that is committed."""

    identity: int
    number: int


class Look(NamedTuple):
    """What a look at a journal tells, at one moment.

    `time` is by the journal's own clock; None where that is this machine's.
    """

    changes: Changes
    time: datetime | None


class KeptIn(Protocol):
    """An engine: how its transactions begin, what tells of a change, what its faults mean."""

    @property
    def name(self) -> str:
        """The journal as a person is told of it; no password stands in it."""
        ...

    @property
    def known_as(self) -> str:
        """The same in every language: what is kept and compared."""
        ...

    def engine(self) -> Engine:
        """Connections to it, made when they are first needed."""
        ...

    def reading(self, engine: Engine) -> AbstractContextManager[Connection]:
        """A transaction in which everything is of one moment."""
        ...

    def writing(self, engine: Engine, *, beside: bool) -> AbstractContextManager[Connection]:
        """A transaction that is kept whole or not at all, and that waits for its turn.

        Where the engine can, those `beside` others only wait for the ones that are not.
        """
        ...

    def noting(self, engine: Engine) -> AbstractContextManager[Connection]:
        """For a statement whose outcome nobody else reads twice: it counts as no change."""
        ...

    def look(self, engine: Engine) -> Look:
        """Which it is, its number of changes and its time: asked often, and all at once.

        Raises:
            JournalFault: it is not there.
        """
        ...

    def fault(self, error: Exception) -> JournalFault:
        """What an error of the engine means, and what to do about it."""
        ...
