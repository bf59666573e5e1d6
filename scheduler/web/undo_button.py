"""What a card's button takes back: which evening's last word, and how the button says it."""

from dataclasses import dataclass
from datetime import date, timedelta

from scheduler.cares.closing import Closing
from scheduler.cares.door_state import Door
from scheduler.messages.missing import said_dead
from scheduler.service.almanac import DAYS_BACK
from scheduler.web.request_and_answer import Visit
from scheduler.wording.service.taking_back import SaidLast
from scheduler.wording.spoken import short_day
from scheduler.wording.web.undo_button import SaidOfADoor, UndoButton
from scheduler.wording.words import by_code

_DAY = timedelta(days=1)


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
            if opens and not is_by_day:
                text = UndoButton.opens()
            elif evening == day:
                text = UndoButton.quoted(said=_quoted(last, opens))
            else:  # it says which evening's it was: the card is of another
                text = _of_night(_quoted(last, opens), evening, visit.today)
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
    text = _of_night(_quoted(last, opens=False), died_on, visit.today)
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


def _of_night(said: str, evening: date, today: date) -> str:
    if evening == today - _DAY:
        return UndoButton.of_last_night(said=said)
    return UndoButton.of_a_day(said=said, day=short_day(evening))


def _quoted(last: Closing, opens: bool) -> str:
    """What is taken back; of a count that leaves the door shut the count, not that it was shut."""
    if last.kind == "not-found":
        return SaidOfADoor.not_found()
    if last.kind != "closed":
        return by_code(SaidLast, last.kind)()
    if opens:
        return SaidOfADoor.closed()
    if last.count is not None:
        return SaidOfADoor.counted(birds=last.count)
    return SaidOfADoor.some_missing() if last.some_missing else SaidOfADoor.not_counted()
