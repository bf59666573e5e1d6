"""Once a door is shut: the search for who is missing, and who reads that all is shut."""

from dataclasses import replace
from datetime import datetime

from scheduler.alerts import decide, who_knows
from scheduler.alerts.delivery import Delivery, Key, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reopened import BREATH, is_often
from scheduler.alerts.search import linked, search
from scheduler.alerts.step import Step, nth
from scheduler.alerts.who_knows import told_how_it_stands, who_said
from scheduler.alerts.words.all_clear import all_clear
from scheduler.alerts.words.news import emptied, is_missed_late, news


def once_shut(night: Night, now: datetime) -> list[Delivery]:
    """The search for who is missing; once every door is shut, who was rung reads that it is."""
    evening, states, searching = night.evening, night.states, night.is_searched
    told = decide.rung(night.rows)
    found = search(night, now) + _emptied(night, now) + _news(night, now)
    if night.is_open or not (shut := night.shut_by):
        return found
    found += decide.clearings(night, now)
    if is_often(states) and now < shut[-1].at + BREATH:
        return found
    step = Step("shut")
    if searching and night.search_says_shut:
        return found
    crew = told if searching else told | told_how_it_stands(night)
    if night.searches and not searching:
        step = nth("settled", night.searches)
        crew |= {*evening.duty_ids}
    # Of a door that is searched the search tells.
    if more := sum(state.news for state in states.values() if state.state != "searching"):
        step = replace(step, news=more)
        crew |= night.told_before
    elif searching:
        crew -= who_knows.told_all_clear(night)
    if crew:
        message = all_clear(night)
        crew -= who_said(night) | (who_knows.reads_as_much(night) - who_knows.contradicted(night))
        found += night.notice(step, night.turn, crew, message, now)
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
    return linked(night, night.notice(Step("empty"), 0, evening.duty_ids, message, now))


def _news(night: Night, now: datetime) -> list[Delivery]:
    """What was said of an evening before, to whoever was told how it stood.

    Whoever is on duty hears of birds that a late count misses. Once the doors are shut, that they
    are says it.
    """
    step = night.news_step
    misses = is_missed_late(night.states)
    crew = night.told_before | {*(night.evening.duty_ids if misses else ())}
    crew -= who_said(night)
    if not step or not crew:
        return []
    message = news(night)
    found = night.notice(step, 0, crew, message, now)
    return linked(night, found) if misses else found


def all_clear_reworded(night: Night) -> list[tuple[Key, Message]]:
    """What waits to say that all is shut, in the words of what has been said since."""
    if night.is_open or not night.shut_by:
        return []
    message = all_clear(night)
    return [
        (row.key, message)
        for row in night.rows
        if row.state == "pending" and row.key.step.is_all_clear and row.message != message
    ]
