"""What deliveries say, as the tests look at it: the words are made when they are sent."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime

from sqlalchemy import Connection

from scheduler.alerts.delivery import Delivery, Message
from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.pursue import with_what_was_said_late
from scheduler.journal.claims import Claimed
from scheduler.service.almanac import Almanac
from scheduler.service.evenings_around import nights
from scheduler.watch.worded import Worded, worded


@dataclass(frozen=True, slots=True, kw_only=True)
class Told(Row):
    """A row of the journal with the words that it goes out with now."""

    message: Message


def as_told(row: Row, around: Sequence[Night], now: datetime, went: Message | None = None) -> Told:
    """The row with the words it went out with, or else those of `now`."""
    one = Delivery(
        key=row.key, operation=row.operation, priority=row.priority, matter=row.matter,
        due_at=now, useful_until=now, rings_at=row.rings_at,
    )  # fmt: skip
    message = went or worded(one, {}, lambda _: around, now).say()
    known = {name: getattr(row, name) for name in Row.__dataclass_fields__}
    return Told(**known, message=message)


def told_of(around: Iterable[Night]) -> tuple[Night, ...]:
    """The evenings with what was said late of those before them."""
    return tuple(map(with_what_was_said_late, around))


def words(one: Delivery) -> Message:
    """What is told of besides the evenings."""
    assert one.matter.words or one.matter.says, one
    return worded(one, {}, lambda _: (), one.due_at).say()


def worded_by(
    days: Almanac | None = None,
) -> Callable[[Connection, datetime], Callable[[Claimed], Worded]]:
    """As the profile in force words what is claimed; without days, of what has kept its words."""

    def by(connection: Connection, now: datetime) -> Callable[[Claimed], Worded]:
        around = told_of(nights(days, connection, now)) if days else ()
        return lambda one: worded(one, {}, lambda _: around, now)

    return by
