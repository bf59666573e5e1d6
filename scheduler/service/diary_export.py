"""Everything that was said, in the order of saying, page by page: as rows, and for programs."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from scheduler.cares.diary.codec import encoded
from scheduler.cares.diary.door_entries import OfADoor
from scheduler.cares.diary.egg_entries import EggsCounted
from scheduler.cares.diary.entry import Entry, FromNewer, TakenBack, Unreadable, taken_back
from scheduler.cares.diary.entry_words import NamesInDiary, in_words
from scheduler.cares.diary.job_entries import JobSkipped, OfAJob
from scheduler.cares.diary.of_doors import as_closing
from scheduler.cares.diary.of_reports import as_made
from scheduler.cares.diary.profile_entries import ProfileChanged
from scheduler.cares.diary.report_entries import (
    LabelRead,
    OfAReport,
    ReportConfirmed,
    ReportEnded,
    ReportMade,
)
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.cares.records import Report
from scheduler.cares.report_words import SIGN_WORDS
from scheduler.cares.withheld_eggs import free_from
from scheduler.journal import entries, entries_by_day
from scheduler.journal.entries_by_day import Asked
from scheduler.journal.store import Journal
from scheduler.profile.words import instant
from scheduler.service.diary_asked import called
from scheduler.service.household.open_profile import Household
from scheduler.wording.service.diary_table import DiaryCells, DiaryHeadings
from scheduler.wording.spoken import one_by_one
from scheduler.wording.words import every

EVERYTHING = Asked()
Row = tuple[str, ...]
Told = tuple[str, str, str, str]  # what, count, until, detail


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """An entry with what took it back, if anything does, and with what it is called."""

    entry: Entry
    back: Entry | None
    called: NamesInDiary

    @property
    def name(self) -> str:
        """The name of what it is about."""
        return self.called.name_of(self.entry.about)

    @property
    def local(self) -> str:
        """When it happened by the clock at the site, with the offset: 2026-12-21T17:18:37+01:00."""
        zone = self.called.profile.at(self.entry.happened_at).site.zone
        return self.entry.happened_at.astimezone(zone).isoformat(timespec="seconds")


def pages(
    journal: Journal, household: Household, asked: Asked = EVERYTHING
) -> Iterator[list[Exported]]:
    """Every entry that is asked for, in the order of saying.

    Every page is read and its transaction ended before it is handed out.
    """
    site_id, last = household.profile.site.id, 0
    while True:
        with journal.reading() as connection:
            numbers = entries_by_day.after(connection, site_id, last, asked)
            known = entries.by_number(connection, site_id, numbers)
            names = called(connection, household, known)
        if not numbers:
            return
        last, told, struck = numbers[-1], {one.number: one for one in known}, taken_back(known)
        yield [
            Exported(entry=told[number], back=struck.get(number), called=names)
            for number in numbers
        ]


def headings() -> Row:
    """What stands above the columns of the rows."""
    return tuple(heading() for heading in every(DiaryHeadings).values())


def row(told: Exported) -> Row:
    """The entry as a row below the headings."""
    one, by = told.entry, told.back
    what, count, until, detail = _told(one, told.called.reports)
    return (
        str(one.number),
        one.day.isoformat(),
        what,
        one.about,
        count,
        one.who,
        instant(one.happened_at),
        instant(one.said_at) if one.said_at != one.happened_at else "",
        instant(by.said_at) if by else "",
        by.who if by else "",
        until,
        detail,
        told.name,
        told.local,
        in_words(one, told.called),
    )


def as_object(told: Exported) -> dict[str, object]:
    """The entry for programs, with its values as they are kept."""
    one, by = told.entry, told.back
    kind, version, values = encoded(one.what)
    return {
        "entry": one.number,
        "date": one.day.isoformat(),
        "kind": kind,
        "version": version,
        "subject": one.about,
        "name": told.name,
        "words": in_words(one, told.called),
        "who": one.who,
        "person": one.person_id,
        "at": instant(one.happened_at),
        "local_time": told.local,
        "said_at": instant(one.said_at),
        "taken_back": {"entry": by.number, "who": by.who, "at": instant(by.said_at)}
        if by
        else None,
        "values": values,
    }


def _told(one: Entry, reports: Mapping[int, Report]) -> Told:
    match one.what:
        case OfADoor() as said:
            told = as_closing(one, said)
            count = "" if told.count is None else str(told.count)
            detail = DiaryCells.some_missing() if told.some_missing else told.other_coop
            return told.kind, count, "", detail
        case OfAJob(care_id=care_id) as said:
            return care_id, "", "", DiaryCells.skipped() if isinstance(said, JobSkipped) else ""
        case ReportMade(report=number):
            return _reported(number, as_made(one))
        case OfAReport(report=number) as said:
            report = reports.get(number)
            return _changed(report.kind if report else DiaryCells.report(), said)
        case TakenBack(entry=number):
            return DiaryCells.taken_back(), "", "", DiaryCells.entry(number=number)
    return _of_the_rest(one)


def _of_the_rest(one: Entry) -> Told:
    match one.what:
        case LookingToo():
            return DiaryCells.looking(), "", "", ""
        case EggsCounted(eggs=eggs):
            return DiaryCells.eggs(), str(eggs), "", ""
        case ProfileChanged(number=number):
            return DiaryCells.profile(), "", "", DiaryCells.version(number=number)
        case FromNewer(kind=kind, text=text):
            return kind, "", "", DiaryCells.from_newer(text=text)
        case Unreadable(kind=kind, text=text):
            return kind, "", "", DiaryCells.damaged(number=one.number, text=text)
    raise TypeError(one.what)


def _reported(number: int, report: Report) -> Told:
    details = (
        DiaryCells.report_number(number=number),
        DiaryCells.over_at_once() if report.spell.is_empty else "",
        "" if report.air_c is None else DiaryCells.air(air=f"{round(report.air_c, 1):g}"),
        report.grade or "",
        DiaryCells.binds(who=report.who) if report.who else "",
        report.link,
        *_of_birds(report),
    )
    until = max(report.spell.last, report.spell.first).isoformat() if report.spell.last else ""
    said = one_by_one([*filter(None, details)])
    return report.kind, str(report.birds or ""), until, said


def _of_birds(report: Report) -> Iterator[str]:
    """What was seen, or the product and its withdrawal as the label has it."""
    yield from (SIGN_WORDS[sign]() for sign in report.signs)
    yield report.words
    if report.kind == "medicine":
        yield "" if report.birds else DiaryCells.every_bird()
        eggs, free = report.egg_days, free_from(report)
        yield DiaryCells.eggs_unknown() if eggs is None else DiaryCells.eggs_days(days=eggs)
        yield DiaryCells.eggs_free(day=free) if eggs and free else ""
        yield "" if report.meat_days is None else DiaryCells.meat_days(days=report.meat_days)


def _changed(kind: str, said: OfAReport) -> Told:
    details = [DiaryCells.report_number(number=said.report)]
    match said:
        case ReportEnded(last=last):
            return DiaryCells.ended(report=kind), "", last.isoformat(), one_by_one(details)
        case ReportConfirmed(on=day):
            details.append(DiaryCells.on_day(day=day))
            return DiaryCells.still_in_force(report=kind), "", "", one_by_one(details)
        case LabelRead(egg_days=days):
            details += [] if days is None else [DiaryCells.eggs_days(days=days)]
            return DiaryCells.label_read(report=kind), "", "", one_by_one(details)
    raise TypeError(said)
