"""Everything one evening needs at one instant: what to add, what to drop, what to reword."""

from collections.abc import Container, Iterable, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta

from scheduler.alerts import decide, who_knows
from scheduler.alerts.crew import duty_ids
from scheduler.alerts.decide import Row, Voice
from scheduler.alerts.delivery import USUAL, ChannelName, Delivery, Key, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import CalledStep
from scheduler.alerts.reopened import BREATH, is_often, is_slip, steps_of
from scheduler.alerts.search import (
    by_other_ways,
    linked,
    search,
    search_renewed,
    search_reworded,
)
from scheduler.alerts.step import Step, nth
from scheduler.alerts.who_knows import newest_words, told_how_it_stands, who_said
from scheduler.alerts.words.all_clear import all_clear
from scheduler.alerts.words.buttons import shut_buttons
from scheduler.alerts.words.held import held
from scheduler.alerts.words.news import emptied, is_missed_late, news
from scheduler.alerts.words.reminders import reminder

_BEDTIME_SAID = timedelta(hours=2)


@dataclass(frozen=True, slots=True, kw_only=True)
class Pursuit:
    """Deliveries to write down, waiting ones to give up, waiting ones with other words."""

    add: tuple[Delivery, ...] = ()
    drop: tuple[Key, ...] = ()
    reword: tuple[tuple[Key, Message], ...] = field(default=())

    @property
    def nothing(self) -> bool:
        """Whether there is nothing to do."""
        return not (self.add or self.drop or self.reword)


def pursue(night: Night, now: datetime) -> Pursuit:
    """What the evening needs at `now`; asking twice adds nothing."""
    night = _with_what_was_said_late(night)
    evening, states, rows = night.evening, night.states, night.rows
    if not night.is_ours(now):
        return Pursuit()
    waiting = [row for row in rows if row.state in {"pending", "sending"}]
    ladder = [row for row in waiting if row.operation == "send" and row.key.step.is_reminder]
    add: list[Delivery] = []
    drop: list[Key] = []
    reword: list[tuple[Key, Message]] = []
    voice = _voice(night, now)
    if decide.is_open(states):
        add += _but_slips(night, decide.reminders(evening, states, rows, now, voice))
        fresh = {(d.key.person_id, d.key.channel) for d in add if d.state == "pending"}
        add += _no_longer_shut(night, now, voice, {person_id for person_id, _ in fresh})
        add += _renewed(night, now, voice, {one.key.person_id for one in add})
        turn = decide.opening(states)
        for row in ladder:
            mine = (row.key.person_id, row.key.channel)
            if mine in fresh or row.key.opening != turn:
                drop.append(row.key)
            elif row.state == "pending" and (step := _step(night, row.key.step)):
                said = voice(step, row.key.person_id, row.key.channel)
                said = replace(said, target_id=row.message.target_id)
                if said != row.message:
                    reword.append((row.key, said))
    else:
        drop += [row.key for row in ladder]
    drop += night.out_of_date() + _to_who_has_left(night)
    reword += _reworded(night) + search_reworded(night)
    if now < evening.let_out:
        add += _after_shutting(night, now) + search_renewed(night, now)
        if now >= night.noon:
            add += _held(night, now, drop)
    known = {row.key for row in rows if row.state != "early"}
    newer = {one.key.person_id for one in add if one.key.step.is_search}
    drop += [
        row.key
        for row in rows
        if row.state == "pending" and row.key.step.is_search
        if row.key.person_id in newer and row.key not in drop
    ]
    add += by_other_ways(night, now, drop)
    return Pursuit(
        add=tuple(one for one in add if one.key not in known),
        drop=tuple(drop),
        reword=tuple(one for one in reword if one[0] not in drop),
    )


def _with_what_was_said_late(night: Night) -> Night:
    """The same, where an ending said of an evening before is news as if it were of this one."""
    states = dict(night.states)
    for one in night.said_late:
        state = states[one.coop_id]
        # As of this evening: what is taken back counts twice, or it would be told of as before.
        news = state.news + (2 if one.was else 1)
        last = one if state.last is None or state.last.known_at <= one.known_at else state.last
        states[one.coop_id] = replace(state, news=news, last=last)
    return replace(night, states=states)


