"""Which messages an evening needs now, given what has been said and what was written down.

Pure: the same evening, the same rows and the same instant give the same deliveries. Each is
known by its key, so deciding twice adds nothing.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from scheduler.alerts.delivery import ChannelName, Delivery, Key, Message, Operation, State
from scheduler.alerts.reminded_evening import CalledStep, DoorStates, Evening
from scheduler.alerts.reopened import BREATH, is_often, steps_of
from scheduler.alerts.step import SearchKind, Step

SECOND_LOOK_AFTER = timedelta(minutes=20)  # common practice, no source
_SEARCH_BEFORE_LET_OUT = timedelta(minutes=15)
_DAWN_USEFUL = timedelta(hours=3)
_ONE_WAY = {"heads-up", "now", "dawn"}  # one message to one person; later steps use every way
_WENT_OR_MISSED = {"sent", "perhaps sent", "sending", "missed"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What is written down of one delivery of the evening, and where it went."""

    key: Key
    operation: Operation
    state: State
    attempts: int
    message: Message
    address: str | None = field(default=None, repr=False)

    @property
    def may_have_arrived(self) -> bool:
        """Whether the person may have seen it."""
        return self.operation == "send" and (
            self.state in {"sent", "perhaps sent", "sending"} or self.attempts > 0
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Pursuit:
    """Deliveries to write down, waiting ones to give up, waiting ones with other words."""

    add: tuple[Delivery, ...] = ()
    drop: tuple[Key, ...] = ()
    reword: tuple[tuple[Key, Message], ...] = ()

    @property
    def nothing(self) -> bool:
        """Whether there is nothing to do."""
        return not (self.add or self.drop or self.reword)


Voice = Callable[[CalledStep, str, ChannelName], Message]


def opening(states: DoorStates) -> int:
    """How often a door of the evening was reopened."""
    return sum(state.opening for state in states.values())


def is_open(states: DoorStates) -> bool:
    """Whether a door of the evening still waits for somebody."""
    return any(state.waits for state in states.values())


def reminders(
    evening: Evening, states: DoorStates, rows: Sequence[Row], now: datetime, voice: Voice
) -> list[Delivery]:
    """The reminders that are due and not yet written down.

    Of several missed ones only the highest goes out, once to each person that any of them calls;
    the others are written down as missed. Nothing goes out after the next let-out but
    `dawn`, for three hours.
    """
    if not is_open(states):
        return []
    turn = opening(states)
    steps = steps_of(evening, states)
    written = _written(evening, rows, turn)
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
            key=key_of(evening, step.name, turn, person_id, way),
            message=voice(step, person_id, way),
            due_at=step.at,
            useful_until=_useful_until(evening, step),
            state=state,
        )
        for state, step, people in found
        for person_id in people
        for way in _ways(evening, step, person_id)
    ]


def _written(evening: Evening, rows: Sequence[Row], turn: int) -> set[tuple[Step, int]]:
    """The steps that need not be written down again, each with its turn.

    What waited for somebody who has left since is taken by the next one; what they alone had
    been told, too: nobody who is still here knows of it.
    """
    here = {contact.person_id for contact in evening.crew}
    told_here = any(
        row.key.person_id in here
        and row.key.opening == turn
        and row.may_have_arrived
        and row.key.step.is_reminder
        for row in rows
    )
    count = _WENT_OR_MISSED if told_here else {"missed"}
    return {
        (row.key.step, row.key.opening)
        for row in rows
        if row.state != "early" and (row.key.person_id in here or row.state in count)
    }


def _ways(evening: Evening, step: CalledStep, person_id: str) -> tuple[ChannelName, ...]:
    ways = tuple(way for way, _ in evening.contact(person_id).addresses)
    return ways[:1] if step.kind in _ONE_WAY else ways


def _useful_until(evening: Evening, step: CalledStep) -> datetime:
    return evening.let_out + _DAWN_USEFUL if step.kind == "dawn" else evening.let_out


def key_of(evening: Evening, step: Step, turn: int, person_id: str, way: ChannelName) -> Key:
    """What a delivery of the evening is known by, on its turn of the doors."""
    return Key(
        site_id=evening.site_id,
        subject_id=evening.subject_id,
        day=evening.day,
        step=step,
        opening=turn,
        person_id=person_id,
        channel=way,
    )


def rung(rows: Iterable[Row]) -> set[str]:
    """Whoever may have had `now` or later."""
    return {row.key.person_id for row in rows if row.may_have_arrived and row.key.step.calls}


def search_steps(
    evening: Evening, shut_at: datetime, states: DoorStates
) -> tuple[tuple[SearchKind, datetime], ...]:
    """When the search is spoken of: at once, after 20 minutes, before the let-out.

    Where it goes back and forth, five minutes later, if they are still missing then.
    """
    last = evening.let_out - _SEARCH_BEFORE_LET_OUT
    second = shut_at + SECOND_LOOK_AFTER
    first = shut_at + BREATH if is_often(states) else shut_at
    steps: list[tuple[SearchKind, datetime]] = [("search-first", first)]
    if second < last:
        steps.append(("search-second-look", second))
    if shut_at < last:
        steps.append(("search-before-let-out", last))
    return tuple(steps)


def clearings(evening: Evening, rows: Iterable[Row], now: datetime) -> list[Delivery]:
    """Takes back every reminder that a phone may still show."""
    return [
        Delivery(
            key=replace(row.key, step=Step("clear", of=row.key.step)),
            operation="cancel",
            message=replace(row.message, buttons=(), rings_at=None, target_id=row.key.message_id),
            due_at=now,
            useful_until=evening.let_out,
            address=row.address,
        )
        for row in rows
        if row.key.channel == "push" and row.may_have_arrived and row.key.step.is_reminder
    ]
