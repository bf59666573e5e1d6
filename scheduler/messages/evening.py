"""A delivery of an evening in words: as its doors and birds stand when it is sent."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import datetime, timedelta
from typing import Protocol

from scheduler.alerts import marks
from scheduler.alerts.delivery import LOUDEST, USUAL, WITH_BUTTONS, Key, Matter, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.news_told import told_late
from scheduler.alerts.once_shut import emptied as houses_emptied
from scheduler.alerts.reminded_evening import CalledStep
from scheduler.alerts.reopened import steps_of
from scheduler.alerts.search import call_of
from scheduler.alerts.search_call import SearchCall
from scheduler.alerts.while_open import kind_again, last_reminders
from scheduler.messages.all_clear import all_clear
from scheduler.messages.answers import not_taken, of_another_evening, renewed_since, shut_buttons
from scheduler.messages.call_to_search import call_to_search
from scheduler.messages.doors import local_time
from scheduler.messages.news import emptied, news
from scheduler.messages.phrases import fitted
from scheduler.messages.reminders import held, reminder
from scheduler.messages.ways_out import relayed
from scheduler.wording.messages.reminders import OfEvening

_BEDTIME_SAID = timedelta(hours=2)


class Told(Protocol):
    """A delivery, waiting or claimed."""

    @property
    def key(self) -> Key:
        """What it is known by."""

    @property
    def matter(self) -> Matter:
        """What its step does not say."""

    @property
    def due_at(self) -> datetime:
        """When it was due."""


def of_evening(
    night: Night, others: Sequence[Night], one: Told, names: Mapping[str, str], now: datetime
) -> Message:
    """What a delivery of that evening says at `now`; `others` are the evenings around it.

    `names` are the people's, by id.

    Raises:
        LookupError: nothing of the evening is told by such a step any more.
    """
    key, matter = one.key, one.matter
    step, person_id = key.step, key.person_id
    if step.is_reminder:
        message = _reminder(night, key, one.due_at, now)
    elif step.is_all_clear or step.kind == "clear":
        message = all_clear(night)
    elif step.is_search:
        found = call_to_search(night, _call(night, one, now))
        message = replace(found, link=night.link(person_id))
    elif step.kind == "news":
        link = night.link(person_id) if told_late(night) else ""
        message = replace(news(night), link=link)
    elif step.kind == "empty":
        asked = emptied(houses_emptied(night), by_link=bool(night.base_url))
        message = replace(asked, link=night.link(person_id))
    elif step.kind == "hold":
        message = replace(held(night), buttons=shut_buttons(night, person_id))
    else:
        message = _answered(night, others, key, matter, now)
    if key.channel == "phone":
        message = replace(message, stale_at=_stale_at(night, key, now))
    if not matter.not_by:
        return message
    return relayed(message, names.get(step.origin, step.origin), matter.not_by)


def _stale_at(night: Night, key: Key, now: datetime) -> datetime:
    """When that person is told the next of the evening at the latest; else the let-out."""
    steps = steps_of(night.evening, night.states) if key.step.is_reminder else ()
    later = (one.at for one in steps if one.at > now and key.person_id in one.people)
    return min(later, default=max(night.evening.let_out, now))


def mark_of(night: Night, one: Told, now: datetime) -> str:
    """What its row keeps of what it tells of the doors; empty where nobody asks for that."""
    step = one.key.step
    if step.is_all_clear:
        return marks.of_all_clear(night)
    if step.is_search:
        return marks.of_search(night, _call(night, one, now))
    return ""


def briefly(night: Night | None) -> Message:
    """The evening in a few words that need nothing: for when the others cannot be made."""
    if night is None:
        title = OfEvening.look()
        return Message(title, title, priority=LOUDEST)
    evening = night.evening
    names, by = [door.name for door in evening.doors], local_time(evening.latest, night)
    title = fitted(lambda where: OfEvening.briefly(names=where, by=by), names)
    return Message(title, title, priority=LOUDEST)


def _call(night: Night, one: Told, now: datetime) -> SearchCall:
    return call_of(night, one.key.step, one.due_at, now, unheard=one.matter.unheard)


def _reminder(night: Night, key: Key, due_at: datetime, now: datetime) -> Message:
    step = _called(night, key, due_at, now)
    message = reminder(night, step, key.person_id)
    if key.step.kind == "open-again":
        message = replace(message, priority=USUAL)
    buttons = shut_buttons(night, key.person_id) if key.channel in WITH_BUTTONS else ()
    return replace(message, buttons=() if key.step.origin else buttons)


def _called(night: Night, key: Key, due_at: datetime, now: datetime) -> CalledStep:
    """In which words the step calls at `now`: hours after bedtime nobody looks before bed."""
    name = key.step.told
    kind: str = name.kind
    if kind == "renewed":
        last = last_reminders(night).get(key.person_id)
        kind = kind_again(last[1]) if last else "hourly"
    elif kind == "open-again":
        kind = "reopened"
    else:
        steps = steps_of(night.evening, night.states)
        kind = next((one.kind for one in steps if one.name == name), kind)
    if kind == "bedtime" and now >= due_at + _BEDTIME_SAID:
        kind = "hourly"
    return CalledStep(name=name, kind=kind, at=due_at, people=())


def _answered(
    night: Night, others: Sequence[Night], key: Key, matter: Matter, now: datetime
) -> Message:
    """What came of a button that somebody pressed."""
    step, person_id = key.step, key.person_id
    if step.kind == "not-taken-of":
        return renewed_since(night.link(person_id))
    if step.kind in {"taken", "not-taken"} and step.day:
        tonight = next((one for one in others if _is_under_way(one, night, now)), None)
        waits = tonight is not None and tonight.is_open
        link = tonight.link(person_id) if tonight else ""
        return of_another_evening(night.evening, taken=step.kind == "taken", waits=waits, link=link)
    if step.kind == "not-taken":
        return not_taken(night, night.states[matter.of_coop])
    raise LookupError(step.kind)


def _is_under_way(one: Night, night: Night, now: datetime) -> bool:
    same = one.states.keys() & night.states.keys()
    return bool(same) and one.evening.day > night.evening.day and now < one.evening.let_out
