"""Reports as they stand after all that was said of them: ended, confirmed, taken back, and back."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, timedelta
from typing import Literal

from scheduler.cares.diary.entry import BY_CLOCK, Entry, Said, TakenBack, taken_back
from scheduler.cares.diary.report_entries import (
    LabelRead,
    OfAReport,
    ReportConfirmed,
    ReportEnded,
    ReportMade,
)
from scheduler.cares.records import SIGNS, Report, Spell

ChangeKind = Literal["ended", "confirmed", "undone", "label"]
_KINDS: dict[type[Said], ChangeKind] = {
    ReportEnded: "ended",
    ReportConfirmed: "confirmed",
    LabelRead: "label",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What somebody said of a report after it was made, and whether that was taken back.

    `day` is the last day of what was ended, the day of what was confirmed, None of what was undone
    and of days of withdrawal that were read from a label; `was_last` is the last day it had before;
    `turn` counts what was said of the same report, from 1; `entry` is the number of its own. That
    the clock by which a report was made has taken it back nobody said.
    """

    number: int
    turn: int
    kind: ChangeKind
    day: date | None
    who: str
    at: datetime
    undone_at: datetime | None = None
    undone_by: str = ""
    was_last: date | None = None
    entry: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenReport:
    """A report by its number, and when and by whom it was taken back, if it is.

    `entry` and `undone_in` are the numbers of the entries that say so; 0: it is not taken back.
    """

    number: int
    report: Report
    undone_at: datetime | None
    undone_by: str
    entry: int = 0
    undone_in: int = 0


@dataclass(slots=True)
class _Told:
    """One report with what was said of it, in the order of saying."""

    made: Entry
    said: list[Entry] = field(default_factory=list)


def reports_of(entries: Iterable[Entry]) -> tuple[tuple[WrittenReport, ...], tuple[Change, ...]]:
    """Every report by number, as it stands; and what was said of each, in the order of saying."""
    known = sorted(entries, key=lambda one: one.number)
    struck = taken_back(known)
    told: dict[int, _Told] = {}
    by_entry: dict[int, _Told] = {}
    for one in known:
        match one.what:
            case ReportMade(report=number):
                told[number] = by_entry[one.number] = _Told(one)
            case OfAReport(report=number) if number in told:
                told[number].said.append(one)
            case TakenBack(entry=target) if target in by_entry and one.who != BY_CLOCK:
                by_entry[target].said.append(one)
    written, changes = [], []
    for number, of in sorted(told.items()):
        mine = list(_changes(number, of, struck))
        changes += mine
        written.append(_as_written(number, of, mine, struck))
    return tuple(written), tuple(changes)


def last_of(changes: Iterable[Change]) -> dict[int, Change]:
    """What was said last of each report and still stands, by the report's number."""
    return {one.number: one for one in changes if one.undone_at is None}


def still_matter(entries: Iterable[Entry], before: date) -> list[int]:
    """The numbers of what was said of reports that began before that date and still matter then.

    None of one that was taken back, or had ended by then with its days of withdrawal.
    """
    known = list(entries)
    written, changes = reports_of(known)
    left = {
        one.number
        for one in written
        if one.undone_at is None and one.report.spell.first < before and _ends(one.report) >= before
    }
    found = [one.entry for one in written if one.number in left]
    return found + [one.entry for one in changes if one.number in left]


def _ends(report: Report) -> date:
    """The last day on which it matters: eggs and meat are withheld after a medicine has ended."""
    if report.spell.last is None:
        return date.max
    return report.spell.last + timedelta(days=max(report.egg_days or 0, report.meat_days or 0))


def _changes(number: int, told: _Told, struck: dict[int, Entry]) -> Iterator[Change]:
    made = as_made(told.made)
    stood: list[tuple[Entry, Report]] = []  # what had not been taken back when the next was said
    for turn, one in enumerate(told.said, start=1):
        while stood and _was_back(stood[-1][0], one, struck):
            stood.pop()
        before = stood[-1][1] if stood else made
        stood.append((one, _after(before, one)))
        by = struck.get(one.number)
        yield Change(
            number=number,
            turn=turn,
            kind=_KINDS.get(type(one.what), "undone"),
            day=_day_of(one),
            who=one.who,
            at=one.said_at,
            undone_at=by.said_at if by else None,
            undone_by=by.who if by else "",
            was_last=before.spell.last,
            entry=one.number,
        )


def _was_back(one: Entry, other: Entry, struck: dict[int, Entry]) -> bool:
    by = struck.get(one.number)
    return by is not None and by.number < other.number


def _as_written(
    number: int, told: _Told, changes: list[Change], struck: dict[int, Entry]
) -> WrittenReport:
    report = as_made(told.made)
    for one in told.said:
        if one.number not in struck:
            report = _after(report, one)
    back = [one.undone_at for one in changes if one.kind in {"ended", "undone"} and one.undone_at]
    report = replace(report, again_at=max(back, default=None))
    by = struck.get(told.made.number)
    return WrittenReport(
        number=number,
        report=report,
        undone_at=by.said_at if by else None,
        undone_by=by.who if by else "",
        entry=told.made.number,
        undone_in=by.number if by else 0,
    )


def _day_of(entry: Entry) -> date | None:
    match entry.what:
        case ReportEnded(last=day) | ReportConfirmed(on=day):
            return day
    return None


def _after(report: Report, said: Entry) -> Report:
    match said.what:
        case ReportEnded(last=last):
            return replace(report, spell=Spell(first=report.spell.first, last=last))
        case ReportConfirmed(on=day):
            return replace(report, confirmed_on=day)
        case LabelRead(egg_days=days):
            return replace(report, egg_days=days)
    return report


def as_made(entry: Entry) -> Report:
    """The report as it was made.

    Raises:
        TypeError: the entry makes none.
    """
    what = entry.what
    if not isinstance(what, ReportMade):
        raise TypeError(what)
    return Report(
        kind=what.kind,
        spell=Spell(first=entry.day, last=what.last),
        air_c=what.air_c,
        link=what.link,
        who=what.binds,
        grade=what.grade,
        confirmed_on=what.confirmed_on,
        house_id=entry.about if what.of_house else "",
        birds=what.birds,
        words=what.words,
        signs=tuple(sign for sign in SIGNS if sign in what.signs),
        egg_days=what.egg_days,
        meat_days=what.meat_days,
        made_at=entry.said_at,
        said_by=entry.who,
    )


def report_as_made(number: int, report: Report) -> ReportMade:
    """What is said by making the report under that number."""
    return ReportMade(
        report=number,
        kind=report.kind,
        last=report.spell.last,
        air_c=report.air_c,
        link=report.link,
        binds=report.who,
        grade=report.grade,
        birds=report.birds,
        words=report.words,
        signs=report.signs,
        egg_days=report.egg_days,
        meat_days=report.meat_days,
        confirmed_on=report.confirmed_on,
        of_house=bool(report.house_id),
    )
