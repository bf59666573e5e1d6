"""Which messages an evening needs now, given what has been said and what was written down.

Pure: the same evening, the same rows and the same instant give the same deliveries. Each is
known by its key, so deciding twice adds nothing.
"""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta

from scheduler.alerts.delivery import ChannelName, Delivery, Key, Message, Operation, State
from scheduler.alerts.evening import CalledStep, Evening
from scheduler.alerts.text import DoorStates

SECOND_LOOK_AFTER = timedelta(minutes=20)  # common practice, no source
_SEARCH_BEFORE_LET_OUT = timedelta(minutes=15)
_HELD_AFTER = timedelta(minutes=5)
_DAWN_USEFUL = timedelta(hours=3)
_ONE_WAY = {"heads-up", "now", "dawn"}  # one message to one person; later steps use every way
LADDER_KINDS = ("heads-up", "now", "again", "next", "everybody", "hourly", "bedtime", "dawn")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What is written down of one delivery of the evening."""

    key: Key
    operation: Operation
    state: State
    attempts: int
    message: Message

    @property
    def may_have_arrived(self) -> bool:
        """Whether the person may have seen it."""
        return self.operation == "send" and (
            self.state in {"sent", "perhaps sent", "sending"} or self.attempts > 0
        )


Voice = Callable[[CalledStep, str, ChannelName], Message]


def opening(states: DoorStates) -> int:
    """How often a door of the evening was reopened."""
    return sum(state.opening for state in states.values())


def is_open(states: DoorStates) -> bool:
    """Whether a door of the evening still waits for somebody."""
    return any(state.state == "open" for state in states.values())


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
    written = {(row.key.step, row.key.opening) for row in rows}
    due = [step for step in evening.steps if step.at <= now and (step.name, turn) not in written]
    if not due:
        return []
    *missed, highest = due
    # A later one went out while nothing could be written down: these would only confuse.
    overtaken = any(
        highest.at < step.at <= now and (step.name, turn) in written for step in evening.steps
    )
    over = overtaken or now >= _useful_until(evening, highest)
    found = [
        _delivery(evening, step, person_id, way, turn, voice, "missed")
        for step in (due if over else missed)
        for person_id in step.people
        for way in _ways(evening, step, person_id)
    ]
    if over:
        return found
    called = {person_id for step in due for person_id in step.people}
    return found + [
        _delivery(evening, highest, contact.person_id, way, turn, voice, "pending")
        for contact in evening.crew
        if contact.person_id in called
        for way in _ways(evening, highest, contact.person_id)
    ]


def _ways(evening: Evening, step: CalledStep, person_id: str) -> tuple[ChannelName, ...]:
    ways = tuple(way for way, _ in evening.contact(person_id).addresses)
    return ways[:1] if step.kind in _ONE_WAY else ways


def _useful_until(evening: Evening, step: CalledStep) -> datetime:
    return evening.let_out + _DAWN_USEFUL if step.kind == "dawn" else evening.let_out


def _delivery(  # noqa: PLR0913, PLR0917 - the key in parts
    evening: Evening,
    step: CalledStep,
    person_id: str,
    way: ChannelName,
    turn: int,
    voice: Voice,
    state: State,
) -> Delivery:
    return Delivery(
        key=_key(evening, step.name, turn, person_id, way),
        message=voice(step, person_id, way),
        due_at=step.at,
        useful_until=_useful_until(evening, step),
        state=state,
    )


def _key(evening: Evening, step: str, turn: int, person_id: str, way: ChannelName) -> Key:
    return Key(
        site_id=evening.site_id,
        subject_id=evening.subject_id,
        day=evening.day,
        step=step,
        opening=turn,
        person_id=person_id,
        channel=way,
    )


def kind_of(step: str) -> str:
    """The kind of a ladder step by its name, passed on or not; empty for what is no such step."""
    stem = step.split("-for-", maxsplit=1)[0].rstrip("0123456789").removesuffix("-")
    return stem if stem in LADDER_KINDS else ""


def rung(rows: Iterable[Row]) -> set[str]:
    """Whoever may have had `now` or later."""
    loud = set(LADDER_KINDS) - {"heads-up"}
    return {
        row.key.person_id for row in rows if row.may_have_arrived and kind_of(row.key.step) in loud
    }


def notice(  # noqa: PLR0913 - one message to several people
    evening: Evening,
    step: str,
    turn: int,
    people: Iterable[str],
    message: Message,
    *,
    due_at: datetime,
    useful_until: datetime | None = None,
) -> list[Delivery]:
    """The same message to each of them, over their loudest way."""
    wanted = set(people)
    return [
        Delivery(
            key=_key(evening, step, turn, contact.person_id, contact.addresses[0][0]),
            message=message,
            due_at=due_at,
            useful_until=useful_until or evening.let_out,
        )
        for contact in evening.crew
        if contact.person_id in wanted
    ]


def search_steps(evening: Evening, shut_at: datetime) -> tuple[tuple[str, datetime], ...]:
    """When the search is spoken of: at once, after 20 minutes, before the let-out."""
    last = evening.let_out - _SEARCH_BEFORE_LET_OUT
    second = shut_at + SECOND_LOOK_AFTER
    steps = [("first", shut_at)]
    if second < last:
        steps.append(("second look", second))
    if shut_at < last:
        steps.append(("before let-out", last))
    return tuple(steps)


def rings_at(evening: Evening, states: DoorStates, now: datetime) -> datetime | None:
    """When the push server is to ring by itself if nothing more is heard from us.

    Five minutes after the latest; once that is past, five minutes after the next reminder.
    """
    if not is_open(states):
        return None
    if now < evening.latest:
        return evening.latest.replace(second=0) + _HELD_AFTER  # the minute that a clock shows
    ahead = [step.at for step in evening.steps if step.at > now and step.kind != "dawn"]
    return ahead[0] + _HELD_AFTER if ahead else None


def holds(
    evening: Evening, states: DoorStates, rows: Sequence[Row], now: datetime, message: Message
) -> list[Delivery]:
    """What the push server is to hold, put off, or give up, for everybody with push."""
    wanted = rings_at(evening, states, now)
    found = []
    for contact in evening.crew:
        if contact.address("push") is None:
            continue
        mine = [
            row
            for row in rows
            if row.key.person_id == contact.person_id and row.key.step.startswith("hold-")
        ]
        last = mine[-1] if mine else None
        armed = last.message.rings_at if last and last.operation == "hold" else None
        if wanted == armed:
            continue
        key = _key(evening, f"hold-{len(mine) + 1}", 0, contact.person_id, "push")
        held_id = _key(evening, "hold", 0, contact.person_id, "push").message_id
        found.append(
            Delivery(
                key=key,
                operation="hold" if wanted else "cancel",
                message=_about(message, held_id, wanted),
                due_at=now,
                useful_until=wanted or evening.let_out,
            )
        )
    return found


def clearings(evening: Evening, rows: Iterable[Row], now: datetime) -> list[Delivery]:
    """Takes back every reminder that a phone may still show."""
    return [
        Delivery(
            key=_key(evening, f"clear-{row.key.step}", row.key.opening, row.key.person_id, "push"),
            operation="cancel",
            message=_about(row.message, row.key.message_id, None),
            due_at=now,
            useful_until=evening.let_out,
        )
        for row in rows
        if row.key.channel == "push" and row.may_have_arrived and kind_of(row.key.step)
    ]


def _about(message: Message, target_id: str, at: datetime | None) -> Message:
    return replace(message, buttons=(), rings_at=at, target_id=target_id)
