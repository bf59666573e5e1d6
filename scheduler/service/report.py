"""Weather and other reports: made, listed, ended, undone. The plan follows at once."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import Connection

from scheduler.cares.records import Records, Report, Spell
from scheduler.journal.store import Journal
from scheduler.service import own_jobs
from scheduler.service.open_profile import Household


@dataclass(frozen=True, slots=True)
class NoSuchReport:
    """No report in force has that number; `known` are those that have."""

    number: int
    known: tuple[int, ...]


def records(journal: Journal, household: Household) -> Records:
    """Everything reported for the site and known of its own jobs, as the plan reads it."""
    reports = journal.reports(household.profile.site.id)
    with journal.reading() as connection:
        return as_records(connection, household, reports)


def as_records(
    connection: Connection, household: Household, reports: Mapping[int, Report]
) -> Records:
    """Reports by number, with what is known of the household's own jobs, as the plan reads them."""
    added, done = own_jobs.known(connection, household)
    return Records(reports=tuple(reports.values()), own_added=added, own_done=done)


def make(journal: Journal, site_id: str, report: Report, now: datetime) -> int:
    """Keeps the report and says its number."""
    with journal.writing() as writing:
        return writing.add_report(site_id, report, now)


def end(journal: Journal, site_id: str, number: int, last: date) -> Report | NoSuchReport:
    """Ends a report on its last day; never before its first."""
    with journal.writing() as writing:
        known = writing.reports(site_id)
        if number not in known:
            return NoSuchReport(number, tuple(known))
        report = known[number]
        first = report.spell.first
        ended = replace(report, spell=Spell(first=first, last=max(last, first)))
        writing.end_report(site_id, number, ended)
        return ended


def confirm(journal: Journal, site_id: str, number: int, day: date) -> Report | NoSuchReport:
    """Keeps that the report still holds on `day`, so that it is not asked about for a while."""
    with journal.writing() as writing:
        known = writing.reports(site_id)
        if number not in known:
            return NoSuchReport(number, tuple(known))
        writing.confirm_report(site_id, number, day)
        return replace(known[number], confirmed_on=day)


def undo(
    journal: Journal, site_id: str, number: int, now: datetime, who: str = ""
) -> Report | NoSuchReport:
    """Takes a report back, with who did so."""
    with journal.writing() as writing:
        known = writing.reports(site_id)
        if number not in known:
            return NoSuchReport(number, tuple(known))
        writing.undo_report(site_id, number, now, who)
        return known[number]


def put_back(journal: Journal, site_id: str, number: int, was: Report) -> None:
    """Makes a report that was ended or taken back what it was before."""
    with journal.writing() as writing:
        writing.restore_report(site_id, number, was)
