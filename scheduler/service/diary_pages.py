"""The diary as a keeper reads it: by evening and day, the newest first, page by page."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime
from itertools import groupby
from typing import Literal

from sqlalchemy import Connection

from scheduler.cares.diary.door_entries import DoorShut, OfADoor
from scheduler.cares.diary.egg_entries import EggsCounted
from scheduler.cares.diary.entry import BY_CLOCK, Entry, TakenBack, taken_back
from scheduler.cares.diary.entry_words import NamesInDiary, in_words, moment_words, when_words
from scheduler.cares.diary.job_entries import OfAJob
from scheduler.cares.diary.of_doors import closings_of, is_last_said, with_the_other_house
from scheduler.cares.diary.report_entries import OfAReport, ReportMade
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.journal import entries, entries_by_day, reports
from scheduler.journal.entries_by_day import Asked, PlaceInDiary
from scheduler.journal.store import Journal
from scheduler.service.diary_asked import called
from scheduler.service.household.open_profile import Household
from scheduler.service.too_late import SAID_WITHIN
from scheduler.wording.cares.of_house import JobOfHouses
from scheduler.wording.service.diary_table import WhoChanged
from scheduler.wording.spoken import listed, short_day

ENTRIES = 60  # on a page
Undoing = Literal["take-back", "put-back"]


@dataclass(frozen=True, slots=True, kw_only=True)
class LineOfDiary:
    """What was said, when and by whom; `since` says who took it back and put it back, and when.

    `is_struck`: it does not count. `change` is what can still be done with it. `day` is the one
    under which it stands. `of_house` is the text without the house, and the house, where a job of
    one of several houses was done.
    """

    entry: Entry
    text: str
    when: str
    who: str
    since: tuple[str, ...]
    is_struck: bool
    change: Undoing | None
    day: date
    of_house: tuple[str, str] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class DayOfDiary:
    """What was said of one evening, or of one day, in the order of saying."""

    day: date
    is_evening: bool
    lines: tuple[LineOfDiary, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PageOfDiary:
    """A page, and the place before which the next begins; None: nothing earlier is there."""

    days: tuple[DayOfDiary, ...]
    earlier: PlaceInDiary | None


def page(
    journal: Journal,
    household: Household,
    asked: Asked,
    now: datetime,
    place: PlaceInDiary | None = None,
) -> PageOfDiary:
    """The page before that place, or the newest."""
    site_id, first = household.profile.site.id, place or asked.newest
    with journal.reading() as connection:
        numbers, earlier = entries_by_day.before(connection, site_id, first, ENTRIES, asked)
        told = {one.number: one for one in entries.by_number(connection, site_id, numbers)}
        known = [*told.values()]
        names = called(connection, household, known)
        changes = _changes(connection, household, known, now)
        counted = _counted_again(connection, site_id, known)
    struck, back, today = taken_back(known), _back(known), household.today(now)
    lines = []
    for one in (told[number] for number in numbers):
        if isinstance(one.what, TakenBack):
            continue
        # What is of a day to come stands under the day on which it was said.
        under = replace(one, day=household.today(one.said_at)) if one.day > today else one
        text, again = in_words(one, names), counted.get(one.number)
        since = [_corrected(one, again, names)] if again else []
        lines.append(
            LineOfDiary(
                entry=one,
                text=text,
                when=_when(one, under, names),
                who=one.who or WhoChanged.somebody(),
                since=(*_since(under, back, names), *since),
                is_struck=one.number in struck or bool(again),
                change=changes.get(one.number),
                day=under.day,
                of_house=_of_house(one, text, names),
            )
        )
    return PageOfDiary(days=tuple(_by_day(lines)), earlier=earlier)


def pages(
    journal: Journal, household: Household, asked: Asked, now: datetime
) -> Iterator[PageOfDiary]:
    """Every page, the newest first; each is read and its transaction ended before it is given."""
    place: PlaceInDiary | None = asked.newest
    while place:
        one = page(journal, household, asked, now, place)
        yield one
        place = one.earlier


def _by_day(lines: Sequence[LineOfDiary]) -> Iterator[DayOfDiary]:
    """The newest day first, and of each its evening; within them as it was said."""

    def of(line: LineOfDiary) -> tuple[date, bool]:
        return line.day, isinstance(line.entry.what, OfADoor | LookingToo)

    ordered = sorted(lines, key=lambda line: line.entry.number)
    ordered.sort(key=of, reverse=True)
    for (day, is_evening), mine in groupby(ordered, of):
        yield DayOfDiary(day=day, is_evening=is_evening, lines=tuple(mine))


def _when(one: Entry, under: Entry, names: NamesInDiary) -> str:
    """When it was said; of a job that was ticked ahead also for which day."""
    when = when_words(under, names)
    if isinstance(one.what, OfAJob) and one.day > under.day:
        return WhoChanged.ticked_ahead(when=when, day=short_day(one.day))
    return when


def _of_house(one: Entry, text: str, names: NamesInDiary) -> tuple[str, str] | None:
    """The text of a job without its house, and the house, where the text is made of both."""
    if not isinstance(one.what, OfAJob):
        return None
    site_id = names.profile.site.id
    bare, house = in_words(replace(one, about=site_id), names), names.name_of(one.about)
    return (bare, house) if text == of_houses(bare, [house]) else None


def of_houses(bare: str, houses: Sequence[str]) -> str:
    """What was done in these houses: "Done: Collect the eggs (Walnut and Barn)"."""
    return JobOfHouses.job(job=bare, houses=listed(houses))


def _counted_again(
    connection: Connection, site_id: str, known: Sequence[Entry]
) -> dict[int, Entry]:
    """Of each count that another took the place of, by its number: the other one.

    Where birds were found between them, both were right.
    """
    days = {one.day for one in known if isinstance(one.what, DoorShut)}
    said = entries.by_number(
        connection, site_id, entries_by_day.of_days(connection, site_id, "door", days)
    )
    struck, found = taken_back(said), dict[int, Entry]()
    last: dict[tuple[str, date], Entry] = {}
    for one in sorted(said, key=lambda one: one.number):
        if not isinstance(one.what, OfADoor) or one.number in struck:
            continue
        before = last.get((one.about, one.day))
        was_shut = before is not None and isinstance(before.what, DoorShut)
        if before and was_shut and _count(one) is not None and before.what != one.what:
            found[before.number] = one
        last[one.about, one.day] = one
    return found


def _count(one: Entry) -> int | None:
    return one.what.count if isinstance(one.what, DoorShut) else None


def _corrected(one: Entry, again: Entry, names: NamesInDiary) -> str:
    """By whom and when it was counted again, and how many were in."""
    when = moment_words(again.said_at, one.day, names)
    count = _count(again)
    if again.who == one.who or not again.who:
        return WhoChanged.corrected(count=count, when=when)
    return WhoChanged.counted_again(who=again.who, count=count, when=when)


def _back(known: Sequence[Entry]) -> dict[int, list[Entry]]:
    """What takes each entry back, by its number, in the order of saying."""
    found: dict[int, list[Entry]] = {}
    for one in sorted(known, key=lambda one: one.number):
        if isinstance(one.what, TakenBack) and one.what.entry < one.number:
            found.setdefault(one.what.entry, []).append(one)
    return found


def _since(one: Entry, back: Mapping[int, Sequence[Entry]], names: NamesInDiary) -> list[str]:
    """Who took it back and put it back, as it was said."""
    told: list[tuple[int, str]] = []
    waiting = [(each, False) for each in back.get(one.number, ())]
    while waiting:
        each, puts_back = waiting.pop()
        when = moment_words(each.said_at, one.day, names)
        told.append((each.number, _who_changed(each.who, when, puts_back=puts_back)))
        waiting += [(other, not puts_back) for other in back.get(each.number, ())]
    return [text for _, text in sorted(told)]


def _who_changed(who: str, when: str, *, puts_back: bool) -> str:
    if who == BY_CLOCK:
        clock = WhoChanged.put_back_by_clock if puts_back else WhoChanged.taken_back_by_clock
        return clock(when=when)
    if who:
        by = WhoChanged.put_back_by if puts_back else WhoChanged.taken_back_by
        return by(who=who, when=when)
    return WhoChanged.put_back(when=when) if puts_back else WhoChanged.taken_back(when=when)


def _changes(
    connection: Connection,
    household: Household,
    known: Sequence[Entry],
    now: datetime,
) -> dict[int, Undoing]:
    """What can still be done with which of these; of a door with what was said last of it."""
    since = household.today(now) - SAID_WITHIN
    struck, found = taken_back(known), dict[int, Undoing]()
    are_reports = any(isinstance(one.what, OfAReport) for one in known)
    site_id = household.profile.site.id
    last = reports.last_changes(connection, site_id) if are_reports else {}
    doors = _last_of_doors(connection, site_id, known, since)
    for one in known:
        if household.today(one.said_at) < since:
            continue
        match one.what:
            case OfADoor() if one.number in doors:
                found[one.number] = "take-back"
            case OfAJob() | EggsCounted() | LookingToo() if (
                one.number not in struck and one.day >= since
            ):
                found[one.number] = "take-back"
            case ReportMade() if one.number not in struck:
                found[one.number] = "take-back"
            case ReportMade(report=number) if (by := last.get(number)) and by.kind == "undone":
                found[one.number] = "put-back"
            case OfAReport(report=number) if (by := last.get(number)) and by.entry == one.number:
                found[one.number] = "take-back"
    return found


def _last_of_doors(
    connection: Connection, site_id: str, known: Sequence[Entry], since: date
) -> set[int]:
    """Those said last of their doors, and of the other house that birds moved to or from.

    What was said after one need not be on the same page, nor of the kind or house asked for.
    """
    days = [one.day for one in known if isinstance(one.what, OfADoor) and one.day >= since]
    if not days:
        return set()
    said = closings_of(entries.of_family(connection, site_id, "door", min(days)))
    stands = [one for one in said if one.closing.kind != "undone"]
    last = (with_the_other_house(stands, [one]) for one in stands)
    return {each.number for these in last if is_last_said(stands, these) for each in these}
