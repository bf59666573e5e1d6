"""The cards of a page: one coop's evening each, from how everything stands."""

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import TypeVar

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import RemindedDoor
from scheduler.cares.closing import Closing, found_when_said
from scheduler.cares.door_state import Door
from scheduler.cares.missed_since import since
from scheduler.cares.reasons import why_no_birds
from scheduler.messages.call_to_search import search_places
from scheduler.messages.doors import open_doors
from scheduler.messages.who_said import said_last, two_counts
from scheduler.service.doors.say import EARLY
from scheduler.web.evening_card import Card, Empty, HouseEvening, Mood, harmed_tonight
from scheduler.web.request_and_answer import Visit
from scheduler.web.undo_button import undo_dead, undo_last
from scheduler.wording.web.evening_card import TimeLeft

_DAY = timedelta(days=1)
_Shown = TypeVar("_Shown", bound=HouseEvening)
_LONG_MINUTES = 120  # from here on hours are easier to read


def tonight(visit: Visit) -> tuple[Card, ...]:
    """A card for each coop, of the evening that a closing said now would be for."""
    return tuple(card for coop in visit.profile.coop for card in _of_coop(visit, coop.id))


def of_their_days(visit: Visit, cards: Iterable[_Shown]) -> tuple[_Shown, ...]:
    """Those of evenings of which whoever is signed in may say something: of any, but a sitter."""
    return tuple(card for card in cards if visit.may_not("door", card.day) is None)


def _of_coop(visit: Visit, coop_id: str, back: timedelta = timedelta(0)) -> Iterator[Card]:
    """The coop's card of this evening, or of one so long before; nothing where there is none."""
    day = visit.standing.almanac.evening_of(visit.now, coop_id) - back
    if not back:  # there was no evening before there was a profile
        day = max(day, visit.standing.begun_on)
    for night in visit.standing.nights:
        if night.evening.day == day:
            yield from (card for card in cards_of(visit, night) if card.coop_id == coop_id)


def unsaid_last_night(visit: Visit, now: tuple[Card, ...]) -> tuple[Card, ...]:
    """A card for each coop of which nobody has said that it was shut last night.

    Until tonight's door, of the cards that are there `now`, comes first.
    """
    at_dusk = {card.coop_id for card in now if card.mood != "early"}
    return tuple(
        card
        for coop in visit.profile.coop
        if coop.id not in at_dusk
        for card in _of_coop(visit, coop.id, _DAY)
        # Nobody could say anything before there was a profile.
        if visit.standing.known_since <= card.day and card.state.waits
    )


def last_night(visit: Visit) -> tuple[Card, ...]:
    """A card for each coop of which somebody has said how last night ended.

    After noon only of those of which something was said today, so that it can be taken back.
    """
    is_morning = visit.now < visit.standing.almanac.noon(visit.today)
    cards = (card for coop in visit.profile.coop for card in _of_coop(visit, coop.id, _DAY))
    return tuple(
        card
        for card in cards
        if card.is_over
        and card.state.state != "open"
        and (is_morning or (card.last and visit.profile.date_at(card.last.at) == visit.today))
    )


def empty(visit: Visit) -> tuple[Empty, ...]:
    """A card for each coop in which no bird sleeps tonight."""
    cards = []
    for coop in visit.profile.coop:
        day = visit.standing.almanac.evening_of(visit.now, coop.id)
        state = visit.standing.houses[coop.id]
        # Of a house that has just been emptied the evening is still there, to ask.
        has_night = any(
            coop.id in night.states for night in visit.standing.nights if night.evening.day == day
        )
        if not has_night and state.is_empty:
            cards.append(
                Empty(
                    coop_id=coop.id,
                    name=coop.name,
                    day=day,
                    turn=visit.standing.turns.get((coop.id, day), 0),
                    state=state,
                    why=why_no_birds(visit.profile, coop.id, day, state),
                    undo=undo_last(visit, coop.id, day),
                )
            )
    return tuple(cards)


def cards_of(visit: Visit, night: Night) -> Iterator[Card]:
    """A card for each of the evening's doors."""
    mornings = {
        coop.coop_id: coop for coop in visit.standing.almanac.coops(night.evening.day + _DAY)
    }
    for planned in night.evening.doors:
        morning = mornings.get(planned.coop_id)
        card = _card(
            visit, night, planned, morning.let_out.instant if morning else night.evening.let_out
        )
        yield replace(card, let_out="") if morning and morning.kept_in else card


