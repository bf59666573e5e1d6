"""One coop's evening as a page shows it: times, where it stands, which buttons make sense."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Literal

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import RemindedDoor, on_duty
from scheduler.alerts.words.call_to_search import search_places
from scheduler.alerts.words.missing import UNCOUNTED, more_found, said_dead
from scheduler.alerts.words.phrases import at_least
from scheduler.alerts.words.who_said import said_last, said_since, two_counts
from scheduler.cares.closing import Closing, found_when_said
from scheduler.cares.door_state import Door
from scheduler.cares.missed_since import Since, since
from scheduler.cares.reasons import why_no_birds
from scheduler.profile.words import counted, day_words
from scheduler.service.doors.say import EARLY
from scheduler.service.evenings_around import DAYS_BACK
from scheduler.web.visit import Visit

_DAY = timedelta(days=1)
_LONG_MINUTES = 120  # from here on hours are easier to read
Mood = Literal[
    "early", "now", "overdue", "searching", "shut", "uncounted", "part", "unsaid", "empty"
]
_HARMED = {"dead": "dead", "given-up": "given up"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Undo:
    """What takes the last thing back: the evening that it was said of, and the button's words.

    `opens`: after it nobody has said that the door is shut.
    """

    day: date
    turn: int
    text: str
    opens: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Empty:
    """A house in which no bird sleeps tonight, and why."""

    coop_id: str
    name: str
    day: date
    turn: int
    state: Door
    why: str
    undo: Undo | None

    @property
    def key(self) -> str:
        """What tells this card from all others of a page."""
        return f"{self.coop_id}-{self.day}"


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
    is_said_late: bool  # when the evening was over: nobody knows when it was shut
    who: str
    duty: str
    automatic: bool
    last: Closing | None
    undo: Undo | None
    undo_dead: Undo | None  # of an evening before, where more are in than belong there
    can_reopen: bool
    said_last: str
    places: str
    why_empty: str
    is_count_due: bool
    is_over: bool
    later: Since | None
    found_by_day: tuple[Closing, ...]  # said of that evening when it was over
    two_counts: str

    @property
    def key(self) -> str:
        """What tells this card from all others of a page."""
        return f"{self.coop_id}-{self.day}"

    @property
    def birds(self) -> str:
        """How many belong in now: "1 hen", "12 hens"; those missing from before may be all."""
        if not self.state.expected:
            return "all still missing"
        return counted(self.state.expected, self.noun)

    @property
    def count(self) -> str:
        """How many are in: "11 of 12 in", "12 in, 1 of them found since", "not counted"."""
        state = self.state
        if state.counted is None:
            return "some are missing" if state.missing and state.vague else "not counted"
        if state.over:
            belong = "belongs" if state.expected == 1 else "belong"
            only = f"{state.over} more than the {state.expected} that {belong} here"
            return f"{state.counted} in, {only}"
        found = sum(one.count or 0 for one in self.found_by_day)
        if found and state.said and state.said.at < self.found_by_day[0].at:
            return f"{state.counted - found} of {state.expected} in that evening"
        short = f" of {state.expected}" if state.counted != state.expected else ""
        since = sum(one.birds for one in state.endings if one.kind == "found")
        return f"{state.counted}{short} in{f', {since} of them found since' if since else ''}"

    @property
    def more_found(self) -> str:
        """Asks who was found, where one may be among them who is thought lost or elsewhere."""
        return more_found(self.state)

    @property
    def uncounted(self) -> str:
        """That some were missing, and nobody knows since whether they are in."""
        return f"{UNCOUNTED[0].upper()}{UNCOUNTED[1:]}."

    @property
    def said_dead(self) -> str:
        """Who may live all the same, and how that is said where no button can take it back."""
        told, day = said_dead(self.state), self.state.died_on
        if not told or self.undo_dead or day == self.day:
            return told and f"{told}."
        how = f"take it back where Duskfold runs: duskfold undo --evening {day}"
        return f"{told}. If that is wrong, {how}"

    @property
    def since_then(self) -> str:
        """What was said since then of those missing that evening; empty for nothing."""
        return said_since([*self.found_by_day, *(self.later.said if self.later else ())])

    @property
    def since_left(self) -> str:
        """How many of them are missing still: "At least 2 still missing", or that none is."""
        later, state = self.later, self.state
        still = later.still if later else state.at_large
        if not still:
            if later.unsure if later else state.unsure:
                return "None of them is known to be missing, but nobody has counted since"
            return "None of them is missing any more"
        left = at_least(still, more=later.at_least if later else state.is_at_least)
        return f"{left[0].upper()}{left[1:]} still missing"

    @property
    def can_end(self) -> int:
        """Of how many of the missing it can still be said how it ended."""
        state = self.state
        if self.later and not self.later.at_least:
            return min(self.later.still, state.at_large)
        return state.at_large

    @property
    def still_open(self) -> str:
        """What is not all well although the door is shut, as a headline; empty when it is."""
        state, last = self.state, self.last
        if state.at_large:
            birds = at_least(state.at_large, more=state.is_at_least)
            missing = f"{birds} {'missing that evening' if self.since_then else 'still missing'}"
            return f"{missing[0].upper()}{missing[1:]}"
        if state.over:
            return f"{state.over} too many: count again"
        what = _harmed_tonight(state)
        if not what and last and last.kind == "elsewhere":
            what = f"{last.count} sleeping elsewhere" if last.count else "sleeping elsewhere"
        return f"Shut; {what}" if what else ""

    @property
    def since(self) -> str:
        """Since when those of earlier evenings are missing: "1 since Sunday 20 December"."""
        told = (
            f"{at_least(one.birds, more=one.at_least)} since "
            f"{one.since:%A} {one.since.day} {one.since:%B}"
            + ("" if one.since.year == self.day.year else f" {one.since.year}")
            for one in self.state.before
        )
        return ", ".join(told)


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


def unsaid_last_night(visit: Visit, now: tuple[Card, ...]) -> tuple[Card, ...]:
    """A card for each coop of which nobody has said that it was shut last night.

    Until tonight's door, of the cards that are there `now`, comes first.
    """
    cards = []
    at_dusk = {card.coop_id for card in now if card.mood != "early"}
    for coop in visit.profile.coop:
        day = visit.standing.almanac.evening_of(visit.now, coop.id) - _DAY
        # Nobody could say anything before there was a profile.
        nights = [night for night in visit.standing.nights if night.evening.day == day]
        cards += [
            card
            for night in nights
            if visit.standing.known_since <= day and coop.id not in at_dusk
            for card in cards_of(visit, night)
            if card.coop_id == coop.id and card.state.waits
        ]
    return tuple(cards)


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
                    undo=_undo(visit, coop.id, day),
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
    evening, now = night.evening, visit.now
    state = night.states[planned.coop_id]
    said, duty = state.said, on_duty(evening.crew)
    place = (planned.coop_id, evening.day)
    turn, last = visit.standing.turns.get(place, 0), visit.standing.last_said.get(place)
    until = planned.lock_up if now < planned.lock_up else planned.latest
    undo = _undo(visit, planned.coop_id, evening.day, is_over=now >= let_out)
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
        mood=_mood(state, last, planned, let_out, now),
        left=left_until(until, now),
        is_hours_ahead=planned.lock_up - now > EARLY,
        shut_at=visit.clock(said.at, evening.day) if said else "",
        is_said_late=said is not None and said.at >= let_out,
        who=said.who if said else "",
        duty=duty.name if duty else "",
        automatic=planned.automatic,
        last=last,
        undo=undo,
        undo_dead=_undo_dead(visit, planned.coop_id, evening.day, state),
        can_reopen=(
            now < let_out  # by day every door is open, and last night's was shut all the same
            and state.state != "open"
            and undo is not None
            and not undo.opens
        ),
        said_last=said_last(evening, state, night.zone),
        places=search_places(
            evening.region, is_dark=planned.lock_up <= now < let_out, chicks=not planned.perched
        ),
        why_empty=why_no_birds(visit.profile, planned.coop_id, evening.day, state),
        is_count_due=planned.coop_id in visit.standing.count_due,
        is_over=now >= let_out,
        later=since(visit.standing.said, planned.coop_id, evening.day),
        found_by_day=tuple(_found_by_day(visit, planned.coop_id, evening.day, let_out)),
        two_counts=two_counts(evening, state, night.zone),
    )


def _found_by_day(visit: Visit, coop_id: str, day: date, let_out: datetime) -> Iterator[Closing]:
    """The finds said of that evening after it was over, each dated on the day it was said."""
    mine = (one for one in visit.standing.said if one.coop_id == coop_id)
    for one in found_when_said(mine):
        if (one.kind, one.evening) == ("found", day) and one.at >= let_out:
            yield replace(one, evening=one.at.astimezone(visit.profile.site.zone).date())


def left_until(at: datetime, now: datetime) -> str:
    """Says it as "in 42 min", "in 3 h 5 min", "this minute" or "12 min ago".

    By the minutes that a clock shows, so that it agrees with the time beside it.
    """
    minutes = _shown(at) - _shown(now)
    span = abs(minutes)
    text = f"{span} min" if span < _LONG_MINUTES else f"{span // 60} h {span % 60} min"
    if not minutes:
        return "this minute"
    return f"in {text}" if minutes > 0 else f"{text} ago"


def _shown(at: datetime) -> int:
    return int(at.timestamp() // 60)


def _undo(visit: Visit, coop_id: str, day: date, *, is_over: bool = False) -> Undo | None:
    """What takes the last thing back; the evening before's as long as nothing newer was said."""
    standing = visit.standing
    for evening in (day, day - _DAY):
        if last := standing.last_said.get((coop_id, evening)):
            turn = standing.turns.get((coop_id, evening), 0)
            opens = last.kind == "closed" and not _is_shut_without(visit, last)
            is_by_day = is_over or evening != day
            text = "Undo: the door is open" if opens and not is_by_day else _undo_words(last, opens)
            if evening != day:  # it says which evening's it was: the card is of another
                text += f" for {_which_night(evening, visit.today)}"
            return Undo(day=evening, turn=turn, text=text, opens=opens)
    return None


