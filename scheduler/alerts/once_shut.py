"""Once a door is shut: the search for who is missing, and who reads that all is shut."""

from collections.abc import Container, Iterator
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
    found = search(night, now) + _emptied(night, now) + _news(night, now)
    if night.is_open or not night.shut_by:
        return found
    found += [*decide.clearings(night, now), *_all_clear(night, now)]
    told = {(one.key.person_id, one.key.address) for one in found if one.key.channel == "phone"}
    return [*found, *_still_ringing(night, told, now)]


def _all_clear(night: Night, now: datetime) -> list[Delivery]:
    """That all is shut, to whoever was rung and does not know."""
    evening, states, searching = night.evening, night.states, night.is_searched
    told, shut = decide.rung(night.rows), night.shut_by
    if is_often(states) and now < shut[-1].at + BREATH:
        return []
    step = Step("shut")
    if searching and night.search_says_shut:
        return []
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
    if not crew:
        return []
    crew -= who_said(night) | (who_knows.reads_as_much(night) - who_knows.contradicted(night))
    return night.notice(step, night.turn, crew, QUIET, now)


def _still_ringing(
    night: Night, told: Container[tuple[str, str]], now: datetime
) -> Iterator[Delivery]:
    """How it stands, quietly, to each phone that shows a reminder and is told nothing else."""
    shows = {
        (row.key.person_id, row.key.address): row
        for row in night.rows
        if row.key.channel == "phone"
        and (row.key.step.tells_of_doors or row.key.step.kind == "clear")
        and (row.may_have_arrived or row.state == "pending")
    }
    for phone, row in shows.items():
        if row.key.step.is_reminder and row.may_have_arrived and phone not in told:
            yield Delivery(
                key=replace(row.key, step=Step("clear", of=row.key.step)),
                priority=QUIET,
                due_at=now,
                useful_until=night.evening.let_out,
            )


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
