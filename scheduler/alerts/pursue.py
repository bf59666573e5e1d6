"""Everything one evening needs at one instant: what to add, and what to drop."""

from collections.abc import Iterable
from dataclasses import replace
from datetime import datetime

from scheduler.alerts import decide
from scheduler.alerts.decide import Pursuit
from scheduler.alerts.delivery import Delivery, Key
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.held_messages import holds, replaced_holds
from scheduler.alerts.not_shown import by_the_next_way, looked_for_at
from scheduler.alerts.once_shut import once_shut
from scheduler.alerts.reopened import BREATH, is_often, steps_of
from scheduler.alerts.search import by_other_ways, search_renewed
from scheduler.alerts.while_open import while_open


def pursue(night: Night, now: datetime) -> Pursuit:
    """What the evening needs at `now`; asking twice adds nothing."""
    night = with_what_was_said_late(night)
    if not night.is_ours(now):
        return Pursuit()
    reminded = while_open(night, now)
    add = list(reminded.add)
    drop = [*reminded.drop, *night.out_of_date(), *_to_who_has_left(night)]
    if now < night.evening.let_out:
        add += once_shut(night, now) + search_renewed(night, now)
        if now >= night.noon:
            held = holds(night, now)
            add += held
            drop += replaced_holds(night, now, held)
        add += by_the_next_way(night, now)
    drop += _overtaken_by_a_search(night, add)
    add += by_other_ways(night, now, drop)
    known = {row.key for row in night.rows if row.state != "early"}
    return Pursuit(
        add=tuple(one for one in add if one.key not in known),
        drop=tuple(dict.fromkeys(drop)),
    )


def _overtaken_by_a_search(night: Night, add: Iterable[Delivery]) -> list[Key]:
    """What waits to be told of a search to whoever is told the next of it."""
    newer = {one.key.person_id for one in add if one.key.step.is_search}
    return [
        row.key
        for row in night.rows
        if row.state == "pending" and row.key.step.is_search and row.key.person_id in newer
    ]


def with_what_was_said_late(night: Night) -> Night:
    """The same, where an ending said of an evening before is news as if it were of this one."""
    states = dict(night.states)
    for one in night.said_late:
        state = states[one.coop_id]
        # As of this evening: what is taken back counts twice, or it would be told of as before.
        news = state.news + (2 if one.was else 1)
        last = one if state.last is None or state.last.known_at <= one.known_at else state.last
        states[one.coop_id] = replace(state, news=news, last=last)
    return replace(night, states=states)


def _to_who_has_left(night: Night) -> list[Key]:
    """What waits for somebody who is not told anything any more."""
    here = {contact.person_id for contact in night.evening.crew}
    return [
        row.key
        for row in night.rows
        if row.state == "pending" and row.operation == "send" and row.key.person_id not in here
    ]


def next_instant(night: Night, now: datetime) -> datetime:
    """The next instant at which the evening may need something that it does not need now."""
    evening = night.evening
    instants = [step.at for step in steps_of(evening, night.states)]
    instants += [night.noon, evening.let_out, *looked_for_at(night)]
    for state in night.states.values():
        if state.state == "searching" and state.said:
            instants += [at for _, at in decide.search_steps(night, state.said.at)]
    if is_often(night.states):
        instants += [said.at + BREATH for said in night.shut_by]
        instants += [one.opened.at + BREATH for one in night.states.values() if one.opened]
    return min((at for at in instants if at > now), default=datetime.max.replace(tzinfo=now.tzinfo))
