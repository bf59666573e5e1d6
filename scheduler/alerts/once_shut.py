"""Once a door is shut: the search for who is missing, and who reads that all is shut."""

from dataclasses import replace
from datetime import datetime

from scheduler.alerts import decide, who_knows
from scheduler.alerts.delivery import LOUD, QUIET, Delivery
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.news_told import is_missed_late, told_late
from scheduler.alerts.reminded_evening import RemindedDoor
from scheduler.alerts.reopened import BREATH, is_often
from scheduler.alerts.search import search
from scheduler.alerts.step import Step, nth
from scheduler.alerts.who_knows import told_how_it_stands, who_said


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
        crew -= who_said(night) | (who_knows.reads_as_much(night) - who_knows.contradicted(night))
        found += night.notice(step, night.turn, crew, QUIET, now)
    return found


def _emptied(night: Night, now: datetime) -> list[Delivery]:
    """Asks whoever is on duty once, at the lock-up, whether a house said to be empty is."""
    evening = night.evening
    empty = emptied(night)
    if not empty or now < min(one.lock_up for one in empty):
        return []
    return night.notice(Step("empty"), 0, evening.duty_ids, LOUD, now)


def emptied(night: Night) -> list[RemindedDoor]:
    """The houses in which no bird sleeps by what was said, and that nobody has shut."""
    return [
        one
        for one in night.evening.doors
        if (state := night.states[one.coop_id]).is_empty and state.state == "open"
    ]


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
    return night.notice(step, 0, crew, LOUD if told_late(night) else QUIET, now)
