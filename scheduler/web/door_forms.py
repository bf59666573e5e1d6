"""What a form says of a door, carried to the use case, and what a page says back."""

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Literal, get_args
from urllib.parse import quote

from scheduler.cares.closing import ClosingKind, EndingKind
from scheduler.profile.who_may import MayNot, Voice, may
from scheduler.service.almanac import DAYS_BACK
from scheduler.service.diary import Refused, Speaker
from scheduler.service.doors.looking import Search, say_looking, take_looking_back
from scheduler.service.doors.say import say as say_of_door
from scheduler.service.doors.statement import AskFirst, Overtaken, Result, Statement
from scheduler.service.doors.undo import take_back
from scheduler.web.request_and_answer import Answer, Visit, ask, go, refuse
from scheduler.wording.spoken import short_day
from scheduler.wording.web.door_forms import ShutEarly, WrongDoorForm

_MOST_HOUSES = 100
_LONGEST_ID = 40
MOST_BIRDS = 100_000  # more is a slip of the finger
_ENDINGS: Mapping[str, ClosingKind] = {kind: kind for kind in ("reopened", *get_args(EndingKind))}
# "all-in" and "some-missing" are of taps that phones kept since an earlier version.
_CLOSINGS = ("shut", "not-counted", "all-in", "some-missing")
ALL_SHUT = "all-shut"
_LOOKING = ("looking", "not-looking")
_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wrong:
    """What cannot be used of a form: the field, a sentence, and everything that was typed."""

    field: str
    text: str
    typed: Mapping[str, str]
    coop_id: str = ""

    @property
    def card(self) -> str:
        """The card that the form stood on; pages of an earlier version do not say."""
        return self.typed.get("card") or f"{self.coop_id}-{self.typed.get('day', '')}"

    def is_of(self, key: str, form: str) -> bool:
        """Whether it belongs to that card's number field of "closing", "birds" or "back".

        With an empty `form`: to the card, and to none of its fields.
        """
        if self.card != key:
            return False
        return form == (_form_of(self.typed.get("do", "")) if self.field == "count" else "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Sure:
    """The door is said to be shut hours ahead: the page asks, with everything that was sent."""

    lock_up: datetime
    sent: Mapping[str, str]


# It is kept, or not: it stood there "already", or was "overtaken" by something newer.
Said = Literal["kept", "already", "overtaken"]


def _form_of(what: str) -> str:
    if what in _CLOSINGS:
        return "closing"
    return "back" if what == "back" else "birds"


def house_of(visit: Visit) -> str:
    """The id of the house that the form is about.

    A press that says who looks names it otherwise: while it waits on a phone out of reception,
    the script holds back whatever names the same "coop", such as that the bird is found.
    """
    return visit.said("coop") or visit.said("search")


def say(visit: Visit, day: date, who: str, voice: Voice) -> Said | Wrong | Sure | MayNot:
    """Says what the form says of one coop's evening, as that person, signed in or by a link.

    Raises:
        JournalFault: it cannot be kept.
    """
    if why := may(voice, "door", day):
        return why
    coop_id, what = house_of(visit), visit.said("do")
    count = _count(visit)
    if isinstance(count, Wrong):
        return count
    statement = Statement(
        kind=_ENDINGS.get(what, "closed"),
        coop=coop_id,
        count=None if what == "not-counted" else count,
        some_missing=what == "some-missing",
        who=who,
        at=visit.tapped_at(),
        evening=day,
        sure=visit.said("sure") == "1",
        turn=visit.number("turn"),
        waited="at" in visit.form,  # pressed out of reception, and kept until now
        voice=voice,
    )
    almanac = visit.standing.almanac
    if coop_id not in doors_of(visit, day):
        text = WrongDoorForm.no_door(door=coop_id, day=short_day(day))
        return Wrong(field="day", text=text, typed={})
    if what in _LOOKING:
        return _looking(visit, day, who, voice)
    if what == "undo":
        result: Result = take_back(visit.journal, almanac, statement, visit.now)
    elif what in _ENDINGS or what in _CLOSINGS:
        result = say_of_door(visit.journal, almanac, statement, visit.now)
    else:
        return _wrong(visit, "do", WrongDoorForm.no_button(button=what))
    return _outcome(visit, result)


def _looking(visit: Visit, day: date, who: str, voice: Voice) -> Said | Wrong:
    almanac, search = visit.standing.almanac, Search(coop_id=house_of(visit), evening=day)
    by = Speaker.called(who, visit.profile, visit.now, visit.today, voice)
    if visit.said("do") == "looking":
        result = say_looking(visit.journal, almanac, search, by, visit.tapped_at())
    else:
        result = take_looking_back(visit.journal, almanac, search, by)
    return _wrong(visit, "", sentence_of(result)) if isinstance(result, Refused) else result


def _outcome(visit: Visit, result: Result) -> Said | Wrong | Sure:
    match result:
        case Refused():
            return _wrong(visit, "count" if result.key == "--count" else "", sentence_of(result))
        case AskFirst():
            return as_asked(visit, result.lock_up)
        case Overtaken():
            return "already" if result.stands else "overtaken"
        case _:
            return "kept"


def as_asked(visit: Visit, lock_up: datetime) -> Sure:
    """The question whether that is meant, with all that was sent."""
    sent = {name: text for name, text in visit.typed.items() if name != "sure"}
    if "house" in sent:
        sent["house"] = " ".join(houses_of(visit))
    return Sure(lock_up=lock_up, sent=sent)


def answered(visit: Visit, result: Said | Sure | MayNot, back: str) -> Answer:
    """Back to where the form stood; first a question, when the door is said to be shut early."""
    if isinstance(result, MayNot):
        return refuse(result)
    if isinstance(result, Sure):
        return ask(
            ShutEarly.title(),
            ShutEarly.text(lock_up=visit.clock(result.lock_up)),
            yes=ShutEarly.yes(),
            action="/door" if back == "/" else back,
            sent={**result.sent, "sure": "1"},
            back=back,
        )
    if result == "kept":
        return go(back)
    undo = "&do=undo" if visit.said("do") == "undo" else ""
    return go(f"{back}?{result}={quote(_card(visit))}{undo}")


def not_kept(visit: Visit) -> Mapping[str, str]:
    """The card of which the page says why what was pressed was not kept, by the reason.

    And "do", whether that was an undo.
    """
    return {name: visit.query.get(name, "") for name in ("already", "overtaken", "do")}


def untold(wrong: Wrong | None, told: Mapping[str, str], shown: Collection[str]) -> str:
    """What the page is to say of a card that is not `shown` on it any more; empty for nothing."""
    if wrong and wrong.field != "day" and wrong.card not in shown:
        return wrong.text
    asked = {*told["already"].split(","), *told["overtaken"].split(",")} - {""}
    asked = {key for key in asked if not key.startswith("job-")}
    if asked <= set(shown):
        return ""
    return WrongDoorForm.no_longer_here()


def _card(visit: Visit) -> str:
    """The card of the page that the form stood on; pages of an earlier version do not say."""
    return visit.said("card") or f"{house_of(visit)}-{visit.said('day')}"


def doors_of(visit: Visit, day: date) -> set[str]:
    """The coops that something can still be said of for that evening, with birds or without."""
    nights = (night for night in visit.standing.nights if night.evening.day == day)
    of = visit.standing.almanac.evening_of
    houses = {
        coop_id
        for coop_id in visit.standing.houses
        if 0 <= (of(visit.now, coop_id) - day).days <= DAYS_BACK
    }
    return houses | {coop_id for night in nights for coop_id in night.states}


def is_closing(visit: Visit) -> bool:
    """Whether the form says that a door is shut, or several."""
    return visit.said("do") in {*_CLOSINGS, ALL_SHUT}


def houses_of(visit: Visit) -> tuple[str, ...]:
    """The houses of a form that is about several, each once; a field may name more than one."""
    named = (one for text in visit.form.get("house", [])[:_MOST_HOUSES] for one in text.split())
    return tuple(dict.fromkeys(one[:_LONGEST_ID] for one in named))[:_MOST_HOUSES]


def is_of_another_evening(visit: Visit, day: date) -> bool:
    """Whether a door is said to be shut on a page that was left open since an earlier evening."""
    if not is_closing(visit):
        return False
    at = visit.tapped_at() or visit.now
    back = _DAY if visit.said("late") == "1" else timedelta(0)
    houses = houses_of(visit) if visit.said("do") == ALL_SHUT else (visit.said("coop"),)
    of = visit.standing.almanac.evening_of
    return any(of(at, coop_id) - back != day for coop_id in houses)


def _count(visit: Visit) -> int | Wrong | None:
    typed = visit.said("expected") if visit.said("do") == "all-in" else visit.said("count")
    if not typed:
        if visit.said("do") == "shut":
            return _wrong(visit, "count", WrongDoorForm.how_many())
        return None
    if not (typed.isascii() and typed.isdecimal()) or len(typed) > len(str(MOST_BIRDS)):
        return _wrong(visit, "count", WrongDoorForm.no_number(typed=typed))
    if visit.said("do") == "not-counted" and int(typed) != visit.number("expected"):
        return _wrong(visit, "count", WrongDoorForm.typed_and_not_counted(typed=typed))
    return int(typed)


def sentence_of(refused: Refused) -> str:
    """Why it was not kept, as the page says it."""
    if refused.question:
        return refused.question
    if refused.key == "--count":
        return WrongDoorForm.type_a_number()
    if refused.key == "reopened":
        return WrongDoorForm.cannot_reopen()
    return WrongDoorForm.not_saved(found=refused.found, accepted=refused.accepted)


def _wrong(visit: Visit, field: str, text: str) -> Wrong:
    return Wrong(field=field, text=text, typed=visit.typed, coop_id=house_of(visit))
