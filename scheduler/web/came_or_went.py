"""Birds that came, hatched, left, moved or died: a form's fields, kept as at the terminal."""

import re
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from scheduler.cares.closing import ClosingKind
from scheduler.cares.diary.door_entries import OfADoor
from scheduler.cares.diary.of_doors import as_closing
from scheduler.cares.door_state import Door
from scheduler.cares.report_words import read_day
from scheduler.messages.missing import who_is_missing
from scheduler.messages.who_said import said_since
from scheduler.profile.problem import Problem, Unreadable, shown
from scheduler.service import entry_undo
from scheduler.service.almanac import DAYS_BACK
from scheduler.service.diary import Refused
from scheduler.service.diary_asked import asked_for
from scheduler.service.diary_pages import page
from scheduler.service.doors.say import say
from scheduler.service.doors.statement import Overtaken, Statement
from scheduler.service.too_late import cannot_be_of
from scheduler.web.report_forms import refused
from scheduler.web.request_and_answer import Visit
from scheduler.wording.spoken import in_a_row
from scheduler.wording.web.came_or_went import BirdsNow, CameOrWent, WrongCameOrWent
from scheduler.wording.words import by_code

FIELDS = ("what", "to", "day")
_KINDS: tuple[ClosingKind, ...] = ("arrived", "hatched", "sold", "moved-out", "dead")
_LISTED_FOR = timedelta(days=14)  # longer ago the diary still has it
_MOST_LISTED = 10
_DAY = timedelta(days=1)
_FORM = "flock-"  # before the names of its fields, as other forms of the page have some alike
# The field beside which it is said that something cannot be; else beside what happened.
_BESIDE = {"--count": "count", "--to": "to", "moved-in": "to", "--evening": "day"}


def facts(visit: Visit) -> Mapping[str, object]:
    """What can be said, how many birds each house has now, and what was said of late."""
    houses, state = visit.profile.coop, visit.standing.houses
    return {
        "happened": [
            (kind, by_code(CameOrWent, kind)())
            for kind in _KINDS
            if kind != "moved-out" or len(houses) > 1
        ],
        "now": [BirdsNow.of_house(house=one.name, birds=_birds(state[one.id])) for one in houses],
        "seen": [(one.id, _seen(visit, one.id)) for one in houses],
        "came": _of_late(visit),
    }


def keep(visit: Visit) -> Mapping[str, str]:
    """Keeps what the form says; else by field what cannot be, and then nothing is kept.

    Raises:
        JournalFault: it cannot be kept.
    """
    wrong = dict[str, str]()
    house, to = _house(visit, wrong), visit.said("to")
    kind = next((one for one in _KINDS if one == visit.said("what")), None)
    count, day = _count(visit, wrong), _day(visit, wrong)
    if kind is None:
        wrong[f"{_FORM}what"] = WrongCameOrWent.what_happened()
    elif kind == "moved-out" and to not in visit.profile.house_names:
        wrong[f"{_FORM}to"] = WrongCameOrWent.where_to()
    elif kind != "moved-out" and to:
        wrong[f"{_FORM}to"] = WrongCameOrWent.not_moved()
    if wrong or kind is None or visit.voice is None:
        return wrong
    almanac = visit.standing.almanac
    statement = Statement(
        kind=kind,
        coop=house,
        count=count,
        who=visit.who,
        evening=None if day == visit.today else day,
        turn=_turn(visit, house, day),
        to=to or None,
        voice=visit.voice,
    )
    result = say(visit.journal, almanac, statement, visit.now)
    if isinstance(result, Refused):
        return _refused(visit, result)
    if isinstance(result, Overtaken) and not result.stands:
        name = visit.profile.house_names[house]
        told = WrongCameOrWent.changed_meanwhile(house=name)
        if result.since:
            told = WrongCameOrWent.ended_since(said=said_since(result.since))
        return {f"{_FORM}count": told}
    return {}