def _undo_dead(visit: Visit, coop_id: str, day: date, state: Door) -> Undo | None:
    """What takes back that one has died who is counted in; as long as pages reach that evening."""
    died_on, standing = state.died_on, visit.standing
    if not said_dead(state) or died_on is None or died_on == day:
        return None
    last = standing.last_said.get((coop_id, died_on))
    today = standing.almanac.evening_of(visit.now, coop_id)
    if last is None or last.kind != "dead" or (today - died_on).days > DAYS_BACK:
        return None
    turn = standing.turns.get((coop_id, died_on), 0)
    text = f"{_undo_words(last, opens=False)} for {_which_night(died_on, visit.today)}"
    return Undo(day=died_on, turn=turn, text=text, opens=False)


def _is_shut_without(visit: Visit, last: Closing) -> bool:
    """Whether the door is said to be shut without that, too: another count stands before it."""
    others = [one for one in visit.standing.said if one is not last]
    if not any(
        (one.kind, one.coop_id, one.evening) == ("closed", last.coop_id, last.evening)
        for one in others
    ):
        return False  # as on most evenings
    return visit.standing.almanac.house(last.coop_id, last.evening, others).state != "open"


def _which_night(evening: date, today: date) -> str:
    return "last night" if evening == today - _DAY else day_words(evening)


def _undo_words(last: Closing, opens: bool) -> str:
    said = {
        "found": "found",
        "not-found": "not found",
        "dead": "dead",
        "given-up": "given up",
        "elsewhere": "sleeps elsewhere",
        "back": "back home",
        "reopened": "open again",
    }
    if last.kind == "closed" and not opens:
        return f"Undo \u201c{_counted(last)}\u201d"
    words = "it was shut" if last.kind == "closed" else said.get(last.kind, last.kind)
    return f"Undo \u201c{words}\u201d"


def _counted(last: Closing) -> str:
    if last.count is not None:
        return f"{last.count} in"
    return "some missing" if last.some_missing else "not counted"


def _harmed_tonight(state: Door) -> str:
    """Says it as "1 dead, 2 given up", whatever was counted since; empty for none."""
    told = {
        word: sum(one.birds for one in state.endings if one.kind == kind)
        for kind, word in _HARMED.items()
    }
    return ", ".join(f"{birds} {word}" for word, birds in told.items() if birds)


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
    went = _harmed_tonight(state) or (last and last.kind == "elsewhere")
    if state.at_large or state.over or went:
        return "part"
    return "shut" if state.is_all_in else "uncounted"
