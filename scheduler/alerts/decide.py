"""Which messages an evening needs now, given what has been said and what was written down.

Pure: the same evening, the same rows and the same instant give the same deliveries. Each is
known by its key, so deciding twice adds nothing.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta

from scheduler.alerts.delivery import ChannelName, Delivery, Key, Message, Operation, State
from scheduler.alerts.reminded_evening import CalledStep, DoorStates, Evening
from scheduler.alerts.reopened import BREATH, is_often, steps_of
from scheduler.alerts.step import SearchKind, Step

SECOND_LOOK_AFTER = timedelta(minutes=20)  # common practice, no source
_SEARCH_BEFORE_LET_OUT = timedelta(minutes=15)
_HELD_AFTER = timedelta(minutes=5)
_DAWN_USEFUL = timedelta(hours=3)
_STRAY_USEFUL = timedelta(hours=1)
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


def _key(evening: Evening, step: Step, turn: int, person_id: str, way: ChannelName) -> Key:
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


def notice(  # noqa: PLR0913 - one message to several people
    evening: Evening,
    step: Step,
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


def rings_at(evening: Evening, states: DoorStates, now: datetime) -> datetime | None:
    """When the push server is to ring by itself if nothing more is heard from us.

    Five minutes after the latest; once that is past, five minutes after the next reminder.
    """
    if not is_open(states):
        return None
    if now < evening.latest:
        return evening.latest.replace(second=0) + _HELD_AFTER  # the minute that a clock shows
    steps = steps_of(evening, states)
    ahead = [step.at for step in steps if step.at > now and step.kind != "dawn"]
    return ahead[0] + _HELD_AFTER if ahead else None


def holds(  # noqa: PLR0913, PLR0917 - one evening in parts
    evening: Evening,
    states: DoorStates,
    rows: Sequence[Row],
    now: datetime,
    message: Message,
    topics: Mapping[str, str],
) -> list[Delivery]:
    """What the push server is to hold, put off, or give up, for everybody with push.

    A held message is known by where it lies: one that lies where its person is not reached any
    more, or whose person has gone, is taken back there. `topics` is where each person is reached.
    """
    wanted = rings_at(evening, states, now)
    found = []
    people = dict.fromkeys(contact.person_id for contact in evening.crew)
    people |= dict.fromkeys(row.key.person_id for row in rows if row.key.step.kind == "hold")
    for person_id in people:
        mine = [row for row in rows if _is_hold_of(row, person_id)]
        in_crew = any(contact.person_id == person_id for contact in evening.crew)
        topic = topics.get(person_id) if in_crew else None
        lying = _lying(mine, topic)
        if topic is not None:
            lying.setdefault(topic, _Held())
        number = _highest(mine)
        for address, held in lying.items():
            wanted_here = wanted if address == topic else None
            if wanted_here == held.rings_at:
                continue
            if wanted_here is None and not (held.perhaps_there and _has_left(mine, address, topic)):
                continue
            number += 1
            held_id = _key(evening, Step("hold"), 0, person_id, "push").message_id
            found.append(
                Delivery(
                    key=_key(evening, Step("hold", number), 0, person_id, "push"),
                    operation="hold" if wanted_here else "cancel",
                    message=_about(message, held_id, wanted_here or held.rings_at),
                    due_at=now,
                    useful_until=wanted_here or evening.let_out,
                    address=address,
                )
            )
    return found


def strays(rows: Iterable[Row], evenings: Iterable[Evening], now: datetime) -> list[Delivery]:
    """Takes back, where it lies, what is still to ring for doors that no evening has as such.

    A house that came or went gives the doors that share a message another first one.
    """
    known = {(evening.day, evening.subject_id) for evening in evenings}
    chains: dict[tuple[date, str, str], list[Row]] = {}
    for row in rows:
        key = row.key
        if key.step.kind == "hold" and (key.day, key.subject_id) not in known:
            chains.setdefault((key.day, key.subject_id, key.person_id), []).append(row)
    found = []
    for chain in chains.values():
        number = _highest(chain)
        for address, held in _lying(chain, None).items():
            if held.perhaps_there and held.rings_at and held.rings_at > now:
                number += 1
                last = chain[-1]
                found.append(
                    Delivery(
                        key=replace(last.key, step=Step("hold", number)),
                        operation="cancel",
                        message=_about(last.message, last.message.target_id, held.rings_at),
                        due_at=now,
                        useful_until=held.rings_at + _STRAY_USEFUL,
                        address=address,
                    )
                )
    return found


def _highest(holds: Iterable[Row]) -> int:
    """Of those that stand; some in between may have been forgotten."""
    return max((row.key.step.number or 0 for row in holds), default=0)


def _is_hold_of(row: Row, person_id: str) -> bool:
    return row.key.person_id == person_id and row.key.step.kind == "hold"


def _has_left(chain: Iterable[Row], place: str, topic: str | None) -> bool:
    """Whether any of it was ever handed over, so that there may be something to take back."""
    return any(
        row.attempts > 0 or row.state not in {"pending", "dropped", "missed"}
        for row in chain
        if row.operation == "hold" and (row.address or topic) == place
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Held:
    """What was last asked of one place, and whether something may lie there."""

    rings_at: datetime | None = None
    perhaps_there: bool = False


def _lying(chain: Iterable[Row], topic: str | None) -> dict[str, _Held]:
    """What lies where, by the rows about one person's held message in the order of writing.

    Older rows do not say where: then it is the person's topic of now.
    """
    found: dict[str, _Held] = {}
    for row in chain:
        where = row.address or topic
        if where is None or row.state in {"dropped", "missed"}:
            continue  # it never left
        before = found.get(where, _Held())
        if row.operation == "cancel":
            found[where] = _Held(perhaps_there=before.perhaps_there and row.state == "dead")
        else:
            there = before.perhaps_there or row.state != "dead"
            found[where] = _Held(rings_at=row.message.rings_at, perhaps_there=there)
    return found


def clearings(evening: Evening, rows: Iterable[Row], now: datetime) -> list[Delivery]:
    """Takes back every reminder that a phone may still show."""
    return [
        Delivery(
            key=replace(row.key, step=Step("clear", of=row.key.step)),
            operation="cancel",
            message=_about(row.message, row.key.message_id, None),
            due_at=now,
            useful_until=evening.let_out,
            address=row.address,
        )
        for row in rows
        if row.key.channel == "push" and row.may_have_arrived and row.key.step.is_reminder
    ]


def _about(message: Message, target_id: str, at: datetime | None) -> Message:
    return replace(message, buttons=(), rings_at=at, target_id=target_id)
