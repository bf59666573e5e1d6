"""The diary: what was said and done, by evening and day, to look up and to put right."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date, timedelta
from urllib.parse import urlencode

from scheduler.cares.diary.door_entries import OfADoor
from scheduler.cares.diary.of_doors import as_closing
from scheduler.cares.diary.report_entries import OfAReport
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.journal.entries_by_day import PlaceInDiary
from scheduler.profile.who_may import Matter
from scheduler.service import entry_undo
from scheduler.service.diary_asked import KINDS_ASKED, HouseOfDiary, asked_for, houses
from scheduler.service.diary_pages import DayOfDiary, LineOfDiary, of_houses, page
from scheduler.service.doors.statement import matter_of
from scheduler.tokens.evening_link import EveningLink
from scheduler.web.request_and_answer import Answer, Visit, go
from scheduler.web.views.evening import GOOD_FOR
from scheduler.wording.web.diary import DiaryKinds, DiaryPage
from scheduler.wording.words import every

_FILTERS = ("house", "kind", "before")
_BUTTONS = {"take-back": DiaryPage.take_back, "put-back": DiaryPage.put_back}
_LONGEST_NUMBER = 12


def show(visit: Visit, unknown: str = "") -> Answer:
    """The page that the address asks for; `unknown` says why nothing was changed."""
    household = visit.standing.household
    known = houses(visit.journal, household)
    house = next((one for one in known if one.id == _asked(visit, "house")), None)
    kind = _asked(visit, "kind")
    asked = asked_for(kind if kind in KINDS_ASKED else None, house, None, None)
    found = page(visit.journal, household, asked, visit.now, _place(_asked(visit, "before")))
    earlier = f"{found.earlier.day}.{found.earlier.number}" if found.earlier else ""
    facts = {
        "days": [_day(visit, one) for one in found.days],
        "houses": _links(visit, "house", [("", DiaryPage.every_house()), *_named(known)]),
        "kinds": _links(visit, "kind", [("", DiaryKinds.everything()), *_kinds()]),
        "earlier": _address(visit, {"before": earlier}) if earlier else "",
        "newest": _address(visit, {"before": ""}) if _asked(visit, "before") else "",
        "sent": {name: text for name in _FILTERS if (text := _asked(visit, name))},
        "unknown": unknown,
    }
    return Answer(template="diary.html", facts=facts, status=422 if unknown else 200)


def changed(visit: Visit) -> Answer:
    """An entry was taken back, or a report put back."""
    numbers, do = visit.numbers("entry"), visit.said("do")
    if do not in _BUTTONS:
        return show(visit, DiaryPage.no_button(button=do))
    for number in numbers:
        refused = entry_undo.take_back(
            visit.journal, visit.standing.almanac, number, visit.speaker, put_back=do == "put-back"
        )
        if refused:
            return show(visit, refused.question)
    return go(f"{_address(visit, {})}#entry-{numbers[0]}")


def _asked(visit: Visit, name: str) -> str:
    """What of the diary is shown: by the address, or by the form that was on that page."""
    return visit.query.get(name) or visit.said(name)


def _day(visit: Visit, one: DayOfDiary) -> Mapping[str, object]:
    lines = [
        {
            "number": line.entry.number,
            "entries": [each.entry.number for each in same],
            "text": _text(same),
            "when": line.when,
            "who": line.who,
            "since": line.since,
            "is_struck": line.is_struck,
            "do": line.change if _may(visit, line) else None,
            "button": _BUTTONS[line.change]() if line.change else None,
            "what_was_it": _evening(visit, line),
        }
        for line, *others in _by_tap(one.lines)
        for same in [(line, *others)]
    ]
    return {"day": one.day, "is_evening": one.is_evening, "lines": lines}


def _by_tap(lines: Sequence[LineOfDiary]) -> Collection[list[LineOfDiary]]:
    """The same job of several houses that was done with one tap, together; all else by itself."""
    found: dict[object, list[LineOfDiary]] = {}
    for line in lines:
        one, key = line.entry, object()
        if line.of_house:
            key = (line.of_house[0], line.when, line.who, one.said_at, line.since, line.change)
        found.setdefault((key, line.is_struck), []).append(line)
    return found.values()


def _text(same: Sequence[LineOfDiary]) -> str:
    houses = [line.of_house[1] for line in same if line.of_house]
    first = same[0]
    return of_houses(first.of_house[0], houses) if first.of_house else first.text


def _may(visit: Visit, line: LineOfDiary) -> bool:
    what = line.entry.what
    matter: Matter = "reports" if isinstance(what, OfAReport) else "jobs"
    if isinstance(what, LookingToo):
        matter = "search"
    elif isinstance(what, OfADoor):
        matter = matter_of(as_closing(line.entry, what).kind)
    return line.change is not None and visit.may_not(matter, line.entry.day) is None


def _evening(visit: Visit, line: LineOfDiary) -> str:
    """Where whoever is signed in can still say how that evening was; empty once it is too late."""
    entry, standing = line.entry, visit.standing
    if not isinstance(entry.what, OfADoor) or line.change is None or visit.person is None:
        return ""
    for night in standing.nights:
        evening = night.evening
        is_its = evening.day == entry.day and entry.about in night.states
        if is_its and visit.now <= evening.lock_up + GOOD_FOR and _may(visit, line):
            link = EveningLink(
                site_id=visit.profile.site.id,
                day=entry.day,
                subject_id=evening.subject_id,
                person_id=visit.person.id,
                generation=standing.generations.get(visit.person.id, 0),
            )
            return link.path(standing.almanac.key)
    return ""


def _kinds() -> list[tuple[str, str]]:
    return [(kind, every(DiaryKinds)[kind]()) for kind in KINDS_ASKED]


def _named(known: list[HouseOfDiary]) -> list[tuple[str, str]]:
    return [(one.id, one.name) for one in known] if len(known) > 1 else []


def _links(visit: Visit, name: str, each: list[tuple[str, str]]) -> list[Mapping[str, object]]:
    """An address for each choice, from the newest on; nothing where there is none to make."""
    chosen = _asked(visit, name)
    return [
        {
            "title": title,
            "address": _address(visit, {name: value, "before": ""}),
            "is_chosen": value == chosen,
        }
        for value, title in each
        if len(each) > 1
    ]


def _address(visit: Visit, changes: Mapping[str, str]) -> str:
    known = {name: changes.get(name, _asked(visit, name)) for name in _FILTERS}
    asked = {name: value for name, value in known.items() if value}
    return f"/diary?{urlencode(asked)}" if asked else "/diary"


def _place(text: str) -> PlaceInDiary | None:
    """The place that "2026-12-21.17" stands for; None, the newest, where it stands for none."""
    day, _, number = text.partition(".")
    if not (number.isascii() and number.isdecimal()) or len(number) > _LONGEST_NUMBER:
        return None
    try:
        found = date.fromisoformat(day)
    except ValueError:
        return None
    return PlaceInDiary(found, int(number)) if found - date.min > timedelta(1) else None
