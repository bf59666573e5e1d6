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
from scheduler.service.emergencies import MIDDAY, badness, cares_of, is_on
from scheduler.service.emergency_known import withdrawn
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
    as_it_was = {one.number: one.report for one in withdrawn(connection, site_id)}
    ended: dict[ReportKind, list[Change]] = {}
    for change in sorted(changes, key=lambda one: one.at):
        if change.number in as_it_was:
            ended.setdefault(as_it_was[change.number].kind, []).append(change)
    for kind, those in ended.items():
        last = those[-1]  # of several it is the last that made an end
        if not is_on(almanac, kind, household.today(last.at), said):
            like_it = [as_it_was[one.number] for one in those if one.kind == last.kind]
            yield _ending(almanac, connection, like_it, last)


def _ending(
    almanac: Almanac, connection: Connection, those: Sequence[Report], change: Change
) -> Ending:
    """What is told of reports of one kind as they were, of which that change ended the last."""
    profile, worst = almanac.household.profile, max(those, key=badness)
    since = almanac.household.today(min(one.made_at or change.at for one in those))
    told = [
        (key, has_gone)
        for key, has_gone in history.told_since(connection, profile.site.id, since)
        if _is_of(almanac, worst.kind, key.told_step)
    ]
    # Whoever said so knows it.
    by = {person.id for person in profile.person if person.name == change.who}
    return Ending(
        step=f"{OVER}{worst.kind}-{change.at:%H%M%S}",
        at=change.at,
        message=over(
            worst.kind,
            report_words(worst, profile.units),
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
