"""A household with a real journal: what keepers say and what goes out, at instants of a test."""

from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from datetime import date, datetime
from pathlib import Path

from scheduler.alerts.delivery import Delivery, Key, Message, Outcome
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.outcome import Next
from scheduler.cares.closing import Closing, ClosingKind
from scheduler.journal import claims, closings, deliveries, outcomes
from scheduler.journal.claims import Claimed
from scheduler.journal.outcomes import CameOf
from scheduler.journal.store import Journal, open_journal
from scheduler.service.almanac import Almanac
from scheduler.service.doors.follow import follow
from scheduler.service.doors.say import say
from scheduler.service.doors.statement import Result, Statement
from scheduler.service.evenings_around import nights
from scheduler.watch import site_messages
from tests.alerts.orchard import SINCE, TEXT, almanac, at
from tests.told import Told, as_told, told_of, worded_by


@dataclass(slots=True)
class Desk:
    """The journal and the days of one household."""

    journal: Journal
    days: Almanac
    now: datetime = SINCE
    told: dict[Key, Message] = field(default_factory=dict)

    def nights(self, now: datetime) -> tuple[Night, ...]:
        """The evenings as the journal has them."""
        with self.journal.reading() as connection:
            return nights(self.days, connection, now)

    def go(self, now: datetime) -> list[str]:
        """One tick: what is due goes out, and every send succeeds; "step person channel"."""
        with self.journal.writing() as writing:
            connection = writing.connection
            follow(self.days, connection, now)
            self.now, worded = now, worded_by(self.days)(connection, now)

            def pick(one: Claimed) -> Claimed:
                said = worded(one)
                self.told[one.key] = said.say()
                return replace(one, mark=said.mark, generation=said.generation)

            out = [
                one
                for channel in ("push", "mail")
                for one in claims.claim(connection, "orchard", channel, now, 999, pick)
            ]
            came = Outcome(kind="sent")
            settled = [CameOf(one, came, Next(state="sent"), now) for one in out]
            outcomes.settle(connection, settled)
        return [
            f"{one.key.step} {one.key.person_id} {one.key.channel}"
            for one in out
            if one.operation == "send"
        ]

    def say(  # noqa: PLR0913 - what a command line may say
        self,
        kind: ClosingKind,
        clock: str,
        count: int | None = None,
        *,
        coop: str | None = None,
        who: str = "Ana",
        said_at: str | None = None,
        evening: date | None = None,
        sure: bool = False,
        some_missing: bool = False,
    ) -> Result:
        """Somebody says something at that time of the winter's evening."""
        statement = Statement(
            kind=kind, coop=coop, count=count, who=who, at=at(said_at) if said_at else None,
            evening=evening, sure=sure, some_missing=some_missing,
        )  # fmt: skip
        self.now = at(clock)
        return say(self.journal, self.days, statement, self.now)

    def closings(self) -> tuple[Closing, ...]:
        """Everything that was kept."""
        with self.journal.reading() as connection:
            return closings.closings(connection, "orchard")

    def rows(self) -> tuple[Told, ...]:
        """Everything that was written down, with its words: those it went out with, or of now."""
        with self.journal.reading() as connection:
            found = deliveries.rows_since(connection, "orchard", date.min)
            around = told_of(nights(self.days, connection, self.now))
        return tuple(as_told(row, around, self.now, self.told.get(row.key)) for row in found)

    def notes(self, now: datetime) -> list[Delivery]:
        """The notes of the site that are due, written down as well."""
        with self.journal.writing() as writing:
            connection = writing.connection
            said = closings.closings(connection, "orchard")
            found = list(site_messages.due_notes(self.days, connection, said, now))
            deliveries.add(connection, found)
        return found


@contextmanager
def desk(folder: Path, text: str = TEXT) -> Iterator[Desk]:
    """A household with an empty journal in the folder."""
    journal = open_journal(folder / "journal.sqlite3")
    yield Desk(journal, almanac(text))
    journal.close()
