"""The message of what was said of an evening before, or that leaves a house without birds."""

from collections.abc import Sequence

from scheduler.alerts.delivery import LOUD, QUIET, Message
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.news_told import misses_late, told_of
from scheduler.alerts.reminded_evening import RemindedDoor
from scheduler.cares.door_state import Door
from scheduler.messages.call_to_search import search_places
from scheduler.messages.doors import stem
from scheduler.messages.missing import missing_since
from scheduler.messages.phrases import TITLE_LENGTH, is_are, titled
from scheduler.messages.who_said import said_last
from scheduler.profile.words import capitalized


def news(night: Night) -> Message:
    """What was said of an evening before, of its door or its birds: who said what, what stands.

    For whoever was told how it stood, and where birds are missed by it for whoever is on duty.
    """
    told = told_of(night)
    state = night.states[told.coop_id]
    if misses_late(state):
        return _missed_late(night, told, state)
    # Who died or sleeps elsewhere may not have been missing.
    found = state.last is not None and state.last.kind in {"found", "given-up"}
    left = "None is missing any more" if found else "None is missing"
    if state.last is not None and state.last.is_of_shutting:
        left = "None is known to be missing"
    if state.unsure:
        left = "None is known to be missing, but nobody has counted since"
    if state.before:
        left = capitalized(missing_since(state))
    title = f"{told.name}: {said_last(night, state)}. {left}."
    if len(title) > TITLE_LENGTH:
        title = f"{told.name}: {said_last(night, state)}"[:TITLE_LENGTH]
    body = f"{left}. {state.expected} {is_are(state.expected)} expected tonight."
    return Message(title, body, stem=stem(night), priority=QUIET)


def _missed_late(night: Night, door: RemindedDoor, state: Door) -> Message:
    """Says it as "1 missing since Sun 20 Dec, Walnut: search now"."""
    how = "open this message" if night.base_url else "answer on the page"
    title = titled(f"{capitalized(missing_since(state))}, ", [door.name], ": search now")
    places = search_places(night.evening.region, is_dark=False, chicks=not door.perched)
    body = f"{said_last(night, state)}. {places} Then {how} and say how it ended."
    return Message(title, body, stem=stem(night), priority=LOUD)


def emptied(doors: Sequence[RemindedDoor], *, by_link: bool = False) -> Message:
    """Nobody sleeps in these houses, as somebody said: is that so?

    `by_link`: the message leads to a page on which the door can be said to be shut.
    """
    how = "open this message and say so" if by_link else "say so at Duskfold's own machine"
    one = len(doors) == 1
    asked = "Is it empty?" if one else "Are they empty?"
    title = titled("No lock-up tonight: ", [door.name for door in doors], f". {asked}")
    which, what = ("its", "this door") if one else ("their", "these doors")
    body = (
        f"It was said that all {which} birds are gone or sleep elsewhere, so nobody will be "
        f"reminded of {what}. If birds sleep there, shut the door, then {how}."
    )
    subject = f"No birds at {doors[0].name}"[:TITLE_LENGTH]
    return Message(title, body, stem=subject, priority=LOUD)
