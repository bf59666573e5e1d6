"""While a door is open: its reminders, that it is open again, and the newest of them anew."""

from collections.abc import Container, Iterable
from datetime import datetime

from scheduler.alerts import decide
from scheduler.alerts.decide import Pursuit
from scheduler.alerts.delivery import USUAL, Delivery
from scheduler.alerts.evening_so_far import Night, Row
from scheduler.alerts.reopened import BREATH, is_often, is_slip, opened_last
from scheduler.alerts.step import Step
from scheduler.alerts.who_knows import newest_words


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
    add = _but_slips(night, decide.reminders(night, now))
    fresh = {(one.key.person_id, one.key.channel) for one in add if one.state == "pending"}
    add += _no_longer_shut(night, now, {person_id for person_id, _ in fresh})
    add += _renewed(night, now, {one.key.person_id for one in add})
    drop = [
        row.key
        for row in waiting
        if (row.key.person_id, row.key.channel) in fresh or row.key.opening != night.turn
    ]
    return Pursuit(add=tuple(add), drop=tuple(drop))


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


def _no_longer_shut(night: Night, now: datetime, rung_now: Container[str]) -> list[Delivery]:
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
    told = []
    for contact in evening.crew:
        person_id = contact.person_id
        word = newest.get(person_id)
        if person_id in rung_now or named == [person_id]:
            continue
        said_so = last.was_by == contact.name and not (word and word.key.opening == night.turn)
        read_so = word and word.key.step.says_shut and word.key.opening < night.turn
        if said_so or read_so:
            told.append(person_id)
    return night.notice(Step("open-again"), night.turn, told, USUAL, at)


def _renewed(night: Night, now: datetime, told_now: Container[str]) -> list[Delivery]:
    """The last reminder once more, to whoever was put back or had their links renewed since it.

    Whoever is on duty gets the last that anybody was told: the evening went on without them.
    """
    found = []
    last_of = last_reminders(night)
    for contact in night.evening.crew if now < night.evening.let_out else ():
        person_id = contact.person_id
        last = last_of.get(person_id)
        if last is None or person_id in told_now or not night.is_dead(last[0]):
            continue
        step = Step("renewed", night.generation_of(person_id))
        loudness = decide.LOUDNESS[kind_again(last[1])]
        found += night.notice(step, night.turn, [person_id], loudness, now)
    return found


def last_reminders(night: Night) -> dict[str, tuple[Row, Row]]:
    """The last reminder that each person may have, and the one that they are told anew."""
    told = [
        row
        for row in night.rows
        if row.may_have_arrived and row.key.step.is_reminder and row.key.step.kind != "renewed"
    ]
    duty = night.evening.duty_ids
    mine = {row.key.person_id: row for row in told}
    return {
        person_id: (row, told[-1] if person_id in duty else row) for person_id, row in mine.items()
    }


def kind_again(row: Row) -> str:
    """In which words that reminder is told anew."""
    kind = row.key.step.kind
    return "reopened" if kind == "open-again" else kind