def take_back(visit: Visit) -> str:
    """Takes back what a button of the list is beside; why not, where it cannot be.

    Raises:
        JournalFault: it cannot be kept.
    """
    almanac, number = visit.standing.almanac, visit.number("entry")
    found = entry_undo.take_back(visit.journal, almanac, number, visit.speaker)
    return found.question if found else ""


def _birds(state: Door) -> str:
    parts = [BirdsNow.there(birds=state.expected), *who_is_missing(state)]
    if state.away:
        parts.append(BirdsNow.elsewhere(birds=state.away))
    return in_a_row(parts)


def _of_late(visit: Visit) -> Sequence[Mapping[str, object]]:
    """What was said of late of birds that came or went and stands, the newest first.

    That they moved once, of the house that they left.
    """
    asked = asked_for("birds", None, visit.today - _LISTED_FOR, None)
    found = page(visit.journal, visit.standing.household, asked, visit.now)
    return [
        {
            "number": line.entry.number,
            "text": line.text,
            "who": line.who,
            "day": line.entry.day,
            "can_be_undone": line.change is not None,
        }
        for day in found.days
        for line in reversed(day.lines)
        if isinstance(what := line.entry.what, OfADoor)
        and as_closing(line.entry, what).kind in _KINDS
        and not line.is_struck
    ][:_MOST_LISTED]


def _house(visit: Visit, wrong: dict[str, str]) -> str:
    houses, told = visit.profile.coop, visit.said("coop")
    if len(houses) == 1:
        return houses[0].id
    if told not in visit.profile.house_names:
        wrong[f"{_FORM}coop"] = WrongCameOrWent.which_house()
    return told


def _count(visit: Visit, wrong: dict[str, str]) -> int | None:
    typed = visit.said("count")
    if re.fullmatch(r"[0-9]{1,6}", typed) and int(typed):
        return int(typed)
    no_number = WrongCameOrWent.no_number(typed=typed) if typed else WrongCameOrWent.how_many()
    wrong[f"{_FORM}count"] = no_number
    return None


def _day(visit: Visit, wrong: dict[str, str]) -> date:
    """The day that was typed; today where none was."""
    typed, today = visit.said("day"), visit.today
    if not typed:
        return today
    try:
        day = read_day(typed, today)
    except Unreadable as unreadable:
        wrong |= _beside("day", typed, unreadable.accepted, unreadable.hint)
        return today
    if beyond := cannot_be_of(day, today, "--evening", "day"):
        wrong |= _refused(visit, beyond)
    return day


def _refused(visit: Visit, why: Refused) -> Mapping[str, str]:
    field = _BESIDE.get(why.key, "what")
    if why.key == "--coop" and len(visit.profile.coop) > 1:
        field = "coop"
    if why.question:
        return {f"{_FORM}{field}": why.question}
    return _beside(field, why.found, why.accepted, why.hint)


def _beside(field: str, found: str, accepted: str, hint: str) -> Mapping[str, str]:
    problem = Problem(key=(field,), found=shown(found), accepted=accepted, hint=hint)
    return refused((problem,), _FORM)


def _seen(visit: Visit, coop_id: str) -> str:
    """How much had been said of each evening that a second tap of the same may be about."""
    last, turns = visit.standing.almanac.evening_of(visit.now, coop_id), visit.standing.turns
    days = [last - n * _DAY for n in range(DAYS_BACK + 1)]
    return " ".join(f"{day}.{turns.get((coop_id, day), 0)}" for day in days)


def _turn(visit: Visit, coop_id: str, day: date) -> int | None:
    """The same of that day, as the page that was sent knew it; None where it knew nothing."""
    if day == visit.today:
        day = visit.standing.almanac.evening_of(visit.now, coop_id)
    for one in visit.said(f"seen-{coop_id}").split():
        evening, _, turn = one.partition(".")
        if evening == day.isoformat() and re.fullmatch(r"[0-9]{1,6}", turn):
            return int(turn)
    return None
