"""What a card's button takes back: which evening's last word, and how the button says it."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.door_state import Door
from scheduler.messages.missing import said_dead
from scheduler.profile.words import day_words
from scheduler.service.almanac import DAYS_BACK
from scheduler.web.request_and_answer import Visit

_DAY = timedelta(days=1)
_SAID: Mapping[ClosingKind, str] = {
    "closed": "it was shut",
    "not-found": "stop looking for tonight",
    "given-up": "given up for lost",
    "elsewhere": "sleeping elsewhere",
    "back": "back home",
    "reopened": "open again",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Undo:
    """What takes the last thing back: the evening that it was said of, and the button's words.

    `opens`: after it nobody has said that the door is shut.
    """

    day: date
    turn: int
    text: str
    opens: bool = False


def undo_last(visit: Visit, coop_id: str, day: date, *, is_over: bool = False) -> Undo | None:
    """What takes the last thing back; the evening before's as long as nothing newer was said."""
    standing = visit.standing
    for evening in (day, day - _DAY):
        if last := standing.last_said.get((coop_id, evening)):
            if visit.may_not("door", evening):
                return None
            turn = standing.turns.get((coop_id, evening), 0)
            opens = last.kind == "closed" and not _is_shut_without(visit, last)
            is_by_day = is_over or evening != day
            text = "Undo: the door is open" if opens and not is_by_day else _undo_words(last, opens)
            if evening != day:  # it says which evening's it was: the card is of another
                text += f" for {_which_night(evening, visit.today)}"
            return Undo(day=evening, turn=turn, text=text, opens=opens)
    return None


def undo_dead(visit: Visit, coop_id: str, day: date, state: Door) -> Undo | None:
    """What takes back that one has died who is counted in; as long as pages reach that evening."""
    died_on, standing = state.died_on, visit.standing
    if not said_dead(state) or died_on is None or died_on == day:
        return None
    last = standing.last_said.get((coop_id, died_on))
    today = standing.almanac.evening_of(visit.now, coop_id)
    if visit.may_not("door", died_on):
        return None
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
    words = _SAID.get(last.kind, last.kind.replace("-", " "))
    if last.kind == "closed" and not opens:
        uncounted = "some missing" if last.some_missing else "not counted"
        words = uncounted if last.count is None else f"{last.count} in"
    return f"Undo \u201c{words}\u201d"
