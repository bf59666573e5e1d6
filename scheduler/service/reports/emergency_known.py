"""What is no news of an emergency: what is left of several reports, what was just done."""

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import date, datetime

from sqlalchemy import Connection

from scheduler.alerts.step import step_at
from scheduler.cares.diary.of_reports import last_of
from scheduler.cares.records import Report, Spell
from scheduler.journal import done, history, reports
from scheduler.service.almanac import Almanac
from scheduler.service.reports.emergencies import Call, is_no_worse


@dataclass(frozen=True, slots=True, kw_only=True)
class Withdrawn:
    """A report as it stood from `since` until it was ended or taken back.

    `said_by` are whoever reported it or put it back: they knew of it without being told.
    """

    number: int
    report: Report
    since: datetime
    until: datetime
    said_by: frozenset[str]


def withdrawn(connection: Connection, site_id: str) -> Iterator[Withdrawn]:
    """The reports that somebody has ended or taken back, as they stood before."""
    written, changes = reports.every(connection, site_id)
    last = last_of(changes)
    back: dict[int, set[str]] = {}
    for one in changes:
        if one.undone_at and one.kind in {"ended", "undone"}:
            back.setdefault(one.number, set()).add(one.undone_by)
    for made in written:
        report, until = made.report, made.undone_at
        change = last.get(made.number)
        if until is None and change and change.kind == "ended":
            spell = Spell(first=report.spell.first, last=change.was_last)
            report, until = replace(report, spell=spell), change.at
        if until and report.made_at:
            yield Withdrawn(
                number=made.number,
                report=report,
                since=report.made_at,
                until=until,
                said_by=frozenset({report.said_by} | back.get(made.number, set())),
            )


def said_as_much(almanac: Almanac, call: Call, gone: Iterable[Withdrawn]) -> Iterator[Withdrawn]:
    """Those that stood when the call's report was made, which then had nothing to add to them."""
    units = almanac.profile.units
    for one in gone:
        if (
            call.step.kind != "midday"
            and one.since <= call.at < one.until
            and all(
                report.kind == one.report.kind and is_no_worse(report, one.report, units)
                for report in call.reports
            )
            and all(walk.day in one.report.spell for walk, _ in call.lines)
        ):
            yield one


def news(
    almanac: Almanac, connection: Connection, call: Call, day: date, people: tuple[str, ...]
) -> Call | None:
    """What of the call of that date is to be told to these people; None when it is no news.

    One of them knew as much by a report that stood when this one was made: they were told of it,
    or made it, and it was ended or taken back since. Or the midday walk was ticked just before.
    """
    household, site_id = almanac.household, almanac.site_id
    names = {one.name for one in household.profile.person if one.id in people}
    for one in said_as_much(almanac, call, withdrawn(connection, site_id)):
        step, on = step_at("urgent", one.since, one.report.kind), household.today(one.since)
        told = history.told_since(connection, site_id, on)
        if names & one.said_by or any(
            has_gone and key.day == on and key.step.told == step and key.person_id in people
            for key, has_gone in told
        ):
            return None
    return call.left_by(done.since(connection, site_id, day))


def untold(  # noqa: PLR0913, PLR0917 - what, of what day, beside what
    almanac: Almanac,
    connection: Connection,
    call: Call,
    calls: Iterable[Call],
    day: date,
    now: datetime,
) -> Call | None:
    """What is told late of the call of that date; None where somebody was told of it in time.

    Nothing ran when it was reported.
    """
    site_id = almanac.site_id
    if history.is_told(connection, site_id, day, call.step):
        return None
    return beyond_walk(connection, site_id, call, calls, day, now)


def beyond_walk(  # noqa: PLR0913, PLR0917 - what, of what day, beside what, for whom
    connection: Connection,
    site_id: str,
    call: Call,
    calls: Iterable[Call],
    day: date,
    now: datetime,
    people: frozenset[str] | None = None,
) -> Call | None:
    """What of the call the midday walk after it has not said to one of them, nor says now."""
    left: Call | None = call
    for walk in (one for one in calls if one.step.kind == "midday" and call.at < one.at <= now):
        told = history.is_told(connection, site_id, day, walk.step, people)
        if left and (now < walk.useful_until or told):
            left = left.without(walk)
    return left