def _but_slips(night: Night, found: Iterable[Delivery]) -> list[Delivery]:
    """Without "open again" to whoever never heard that it was shut: their reminders just go on.

    Only where somebody took their own tap back within a minute, and only to whoever was rung
    before it: within a quarter of an hour they are reminded again.
    """
    if not is_slip(night.states) or is_often(night.states):
        return list(found)
    rung = decide.rung(night.rows)
    at = max(state.opened.at for state in night.states.values() if state.opened)
    doors = sum(
        state.opened is not None and state.opened.at == at for state in night.states.values()
    )
    turn = decide.opening(night.states) - doors
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
    opened = [state.opened for state in states.values() if state.opened and state.waits]
    last = max(opened, key=lambda said: said.at, default=None)
    if last is None or last.at < evening.lock_up or now >= evening.let_out:
        return []
    at = last.at + BREATH if is_often(states) else last.at
    if now < at:
        return []
    turn = decide.opening(states)
    newest = newest_words(night)
    named = [one.person_id for one in evening.crew if one.name == last.who]
    step = CalledStep(name=Step("open-again"), kind="reopened", at=at, people=())
    found = []
    for contact in evening.crew:
        person_id = contact.person_id
        word = newest.get(person_id)
        if person_id in rung_now or named == [person_id]:
            continue
        said_so = last.was_by == contact.name and not (word and word.key.opening == turn)
        read_so = word and word.key.step.says_shut and word.key.opening < turn
        if said_so or read_so:
            message = replace(voice(step, person_id, contact.addresses[0][0]), priority=USUAL)
            found += decide.notice(evening, step.name, turn, [person_id], message, due_at=at)
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
    on_duty = duty_ids(night.evening.crew, night.evening.day)
    for contact in night.evening.crew if now < night.evening.let_out else ():
        person_id = contact.person_id
        mine = [row for row in told if row.key.person_id == person_id]
        if not mine or person_id in told_now or not night.is_dead(mine[-1]):
            continue
        last = told[-1] if person_id in on_duty else mine[-1]
        step = CalledStep(
            name=Step("renewed", night.generations.get(person_id, 0)),
            kind="reopened" if last.key.step.kind == "open-again" else last.key.step.kind,
            at=now,
            people=(),
        )
        message = voice(step, person_id, contact.addresses[0][0])
        turn = decide.opening(night.states)
        found += decide.notice(night.evening, step.name, turn, [person_id], message, due_at=now)
    return found


def _step(night: Night, name: Step) -> CalledStep | None:
    steps = steps_of(night.evening, night.states)
    return next((step for step in steps if step.name == name), None)


def _of_the_hour(step: CalledStep, now: datetime) -> CalledStep:
    """The step as it is said at `now`: hours after bedtime nobody is asked to look before bed."""
    late = step.kind == "bedtime" and now >= step.at + _BEDTIME_SAID
    return replace(step, kind="hourly") if late else step


def _voice(night: Night, now: datetime) -> Voice:
    def said(step: CalledStep, person_id: str, way: ChannelName) -> Message:
        link = night.link(person_id)
        message = reminder(
            night.evening,
            _of_the_hour(step, now),
            night.states,
            night.zone,
            link,
            count=night.count_due,
        )
        if way != "push":
            return message
        turn = decide.opening(night.states)
        buttons = shut_buttons(
            night.evening,
            night.states,
            turn,
            person_id,
            night.key,
            night.generations.get(person_id, 0),
        )
        return replace(message, buttons=buttons)

    return said


def _to_who_has_left(night: Night) -> list[Key]:
    """What waits for somebody who is not told anything any more."""
    here = {contact.person_id for contact in night.evening.crew}
    return [
        row.key
        for row in night.rows
        if row.state == "pending" and row.operation == "send" and row.key.person_id not in here
    ]


def _reworded(night: Night) -> list[tuple[Key, Message]]:
    """What waits to say that all is shut, in the words of what has been said since."""
    if decide.is_open(night.states) or not night.shut_by:
        return []
    message = all_clear(night.evening, night.states, night.zone)
    return [
        (row.key, message)
        for row in night.rows
        if row.state == "pending" and row.key.step.is_all_clear and row.message != message
    ]


