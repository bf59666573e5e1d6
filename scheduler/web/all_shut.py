"""One press says of several houses that they are shut, and that all who belong there are in."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from urllib.parse import quote

from scheduler.profile.who_may import Voice, may
from scheduler.service.diary import Refused
from scheduler.service.doors.say import say_together
from scheduler.service.doors.statement import AskFirst, Overtaken, Result, Statement, Together
from scheduler.web.door_forms import (
    ALL_SHUT,
    MOST_BIRDS,
    Wrong,
    answered,
    as_asked,
    doors_of,
    houses_of,
    sentence_of,
)
from scheduler.web.request_and_answer import Answer, Visit, go, refuse
from scheduler.wording.spoken import listed, short_day
from scheduler.wording.web.all_shut import AllShut
from scheduler.wording.web.door_forms import WrongDoorForm

_APART = ","  # between the cards of an address: no id has one


@dataclass(frozen=True, slots=True, kw_only=True)
class NotAll:
    """That some of the houses did not count; `why` is what the page's script says of it."""

    text: str
    why: str


def say_all_shut(visit: Visit, day: date, who: str, voice: Voice) -> Answer | Wrong:
    """Says it of each house of the form by itself: one that does not count keeps no other from it.

    Raises:
        JournalFault: it cannot be kept.
    """
    if why := may(voice, "door", day):
        return refuse(why)
    wrong, said = dict[str, str](), list[Statement]()
    for coop_id in houses_of(visit):
        one = _statement(visit, day, coop_id, who, voice)
        if isinstance(one, str):
            wrong[coop_id] = one
        else:
            said.append(one)
    if not said and not wrong:
        return Wrong(field="day", text=AllShut.no_houses(), typed={})
    answers: Mapping[str, Result] = {}
    if said:
        together = Together(evening=day, statements=tuple(said))
        found = say_together(visit.journal, visit.standing.almanac, together, visit.now)
        if isinstance(found, Refused):
            return Wrong(field="day", text=sentence_of(found), typed={})
        if isinstance(found, AskFirst):
            asked = as_asked(visit, found.lock_up)
            return answered(visit, asked, "/")
        answers = found
    return _told(visit, day, answers, wrong)


def _statement(visit: Visit, day: date, coop_id: str, who: str, voice: Voice) -> Statement | str:
    """What is said of that house, or why that cannot be read."""
    if coop_id not in doors_of(visit, day):
        return WrongDoorForm.no_door(door=coop_id, day=short_day(day))
    count = visit.number(f"expected-{coop_id}")
    if not 0 <= count < MOST_BIRDS:
        return AllShut.no_number()
    return Statement(
        kind="closed",
        coop=coop_id,
        count=count,
        who=who,
        at=visit.tapped_at(),
        evening=day,
        sure=visit.said("sure") == "1",
        turn=visit.number(f"turn-{coop_id}"),
        waited="at" in visit.form,
        voice=voice,
    )


def _told(
    visit: Visit, day: date, answers: Mapping[str, Result], wrong: Mapping[str, str]
) -> Answer | Wrong:
    """Back to Today, with what did not count; what cannot be read is said at once."""
    refused = {
        coop_id: sentence_of(one) for coop_id, one in answers.items() if isinstance(one, Refused)
    }
    late = [coop_id for coop_id, one in answers.items() if _is(one, stands=False)]
    stands = [coop_id for coop_id, one in answers.items() if _is(one, stands=True)]
    if wrong or refused:
        told = [*_each(visit, {**wrong, **refused})]
        told += [f"{_newer(visit, late)}."] if late else []
        if len(answers) > len(refused) + len(late):
            told.append(AllShut.rest_is_saved())
        return Wrong(field="day", text=" ".join(told), typed={})
    if late:
        some = f"&do={ALL_SHUT}" if len(late) < len(answers) else ""
        return go(f"/?overtaken={_cards(late, day)}{some}")
    return go(f"/?already={_cards(stands, day)}" if len(stands) == len(answers) else "/")


def _is(one: Result, *, stands: bool) -> bool:
    return isinstance(one, Overtaken) and one.stands == stands


def _each(visit: Visit, wrong: Mapping[str, str]) -> Iterator[str]:
    names = visit.profile.house_names
    for coop_id, why in wrong.items():
        # Whatever names no house of ours has its own sentence.
        known = names.get(coop_id)
        yield AllShut.did_not_count(house=known, why=why) if known else why


def _cards(coop_ids: list[str], day: date) -> str:
    return quote(_APART.join(f"{coop_id}-{day}" for coop_id in coop_ids), safe=_APART)


def _newer(visit: Visit, coop_ids: list[str]) -> str:
    names = visit.profile.house_names
    return AllShut.newer(houses=listed([names[one] for one in coop_ids if one in names]))


def not_all(visit: Visit) -> NotAll | None:
    """Which houses did not count of those that the last press named; None where all did."""
    if visit.query.get("do") != ALL_SHUT:
        return None
    cards = visit.query.get("overtaken", "").split(_APART)
    named = {card[: -len("-2026-12-21")] for card in cards}
    late = [coop_id for coop_id in visit.profile.house_names if coop_id in named]
    if not late:
        return None
    why = _newer(visit, late)
    return NotAll(text=AllShut.some_newer(why=why), why=why)