def _card(visit: Visit, night: Night, planned: RemindedDoor, let_out: datetime) -> Card:
    evening, standing, now = night.evening, visit.standing, visit.now
    coop_id, day = planned.coop_id, evening.day
    state, is_over = night.states[coop_id], now >= let_out
    said, duty, last = state.said, evening.on_duty, standing.last_said.get((coop_id, day))
    is_dark = planned.lock_up <= now < let_out
    return Card(
        coop_id=coop_id,
        name=planned.name,
        day=day,
        noun=planned.noun,
        lock_up=visit.clock(planned.lock_up, day),
        latest=visit.clock(planned.latest, day),
        lock_up_at=planned.lock_up,
        leave_by=_leave_by(visit, night, planned),
        cloudy=evening.dark_minutes_early if now < planned.lock_up else 0,
        latest_at=planned.latest,
        let_out=visit.clock(let_out),
        let_out_at=let_out,
        state=state,
        turn=standing.turns.get((coop_id, day), 0),
        mood=_mood(state, last, planned, let_out, now),
        left=left_until(planned.lock_up if now < planned.lock_up else planned.latest, now),
        is_hours_ahead=planned.lock_up - now > EARLY,
        shut_at=visit.clock(said.at, day) if said else "",
        is_said_late=said is not None and said.at >= let_out,
        who=said.who if said else "",
        duty=duty.name if duty else "",
        automatic=planned.automatic,
        last=last,
        undo=undo_last(visit, coop_id, day, is_over=is_over),
        undo_dead=undo_dead(visit, coop_id, day, state),
        said_last=said_last(night, state),
        places=search_places(
            evening.region,
            is_dark=is_dark,
            chicks=not planned.perched,
            is_shut=state.state != "open",
        ),
        why_empty=why_no_birds(visit.profile, coop_id, day, state),
        is_count_due=coop_id in standing.count_due,
        is_over=is_over,
        later=since(standing.said, coop_id, day),
        found_by_day=tuple(_found_by_day(visit, coop_id, day, let_out)),
        two_counts=two_counts(night, state),
    )


def _leave_by(visit: Visit, night: Night, planned: RemindedDoor) -> str:
    """When to leave, as the reminder says it, while it is not dark yet."""
    doors = open_doors(night)
    leave = night.evening.leave_by(doors)
    if not leave or not planned.getting_there_minutes or not night.states[planned.coop_id].waits:
        return ""
    if visit.now >= night.evening.called_in_of(doors):
        return ""
    return visit.clock(leave, night.evening.day)


def _found_by_day(visit: Visit, coop_id: str, day: date, let_out: datetime) -> Iterator[Closing]:
    """The finds said of that evening after it was over, each dated on the day it was said."""
    mine = (one for one in visit.standing.said if one.coop_id == coop_id)
    for one in found_when_said(mine):
        if (one.kind, one.evening) == ("found", day) and one.at >= let_out:
            yield replace(one, evening=visit.profile.date_at(one.at))


def left_until(at: datetime, now: datetime) -> str:
    """Says it as "in 42 min", "in 3 h 5 min", "this minute" or "12 min ago".

    By the minutes that a clock shows, so that it agrees with the time beside it.
    """
    minutes = int(at.timestamp() // 60) - int(now.timestamp() // 60)
    if not minutes:
        return TimeLeft.now()
    span, is_ahead = abs(minutes), minutes > 0
    if span < _LONG_MINUTES:
        return (TimeLeft.in_minutes if is_ahead else TimeLeft.minutes_ago)(minutes=span)
    told = TimeLeft.in_hours if is_ahead else TimeLeft.hours_ago
    return told(hours=span // 60, minutes=span % 60)


def _mood(
    state: Door, last: Closing | None, planned: RemindedDoor, let_out: datetime, now: datetime
) -> Mood:
    if state.state == "searching":
        return "searching"
    if state.state == "open" and state.is_empty:
        return "empty"
    if state.state == "shut":
        return _mood_of_shut(state, last)
    if now >= let_out:
        return "unsaid"
    if now < planned.lock_up:
        return "early"
    return "now" if now < planned.latest else "overdue"


def _mood_of_shut(state: Door, last: Closing | None) -> Mood:
    """Green only when every bird is accounted for, and nothing happened to any tonight."""
    went = any(harmed_tonight(state)) or (last and last.kind == "elsewhere")
    if state.at_large or state.over or went:
        return "part"
    return "shut" if state.is_all_in else "uncounted"