def _after_shutting(night: Night, now: datetime) -> list[Delivery]:
    """The search for who is missing; once every door is shut, who was rung reads that it is."""
    evening, states, searching = night.evening, night.states, night.is_searched
    told = decide.rung(night.rows)
    found = search(night, now) + _emptied(night, now) + _news(night, now)
    if decide.is_open(states) or not (shut := night.shut_by):
        return found
    found += _cleared(night, now)
    if is_often(states) and now < shut[-1].at + BREATH:
        return found
    turn = decide.opening(states)
    step = Step("shut")
    if searching and night.search_says_shut:
        return found
    crew = told if searching else told | told_how_it_stands(night)
    if night.searches and not searching:
        step = nth("settled", night.searches)
        crew |= {*duty_ids(evening.crew, evening.day)}
    # Of a door that is searched the search tells.
    if more := sum(state.news for state in states.values() if state.state != "searching"):
        step = replace(step, news=more)
        crew |= night.told_before
    elif searching:
        crew -= who_knows.told_all_clear(night, turn)
    if crew:
        message = all_clear(evening, states, night.zone)
        crew -= who_said(night) | (who_knows.reads_as_much(night) - who_knows.contradicted(night))
        found += decide.notice(evening, step, turn, crew, message, due_at=now)
    return found


def _emptied(night: Night, now: datetime) -> list[Delivery]:
    """Asks whoever is on duty once, at the lock-up, whether a house said to be empty is."""
    evening = night.evening
    empty = [
        one
        for one in evening.doors
        if (state := night.states[one.coop_id]).is_empty and state.state == "open"
    ]
    if not empty or now < min(one.lock_up for one in empty):
        return []
    message = emptied(empty, by_link=bool(night.base_url))
    on_duty = duty_ids(evening.crew, evening.day)
    asked = decide.notice(evening, Step("empty"), 0, on_duty, message, due_at=now)
    return linked(night, asked)


def _news(night: Night, now: datetime) -> list[Delivery]:
    """What was said of an evening before, to whoever was told how it stood.

    Whoever is on duty hears of birds that a late count misses. Once the doors are shut, that they
    are says it.
    """
    step = night.news_step
    misses = is_missed_late(night.states)
    on_duty = duty_ids(night.evening.crew, night.evening.day)
    crew = night.told_before | {*(on_duty if misses else ())}
    crew -= who_said(night)
    if not step or not crew:
        return []
    message = news(night.evening, night.states, night.zone, by_link=bool(night.base_url))
    found = decide.notice(night.evening, step, 0, crew, message, due_at=now)
    return linked(night, found) if misses else found


def _cleared(night: Night, now: datetime) -> list[Delivery]:
    return decide.clearings(night.evening, night.rows, now)


def _held(night: Night, now: datetime, drop: list[Key]) -> Sequence[Delivery]:
    message = held(night.evening, night.states, night.zone)
    topics = night.topics_now()
    found = decide.holds(night.evening, night.states, night.rows, now, message, topics)
    replaced = {(one.key.person_id, one.address) for one in found}
    wanted: set[tuple[str, str | None]] = set()
    if decide.rings_at(night.evening, night.states, now):
        wanted = {(one.person_id, topics.get(one.person_id)) for one in night.evening.crew}
    for row in night.rows:
        if row.state == "pending" and row.key.step.kind == "hold":
            place = (row.key.person_id, row.address or topics.get(row.key.person_id))
            # What was never handed over needs no taking back.
            if place in replaced or (row.operation == "hold" and place not in wanted):
                drop.append(row.key)
    return found


def strays(nights: Iterable[Night], rows: Iterable[Row], now: datetime) -> list[Delivery]:
    """Takes back what is held for doors that none of the evenings under way has.

    One that is to come has none either: then the clock was set back.
    """
    current = [
        night.evening
        for night in nights
        if night.is_ours(now) and night.noon <= now < night.evening.let_out
    ]
    return decide.strays(rows, current, now)


def next_instant(night: Night, now: datetime) -> datetime:
    """The next instant at which the evening may need something that it does not need now."""
    evening = night.evening
    instants = [step.at for step in steps_of(evening, night.states)]
    instants += [night.noon, evening.let_out]
    for state in night.states.values():
        if state.state == "searching" and state.said:
            instants += [at for _, at in decide.search_steps(evening, state.said.at, night.states)]
    if is_often(night.states):
        instants += [said.at + BREATH for said in night.shut_by]
        instants += [one.opened.at + BREATH for one in night.states.values() if one.opened]
    return min((at for at in instants if at > now), default=datetime.max.replace(tzinfo=now.tzinfo))
