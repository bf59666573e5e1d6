"""While a door is open: its reminders, that it is open again, and the newest words anew."""

from collections.abc import Container, Iterable, Iterator
from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.alerts import decide
from scheduler.alerts.decide import Pursuit, Voice
from scheduler.alerts.delivery import USUAL, ChannelName, Delivery, Key, Message
from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.reminded_evening import CalledStep
from scheduler.alerts.reopened import BREATH, is_often, is_slip, opened_last, steps_of
from scheduler.alerts.step import Step
from scheduler.alerts.who_knows import newest_words
from scheduler.alerts.words.answers import shut_buttons
from scheduler.alerts.words.reminders import reminder

_BEDTIME_SAID = timedelta(hours=2)


def while_open(night: Night, now: datetime) -> Pursuit:
    """The reminders that are due, and what becomes of those that wait; once all is shut, none."""
    waiting = [
        row
        for row in night.rows
        if row.state in {"pending", "sending"}
        and row.operation == "send"
        and row.key.step.is_reminder
    ]
    if not night.is_open:
        return Pursuit(drop=tuple(row.key for row in waiting))
    voice = _voice(night, now)
    add = _but_slips(night, decide.reminders(night, now, voice))
    fresh = {(one.key.person_id, one.key.channel) for one in add if one.state == "pending"}
    add += _no_longer_shut(night, now, voice, {person_id for person_id, _ in fresh})
    add += _renewed(night, now, voice, {one.key.person_id for one in add})
    drop = [
        row.key
        for row in waiting
        if (row.key.person_id, row.key.channel) in fresh or row.key.opening != night.turn
    ]
    stays = [row for row in waiting if row.state == "pending" and row.key not in drop]
    return Pursuit(add=tuple(add), drop=tuple(drop), reword=tuple(_reworded(night, stays, voice)))


def _reworded(night: Night, waiting: Iterable[Row], voice: Voice) -> Iterator[tuple[Key, Message]]:
    """Those whose step is still to go out, in the words of now where these are others."""
    steps = {step.name: step for step in reversed(steps_of(night.evening, night.states))}
    for row in waiting:
        if step := steps.get(row.key.step):
            said = voice(step, row.key.person_id, row.key.channel)
            said = replace(said, target_id=row.message.target_id)
            if said != row.message:
                yield row.key, said


def _but_slips(night: Night, found: Iterable[Delivery]) -> list[Delivery]:
    """Without "open again" to whoever never heard that it was shut: their reminders just go on.

    Only where somebody took their own tap back within a minute, and only to whoever was rung
    before it: within a quarter of an hour they are reminded again.
    """
    if not is_slip(night.states) or is_often(night.states):
        return list(found)
    rung = decide.rung(night.rows)
    opened = [state.opened.at for state in night.states.values() if state.opened]
    turn = night.turn - opened.count(max(opened))
    told = {
        person_id
        for person_id, row in newest_words(night).items()
        if row.key.step.says_shut and row.key.opening <= turn
    }
    return [
        one
        for one in found
        if one.state != "pending"
        or one.key.step != Step("reopened")
        or one.key.person_id in told
        or one.key.person_id not in rung
    ]


def _no_longer_shut(
    night: Night, now: datetime, voice: Voice, rung_now: Container[str]
) -> list[Delivery]:
    """That it is open again, to whoever last read that it is shut, or said so; not who is rung."""
    evening, states = night.evening, night.states
    last = opened_last(state for state in states.values() if state.waits)
    if last is None or last.at < evening.lock_up or now >= evening.let_out:
        return []
    at = last.at + BREATH if is_often(states) else last.at
    if now < at:
        return []
    newest = newest_words(night)
    named = [one.person_id for one in evening.crew if one.name == last.who]
    step = CalledStep(name=Step("open-again"), kind="reopened", at=at, people=())
    found = []
    for contact in evening.crew:
        person_id = contact.person_id
        word = newest.get(person_id)
        if person_id in rung_now or named == [person_id]:
            continue
        said_so = last.was_by == contact.name and not (word and word.key.opening == night.turn)
        read_so = word and word.key.step.says_shut and word.key.opening < night.turn
        if said_so or read_so:
            message = replace(voice(step, person_id, contact.addresses[0][0]), priority=USUAL)
            found += night.notice(step.name, night.turn, [person_id], message, at)
    return found


def _renewed(night: Night, now: datetime, voice: Voice, told_now: Container[str]) -> list[Delivery]:
    """The last reminder once more, to whoever was put back or had their links renewed since it.

    Whoever is on duty gets the last that anybody was told: the evening went on without them.
    """
    found = []
    told = [
        row
        for row in night.rows
        if row.may_have_arrived and row.key.step.is_reminder and row.key.step.kind != "renewed"
    ]
    for contact in night.evening.crew if now < night.evening.let_out else ():
        person_id = contact.person_id
        mine = [row for row in told if row.key.person_id == person_id]
        if not mine or person_id in told_now or not night.is_dead(mine[-1]):
            continue
        last = told[-1] if person_id in night.evening.duty_ids else mine[-1]
        step = CalledStep(
            name=Step("renewed", night.generations.get(person_id, 0)),
            kind="reopened" if last.key.step.kind == "open-again" else last.key.step.kind,
            at=now,
            people=(),
        )
        message = voice(step, person_id, contact.addresses[0][0])
        found += night.notice(step.name, night.turn, [person_id], message, now)
    return found


def _of_the_hour(step: CalledStep, now: datetime) -> CalledStep:
    """The step as it is said at `now`: hours after bedtime nobody is asked to look before bed."""
    late = step.kind == "bedtime" and now >= step.at + _BEDTIME_SAID
    return replace(step, kind="hourly") if late else step


def _voice(night: Night, now: datetime) -> Voice:
    def said(step: CalledStep, person_id: str, way: ChannelName) -> Message:
        message = reminder(night, _of_the_hour(step, now), person_id)
        if way != "push":
            return message
        return replace(message, buttons=shut_buttons(night, person_id))

    return said
