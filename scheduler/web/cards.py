"""One coop's evening as a page shows it: times, where it stands, which buttons make sense."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal

from scheduler.alerts.evening import Door as Planned
from scheduler.alerts.evening import on_duty
from scheduler.alerts.pursue import Night
from scheduler.alerts.text import search_places
from scheduler.cares.closing import Closing, Door
from scheduler.service.door import EARLY
from scheduler.web.visit import Visit

_DAY = timedelta(days=1)
_MINUTE = timedelta(minutes=1)
_LONG_MINUTES = 120  # from here on hours are easier to read
Mood = Literal["early", "now", "overdue", "searching", "shut", "unsaid"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Card:
    """Everything that a page says of one coop's evening; times are clock texts."""

    coop_id: str
    name: str
    day: date
    noun: str
    lock_up: str
    latest: str
    lock_up_at: datetime
    latest_at: datetime
    let_out: str
    let_out_at: datetime
    state: Door
    turn: int
    mood: Mood
    left: str
    is_hours_ahead: bool
    shut_at: str
    who: str
    duty: str
    automatic: bool
    undo: str
    can_reopen: bool
    places: str

    @property
    def key(self) -> str:
        """What tells this card from all others of a page."""
        return f"{self.coop_id}-{self.day}"

    @property
    def count(self) -> str:
        """How many are in: "12 in", "11 of 12 in", "all in, not counted"."""
        state = self.state
        if state.counted is None:
            return "some are missing" if state.missing else "all in, not counted"
        short = f" of {state.expected}" if state.counted != state.expected else ""
        return f"{state.counted}{short} in"


def tonight(visit: Visit) -> tuple[Card, ...]:
    """A card for each coop, of the evening that a closing said now would be for."""
    cards = []
    for coop in visit.profile.coop:
        day = visit.standing.almanac.evening_of(visit.now, coop.id)
        nights = [night for night in visit.standing.nights if night.evening.day == day]
        cards += [
            card for night in nights for card in cards_of(visit, night) if card.coop_id == coop.id
        ]
    return tuple(cards)


def cards_of(visit: Visit, night: Night) -> Iterator[Card]:
    """A card for each of the evening's doors."""
    opened = {
        coop.coop_id: coop.let_out.instant
        for coop in visit.standing.almanac.coops(night.evening.day + _DAY)
    }
    for planned in night.evening.doors:
        yield _card(visit, night, planned, opened.get(planned.coop_id, night.evening.let_out))


def _card(visit: Visit, night: Night, planned: Planned, let_out: datetime) -> Card:
    evening, now = night.evening, visit.now
    state = night.states[planned.coop_id]
    said, duty = state.said, on_duty(evening.crew)
    place = (planned.coop_id, evening.day)
    turn, last = visit.standing.turns.get(place, 0), visit.standing.last_said.get(place)
    until = planned.lock_up if now < planned.lock_up else planned.latest
    return Card(
        coop_id=planned.coop_id,
        name=planned.name,
        day=evening.day,
        noun=planned.noun,
        lock_up=visit.clock(planned.lock_up, evening.day),
        latest=visit.clock(planned.latest, evening.day),
        lock_up_at=planned.lock_up,
        latest_at=planned.latest,
        let_out=visit.clock(let_out),
        let_out_at=let_out,
        state=state,
        turn=turn,
        mood=_mood(state, planned, let_out, now),
        left=left_until(until, now),
        is_hours_ahead=planned.lock_up - now > EARLY,
        shut_at=visit.clock(said.at, evening.day) if said else "",
        who=said.who if said else "",
        duty=duty.name if duty else "",
        automatic=planned.automatic,
        undo=_undo(last) if last and state.state != "open" else "",
        can_reopen=state.state != "open" and last is not None and last.kind != "closed",
        places=search_places(evening.region),
    )


def left_until(at: datetime, now: datetime) -> str:
    """Says it as "in 42 min", "in 3 h 5 min" or "12 min ago"."""
    minutes = round((at - now) / _MINUTE)
    span = abs(minutes)
    text = f"{span} min" if span < _LONG_MINUTES else f"{span // 60} h {span % 60} min"
    return f"in {text}" if minutes > 0 else f"{text} ago"


def _undo(last: Closing) -> str:
    """What the button says that takes the last thing back."""
    said = {
        "found": "found",
        "not-found": "not found",
        "dead": "dead",
        "given-up": "given up",
        "elsewhere": "sleeps elsewhere",
        "back": "back",
    }
    if last.kind == "closed":
        return "Undo: the door is open"
    return f"Undo \u201c{said.get(last.kind, last.kind)}\u201d"


def _mood(state: Door, planned: Planned, let_out: datetime, now: datetime) -> Mood:
    if state.state != "open":
        return "searching" if state.state == "searching" else "shut"
    if now >= let_out:
        return "unsaid"
    if now < planned.lock_up:
        return "early"
    return "now" if now < planned.latest else "overdue"
