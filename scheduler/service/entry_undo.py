"""Takes an entry of the diary back, or a report's taking back, by its number."""

from dataclasses import replace
from functools import partial

from sqlalchemy import Connection

from scheduler.cares.diary.door_entries import OfADoor
from scheduler.cares.diary.egg_entries import EggsCounted
from scheduler.cares.diary.entry import Entry, taken_back
from scheduler.cares.diary.job_entries import OfAJob
from scheduler.cares.diary.of_doors import (
    as_closing,
    closings_of,
    is_last_said,
    with_the_other_house,
)
from scheduler.cares.diary.report_entries import OfAReport, ReportMade
from scheduler.cares.diary.search_entries import LookingToo
from scheduler.journal import entries, reports
from scheduler.journal.store import Journal
from scheduler.profile.who_may import Matter
from scheduler.service import diary
from scheduler.service.almanac import Almanac
from scheduler.service.diary import Judged, Refused, Speaker
from scheduler.service.doors.follow import follow
from scheduler.service.doors.statement import matter_of
from scheduler.service.reports import report
from scheduler.service.reports.report import Already, NoSuchReport
from scheduler.service.too_late import SAID_WITHIN, is_too_late
from scheduler.wording.service.taking_back import EntryNotTakenBack


def take_back(
    journal: Journal, almanac: Almanac, number: int, by: Speaker, *, put_back: bool = False
) -> Refused | None:
    """Takes that entry back, `put_back`: that a report was taken back; or says why not."""
    with journal.reading() as connection:
        known = entries.by_number(connection, almanac.site_id, [number])
    one = next((one for one in known if one.number == number), None)
    struck = number in taken_back(known)
    match one:
        case Entry(what=OfADoor() as door) if not struck:
            matter = matter_of(as_closing(one, door).kind)
            return _of_door(journal, almanac, one, by, matter)
        case Entry(what=OfAJob() | EggsCounted()) if not struck:
            return _of_day(journal, almanac.site_id, one, by, "jobs")
        case Entry(what=LookingToo()) if not struck:
            return _of_day(journal, almanac.site_id, one, by, "search")
        case Entry(what=OfAReport() as what) if struck == put_back:
            return _of_report(journal, almanac.site_id, one, what, by)
        case Entry(what=OfADoor() | OfAJob() | EggsCounted() | LookingToo() | OfAReport()):
            return _already()
    return Refused(
        found=EntryNotTakenBack.found_entry(number=number),
        accepted=EntryNotTakenBack.accepted_kinds(),
        question=EntryNotTakenBack.not_here(),
    )


def _already() -> Refused:
    return Refused(
        found=EntryNotTakenBack.found_struck(),
        accepted="",
        question=EntryNotTakenBack.already(),
    )


def _newer() -> Refused:
    return Refused(
        found=EntryNotTakenBack.found_older(),
        accepted=EntryNotTakenBack.accepted_last(),
        question=EntryNotTakenBack.newer(),
    )


def _too_late() -> Refused:
    return Refused(
        found=EntryNotTakenBack.found_old(),
        accepted=EntryNotTakenBack.accepted_recent(days=SAID_WITHIN.days),
        question=EntryNotTakenBack.too_late(),
    )


def _of_door(
    journal: Journal, almanac: Almanac, one: Entry, by: Speaker, matter: Matter
) -> Refused | None:
    """Takes back what was said last of a door, and of the other house that birds moved to or from.

    Where that opens a door again, the reminders go on.
    """

    def judge(connection: Connection) -> Judged[Refused | None]:
        said = closings_of(entries.of_family(connection, almanac.site_id, "door", one.day))
        stands = [each for each in said if each.closing.kind != "undone"]
        mine = with_the_other_house(stands, [each for each in stands if each.number == one.number])
        if not mine:
            return Judged(answer=_already())
        if not is_last_said(stands, mine):
            return Judged(answer=_newer())
        then = partial(follow, almanac, now=by.now)
        return Judged(answer=None, back=[each.number for each in mine], then=then)

    if is_too_late(one.day, by.today):
        return _too_late()
    return diary.say(journal, almanac.site_id, by, matter, one.day, judge)


def _of_day(
    journal: Journal, site_id: str, one: Entry, by: Speaker, matter: Matter
) -> Refused | None:
    """Takes back what was said of a job or of eggs, or that somebody looks for birds."""

    def judge(connection: Connection) -> Judged[Refused | None]:
        if one.number in taken_back(entries.by_number(connection, site_id, [one.number])):
            return Judged(answer=_already())
        return Judged(answer=None, back=[one.number])

    if is_too_late(one.day, by.today):
        return _too_late()
    return diary.say(journal, site_id, by, matter, one.day, judge)


def _of_report(
    journal: Journal, site_id: str, one: Entry, what: OfAReport, by: Speaker
) -> Refused | None:
    with journal.reading() as connection:
        last = reports.last_changes(connection, site_id).get(what.report)
        struck = one.number in taken_back(entries.by_number(connection, site_id, [one.number]))
    if isinstance(what, ReportMade) and not struck:
        result = report.undo(journal, site_id, what.report, by)
    elif last is None or (not isinstance(what, ReportMade) and last.entry != one.number):
        return _newer()
    else:
        result = report.again(journal, site_id, what.report, by, last.turn)
    match result:
        case Refused():
            return result if result.question else replace(result, question=_sentence(result))
        case Already():
            return _already()
        case NoSuchReport():
            return _too_late()
    return None


def _sentence(refused: Refused) -> str:
    told = EntryNotTakenBack.refused(found=refused.found, accepted=refused.accepted)
    return f"{told} {refused.hint}".rstrip()
