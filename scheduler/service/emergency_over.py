"""Whoever was told of an emergency hears, quietly and once, that somebody has ended it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.delivery import Key, Message
from scheduler.alerts.emergency import OVER, STEP, over
from scheduler.cares.closing import Closing
from scheduler.cares.records import Report, ReportKind
from scheduler.cares.reported import report_words
from scheduler.journal import history, reports
from scheduler.journal.reports import Change
from scheduler.service.emergencies import MIDDAY, cares_of, is_on
from scheduler.service.nights import Almanac

_LOOKED_BACK = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """An emergency that somebody ended: who was told of it, and what of it has not gone out."""

    step: str
    at: datetime
    message: Message
    people: tuple[str, ...]
    unsent: tuple[Key, ...]


def endings(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], now: datetime
) -> Iterator[Ending]:
    """The emergencies that were ended or taken back since this time yesterday.

    One that ends by itself is none, nor one of which something urgent still holds.
    """
    household = almanac.household
    site_id = household.profile.site.id
    changes = [
        one
        for one in reports.changes_since(connection, site_id, now - _LOOKED_BACK)
        if one.kind in {"ended", "undone"} and one.at <= now
    ]
    if not changes:
        return
    written = {one.number: one.report for one in reports.written(connection, site_id)}
    # Of several that were ended it is the last that made an end.
    last = {written[one.number].kind: one for one in sorted(changes, key=lambda one: one.at)}
    for change in last.values():
        report, day = written[change.number], household.today(change.at)
        if not is_on(almanac, report.kind, day, said):
            yield _ending(almanac, connection, report, change)


def _ending(almanac: Almanac, connection: Connection, report: Report, change: Change) -> Ending:
    profile = almanac.household.profile
    since = almanac.household.today(report.made_at or change.at)
    told = [
        (key, has_gone)
        for key, has_gone in history.told_since(connection, profile.site.id, since)
        if _is_of(almanac, report.kind, key.step)
    ]
    # Whoever said so knows it.
    by = {person.id for person in profile.person if person.name == change.who}
    return Ending(
        step=f"{OVER}{report.kind}-{change.at:%H%M%S}",
        at=change.at,
        message=over(
            report.kind,
            report_words(report, profile.units),
            who=change.who,
            taken_back=change.kind == "undone",
        ),
        people=tuple(
            dict.fromkeys(
                key.person_id for key, has_gone in told if has_gone and key.person_id not in by
            )
        ),
        unsent=tuple(key for key, has_gone in told if not has_gone),
    )


def _is_of(almanac: Almanac, kind: ReportKind, step: str) -> bool:
    """Whether that step told of an emergency of that kind."""
    if step == MIDDAY:
        return any(care.round == "midday" for care in cares_of(almanac, kind))
    return step.startswith(f"{STEP}{kind}-")
