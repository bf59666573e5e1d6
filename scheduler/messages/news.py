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
from scheduler.messages.phrases import TITLE_LENGTH, fitted
from scheduler.messages.who_said import said_last
from scheduler.profile.words import capitalized
from scheduler.wording.messages.news import Emptied, News
from scheduler.wording.messages.search import Search


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
    left = News.none_any_more() if found else News.none()
    if state.last is not None and state.last.is_of_shutting:
        left = News.none_known()
    if state.unsure:
        left = News.nobody_counted()
    if state.before:
        left = capitalized(missing_since(state))
    said = said_last(night, state)
    title = News.said_and_left(house=told.name, said=said, left=left)
    if len(title) > TITLE_LENGTH:
        title = News.said(house=told.name, said=said)[:TITLE_LENGTH]
    body = News.expected(left=left, birds=state.expected)
    return Message(title, body, stem=stem(night), priority=QUIET)


def _missed_late(night: Night, door: RemindedDoor, state: Door) -> Message:
    """Says it as "1 still missing since Sun 20 Dec, Walnut: search now"."""
    answer = Search.by_link() if night.base_url else Search.on_the_page()
    missing = capitalized(missing_since(state))
    title = fitted(lambda where: News.search_now(missing=missing, names=where), [door.name])
    places = search_places(night.evening.region, is_dark=False, chicks=not door.perched)
    body = News.search_body(said=said_last(night, state), places=places, answer=answer)
    return Message(title, body, stem=stem(night), priority=LOUD)


def emptied(doors: Sequence[RemindedDoor], *, by_link: bool = False) -> Message:
    """Nobody sleeps in these houses, as somebody said: is that so?

    `by_link`: the message leads to a page on which the door can be said to be shut.
    """
    asked, said = Emptied.one, Emptied.one_said
    if len(doors) > 1:
        asked, said = Emptied.some, Emptied.some_said
    title = fitted(lambda where: asked(names=where), [door.name for door in doors])
    body = said(if_not=Emptied.by_link() if by_link else Emptied.at_the_machine())
    subject = Emptied.stem(house=doors[0].name)[:TITLE_LENGTH]
    return Message(title, body, stem=subject, priority=LOUD)
