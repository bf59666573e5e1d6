"""What is left of an emergency when one of several reports of it is withdrawn is no news."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import datetime

from sqlalchemy import Connection

from scheduler.cares.records import Report, Spell
from scheduler.journal import history, reports
from scheduler.service.emergencies import MIDDAY, Call, is_no_worse, step_of
from scheduler.service.nights import Almanac


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawn:
    """A report as it stood from `since` until it was ended or taken back."""

    number: int
    report: Report
    since: datetime
    until: datetime


def withdrawn(connection: Connection, site_id: str) -> Iterator[Withdrawn]:
    """The reports that somebody has ended or taken back, as they stood before."""
    last = reports.last_changes(connection, site_id)
    for one in reports.written(connection, site_id):
        report, until = one.report, one.undone_at
        change = last.get(one.number)
        if until is None and change and change.kind == "ended":
            spell = Spell(first=report.spell.first, last=change.was_last)
            report, until = replace(report, spell=spell), change.at
        if until and report.made_at:
            yield Withdrawn(number=one.number, report=report, since=report.made_at, until=until)


def said_as_much(almanac: Almanac, call: Call, gone: Iterable[Withdrawn]) -> Iterator[Withdrawn]:
    """Those that stood when the call's report was made, which then had nothing to add to them."""
    units = almanac.household.profile.units
    for one in gone:
        if (
            call.step != MIDDAY
            and one.since <= call.at < one.until
            and all(
                report.kind == one.report.kind and is_no_worse(report, one.report, units)
                for report in call.reports
            )
            and all(walk.day in one.report.spell for walk, _ in call.lines)
        ):
            yield one


def is_known(almanac: Almanac, connection: Connection, call: Call, people: tuple[str, ...]) -> bool:
    """Whether one of the people knew as much by a report that stood when this one was made.

    They were told of it, or made it; it was ended or taken back since.
    """
    profile = almanac.household.profile
    names = {person.name for person in profile.person if person.id in people}
    return any(
        one.report.said_by in names or _was_told(almanac, connection, one, people)
        for one in said_as_much(almanac, call, withdrawn(connection, profile.site.id))
    )


def _was_told(
    almanac: Almanac, connection: Connection, one: Withdrawn, people: tuple[str, ...]
) -> bool:
    step, day = step_of(one.report.kind, one.since), almanac.household.today(one.since)
    told = history.told_since(connection, almanac.household.profile.site.id, day)
    return any(
        has_gone and key.day == day and key.step == step and key.person_id in people
        for key, has_gone in told
    )
