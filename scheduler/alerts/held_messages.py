"""What the push server holds: when it rings by itself, and what is taken back where it lies."""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from scheduler.alerts.delivery import Delivery, Key
from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.reopened import steps_of
from scheduler.alerts.step import Step

RINGS_AFTER = timedelta(minutes=5)
RINGS_AGAIN_AFTER = timedelta(minutes=20)  # while nobody takes it back; common practice, no source
_STRAY_USEFUL = timedelta(hours=1)


def rings_at(night: Night, now: datetime) -> datetime | None:
    """When the push server is to ring by itself if nothing more is heard from us.

    Five minutes after the latest; once that is past, five minutes after the next reminder.
    """
    if not night.is_open:
        return None
    evening = night.evening
    if now < evening.latest:
        return evening.latest.replace(second=0) + RINGS_AFTER  # the minute that a clock shows
    steps = steps_of(evening, night.states)
    ahead = [step.at for step in steps if step.at > now and step.kind != "dawn"]
    return ahead[0] + RINGS_AFTER if ahead else None


def holds(night: Night, now: datetime) -> list[Delivery]:
    """What the push server is to hold, put off, or give up, for everybody with push.

    A held message is known by where it lies: one that lies where its person is not reached any
    more, or whose person has gone, is taken back there.
    """
    wanted = rings_at(night, now)
    topics, crew = night.topics_now(), [one.person_id for one in night.evening.crew]
    here = {person_id: topics.get(person_id) for person_id in crew}
    held = (row.key.person_id for row in night.rows if row.key.step.kind == "hold")
    return [
        one
        for person_id in dict.fromkeys([*crew, *held])
        for one in _of_person(night, person_id, here.get(person_id), wanted, now)
    ]


def _of_person(
    night: Night, person_id: str, topic: str | None, wanted: datetime | None, now: datetime
) -> Iterator[Delivery]:
    """The same for one person, whom push reaches there now, if anywhere."""
    evening = night.evening
    mine = [
        row for row in night.rows if row.key.person_id == person_id and row.key.step.kind == "hold"
    ]
    lying, number = _lying(mine, topic), _highest(mine)
    if topic is not None:
        lying.setdefault(topic, _Held())
    for address, there in lying.items():
        at = wanted if address == topic else None
        needs_no_taking_back = not (there.perhaps_there and _has_left(mine, address, topic))
        if at == there.rings_at or (at is None and needs_no_taking_back):
            continue
        number += 1
        yield Delivery(
            key=night.key_of(Step("hold", number), 0, person_id, "push"),
            operation="hold" if at else "cancel",
            rings_at=at or there.rings_at,
            due_at=now,
            useful_until=at or evening.let_out,
            address=address,
        )


def replaced_holds(night: Night, now: datetime, found: Iterable[Delivery]) -> list[Key]:
    """What waits to be held and is not wanted, or gives way to one of those found."""
    topics = night.topics_now()
    replaced = {(one.key.person_id, one.address) for one in found}
    wanted: set[tuple[str, str | None]] = set()
    if rings_at(night, now):
        wanted = {(one.person_id, topics.get(one.person_id)) for one in night.evening.crew}
    keys = []
    for row in night.rows:
        if row.state == "pending" and row.key.step.kind == "hold":
            place = (row.key.person_id, row.address or topics.get(row.key.person_id))
            # What was never handed over needs no taking back.
            if place in replaced or (row.operation == "hold" and place not in wanted):
                keys.append(row.key)
    return keys


def strays(nights: Iterable[Night], rows: Iterable[Row], now: datetime) -> list[Delivery]:
    """Takes back, where it lies, what is still to ring for doors that no evening under way has.

    What rang is to ring once more.

    A house that came or went gives the doors that share a message another first one. One that is
    to come has none either: then the clock was set back.
    """
    known = {
        (night.evening.day, night.evening.subject_id)
        for night in nights
        if night.is_ours(now) and night.noon <= now < night.evening.let_out
    }
    chains: dict[tuple[date, str, str], list[Row]] = {}
    for row in rows:
        key = row.key
        if key.step.kind == "hold" and (key.day, key.subject_id) not in known:
            chains.setdefault((key.day, key.subject_id, key.person_id), []).append(row)
    return [one for chain in chains.values() for one in _taken_back(chain, now)]


def _taken_back(chain: Sequence[Row], now: datetime) -> Iterator[Delivery]:
    number, last = _highest(chain), chain[-1]
    for address, there in _lying(chain, None).items():
        if there.perhaps_there and there.rings_at and there.rings_at + RINGS_AGAIN_AFTER > now:
            number += 1
            yield Delivery(
                key=replace(last.key, step=Step("hold", number)),
                operation="cancel",
                rings_at=there.rings_at,
                due_at=now,
                useful_until=there.rings_at + RINGS_AGAIN_AFTER + _STRAY_USEFUL,
                address=address,
            )


def _highest(holds: Iterable[Row]) -> int:
    """Of those that stand; some in between may have been forgotten."""
    return max((row.key.step.number or 0 for row in holds), default=0)


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
            found[where] = _Held(rings_at=row.rings_at, perhaps_there=there)
    return found
