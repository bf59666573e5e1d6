"""The ladder of an evening whose door was opened again: it goes on from there."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.alerts.reminded_evening import CalledStep, Evening
from scheduler.alerts.step import Step, nth
from scheduler.cares.closing import Closing
from scheduler.cares.door_state import Door

_MINUTE = timedelta(minutes=1)
_HOUR = timedelta(hours=1)
# All of this file's times: common practice, no source.
_AGAIN_AFTER = 15 * _MINUTE
_EVERYBODY_AFTER = (30 * _MINUTE, 45 * _MINUTE)
BREATH = 5 * _MINUTE  # whoever was just told is not told the next thing at once
_OFTEN = 3  # from then on somebody plays with the buttons
_SLIP = _MINUTE  # within it one's own tap was a slip of the finger
_BEFORE_LET_OUT = 15 * _MINUTE


def steps_of(evening: Evening, states: Mapping[str, Door]) -> tuple[CalledStep, ...]:
    """The steps that are to go out as the doors stand, in order.

    A door opened again after the lock-up is told of at once, after 15 minutes and every hour
    until the morning, to whoever is on duty; what was due before that is not told again. Whoever
    said so hears it from the second time on; where it goes back and forth it is told five minutes
    later, if it is open then. Where everybody's turn was over it comes once more,
    after half an hour and 15 minutes later. Opened again before the lock-up it all begins anew.
    """
    last = opened_last(states.values())
    if last is None or last.at < evening.lock_up:
        return evening.steps
    earliest = last.at + BREATH
    steps = [
        replace(step, at=max(step.at, earliest))
        for step in evening.steps
        if step.at > last.at and step.kind != "hourly"
    ]
    if any(state.waits and state.opened for state in states.values()):
        breath = BREATH if is_often(states) else timedelta()
        steps += [*_again(evening, last, breath), *_everybody(evening, last)]
    elif any(state.waits for state in states.values()):
        steps += [step for step in evening.steps if step.at > last.at and step.kind == "hourly"]
    return tuple(sorted(steps, key=lambda step: step.at))


def opened_last(doors: Iterable[Door]) -> Closing | None:
    """What was said last that opened one of these doors again."""
    opened = (door.opened for door in doors if door.opened)
    return max(opened, key=lambda said: said.at, default=None)


def is_often(states: Mapping[str, Door]) -> bool:
    """Whether one door was opened again, or its birds were missed, more than three times."""
    return any(state.opening + state.searches > _OFTEN for state in states.values())


def is_slip(states: Mapping[str, Door]) -> bool:
    """Whether the last to shut a door took that back within a minute, and it is open again."""
    last = opened_last(states.values())
    if last is None or last.was != "closed" or last.was_at is None:
        return False
    return last.who == last.was_by and last.at - last.was_at <= _SLIP


def _again(evening: Evening, last: Closing, breath: timedelta) -> Iterator[CalledStep]:
    duty = evening.on_duty
    if duty is None:
        return
    for number, at in enumerate(_instants(evening, last.at), start=1):
        if number == 1 and duty.name == last.who:
            continue
        yield CalledStep(
            name=nth("reopened", number),
            kind="reopened",
            at=at + breath if number == 1 else at,
            people=(duty.person_id,),
        )


def _everybody(evening: Evening, last: Closing) -> Iterator[CalledStep]:
    turns = [step for step in evening.steps if step.kind == "everybody"]
    if not turns or any(step.at > last.at for step in turns):
        return
    people = tuple(contact.person_id for contact in evening.crew)
    for number, after in enumerate(_EVERYBODY_AFTER, start=len(turns) + 1):
        if last.at + after < evening.let_out - _BEFORE_LET_OUT:
            # Everybody's turn by its name, in the words of a door that was opened again.
            name = Step("everybody", number)
            yield CalledStep(name=name, kind="reopened", at=last.at + after, people=people)


def _instants(evening: Evening, since: datetime) -> Iterator[datetime]:
    end = evening.let_out - _BEFORE_LET_OUT
    yield since
    if since + _AGAIN_AFTER < end:
        yield since + _AGAIN_AFTER
    hours = max((end - since) // _HOUR, 0)
    yield from (since + number * _HOUR for number in range(1, hours + 1))
