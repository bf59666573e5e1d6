"""Which messages an evening needs now, given what has been said and what was written down.

Pure: the same evening, the same rows and the same instant give the same deliveries. Each is
known by its key, so deciding twice adds nothing.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from scheduler.alerts.crew import Way, key_address
from scheduler.alerts.delivery import (
    LOUD,
    LOUDEST,
    USUAL,
    Delivery,
    Key,
    Priority,
    State,
)
from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.reminded_evening import CalledStep, Evening
from scheduler.alerts.reopened import BREATH, is_often, steps_of
from scheduler.alerts.step import SearchKind, Step

SECOND_LOOK_AFTER = timedelta(minutes=20)  # common practice, no source
_SEARCH_BEFORE_LET_OUT = timedelta(minutes=15)
_DAWN_USEFUL = timedelta(hours=3)
_ONE_WAY = {"heads-up", "now", "dawn"}  # one message to one person; later steps use every way
LOUDNESS: Mapping[str, Priority] = {
    "heads-up": USUAL,
    "now": LOUD,
    "again": LOUDEST,
    "next": LOUDEST,
    "everybody": LOUDEST,
    "hourly": LOUD,
    "reopened": LOUD,
    "bedtime": LOUDEST,
    "dawn": LOUD,
}
_WENT_OR_MISSED = {"sent", "perhaps sent", "sending", "missed"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Pursuit:
    """Deliveries to write down, and waiting ones to give up."""

    add: tuple[Delivery, ...] = ()
    drop: tuple[Key, ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether there is nothing to do."""
        return not (self.add or self.drop)


def reminders(night: Night, now: datetime) -> list[Delivery]:
    """The reminders that are due and not yet written down.

    Of several missed ones only the highest goes out, once to each person that any of them calls;
    the others are written down as missed. Nothing goes out after the next let-out but
    `dawn`, for three hours.
    """
    if not night.is_open:
        return []
    evening, turn = night.evening, night.turn
    steps = steps_of(evening, night.states)
    written = _written(night)
    due = [step for step in steps if step.at <= now and (step.name, turn) not in written]
    if not due:
        return []
    *missed, highest = due
    # A later one went out while nothing could be written down: these would only confuse.
    overtaken = any(highest.at < step.at <= now and (step.name, turn) in written for step in steps)
    over = overtaken or now >= _useful_until(evening, highest)
    called = {person_id for step in due for person_id in step.people}
    told = [one.person_id for one in evening.crew if one.person_id in called]
    found: list[tuple[State, CalledStep, Sequence[str]]] = [
        ("missed", step, step.people) for step in (due if over else missed)
    ]
    found += [] if over else [("pending", highest, told)]
    return [
        Delivery(
            key=night.key_of(step.name, turn, person_id, way[0], key_address(way)),
            priority=LOUDNESS[step.kind],
            due_at=step.at,
            useful_until=_useful_until(evening, step),
            state=state,
        )
        for state, step, people in found
        for person_id in people
        for way in _ways(evening, step, person_id)
    ]


def _written(night: Night) -> set[tuple[Step, int]]:
    """The steps that need not be written down again, each with its turn.

    What waited for somebody who has left since is taken by the next one; what they alone had
    been told, too: nobody who is still here knows of it.
    """
    here = {contact.person_id for contact in night.evening.crew}
    told_here = any(
        row.key.person_id in here
        and row.key.opening == night.turn
        and row.may_have_arrived
        and row.key.step.is_reminder
        for row in night.rows
    )
    count = _WENT_OR_MISSED if told_here else {"missed"}
    return {
        (row.key.step, row.key.opening)
        for row in night.rows
        if row.state != "early" and (row.key.person_id in here or row.state in count)
    }


def _ways(evening: Evening, step: CalledStep, person_id: str) -> tuple[Way, ...]:
    contact = evening.contact(person_id)
    return contact.first_ways if step.kind in _ONE_WAY else contact.addresses


def _useful_until(evening: Evening, step: CalledStep) -> datetime:
    return evening.let_out + _DAWN_USEFUL if step.kind == "dawn" else evening.let_out


def rung(rows: Iterable[Row]) -> set[str]:
    """Whoever may have had `now` or later."""
    return {row.key.person_id for row in rows if row.may_have_arrived and row.key.step.calls}


def search_steps(night: Night, shut_at: datetime) -> tuple[tuple[SearchKind, datetime], ...]:
    """When the search is spoken of: at once, after 20 minutes, before the let-out.

    Where it goes back and forth, five minutes later, if they are still missing then.
    """
    last = night.evening.let_out - _SEARCH_BEFORE_LET_OUT
    second = shut_at + SECOND_LOOK_AFTER
    first = shut_at + BREATH if is_often(night.states) else shut_at
    steps: list[tuple[SearchKind, datetime]] = [("search-first", first)]
    if second < last:
        steps.append(("search-second-look", second))
    if shut_at < last:
        steps.append(("search-before-let-out", last))
    return tuple(steps)


def clearings(night: Night, now: datetime) -> list[Delivery]:
    """Takes back every reminder that a push app may still show."""
    return [
        Delivery(
            key=replace(row.key, step=Step("clear", of=row.key.step)),
            operation="cancel",
            due_at=now,
            useful_until=night.evening.let_out,
            address=row.address,
        )
        for row in night.rows
        if row.key.channel == "push" and row.may_have_arrived and row.key.step.is_reminder
    ]
