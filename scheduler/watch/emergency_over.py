"""Whoever knew of an emergency hears, quietly and once, that somebody has ended it, or part."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.alerts.delivery import Key, Message
from scheduler.alerts.emergency import back, eased, over
from scheduler.alerts.step import Step, step_at
from scheduler.cares.closing import Closing
from scheduler.cares.kept_in import is_secure
from scheduler.cares.records import Report, ReportKind
from scheduler.journal import done, history, reports
from scheduler.journal.reports import Change
from scheduler.service.almanac import Almanac
from scheduler.service.jobs.kept_ticks import that_count
from scheduler.service.reports.emergencies import (
    badness,
    cares_of,
    made_urgent,
    urgent_lines,
    words_of,
)
from scheduler.service.reports.emergency_known import Withdrawn, withdrawn

_LOOKED_BACK = _DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class EmergencyEnd:
    """An emergency that somebody ended: who was told of it, and what of it has not gone out."""

    step: Step
    at: datetime
    message: Message
    people: tuple[str, ...]
    unsent: tuple[Key, ...]


def endings(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], now: datetime
) -> Iterator[EmergencyEnd]:
    """The emergencies that were ended or taken back since this time yesterday.

    One that ends by itself is none. Where others of its kind hold, it is one if it was worse.
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
    gone = {one.number: one for one in withdrawn(connection, site_id)}
    as_it_was = {number: one.report for number, one in gone.items()}
    ended: dict[ReportKind, list[Change]] = {}
    for change in sorted(changes, key=lambda one: one.at):
        if change.number in as_it_was:
            ended.setdefault(as_it_was[change.number].kind, []).append(change)
    for kind, those in ended.items():
        last = those[-1]  # of several it is the last that made an end
        if not urgent_lines(almanac, kind, household.today(last.at), said):
            like_it = [
                one
                for one in those
                if one is last
                or (one.kind == last.kind and not _is_told(almanac, connection, kind, one))
            ]
            worse = [one for one in like_it if _was_worse(almanac, gone, one, said)]
            by = {name for one in worse for name in gone[one.number].said_by}
            ended_ones = [as_it_was[one.number] for one in like_it]
            yield _ending(almanac, connection, ended_ones, last, by)
            continue
        for change in those:
            is_worse = _was_worse(almanac, gone, change, said)
            if not is_worse and not _was_worst(almanac, gone, change):
                continue
            told = _told_alone(almanac, connection, as_it_was[change.number], change)
            if is_worse or told:
                yield _eased(almanac, connection, told, gone[change.number], change, said, now)


def put_back(
    almanac: Almanac, connection: Connection, said: Sequence[Closing], now: datetime
) -> Iterator[EmergencyEnd]:
    """The emergencies that hold again since this time yesterday, for whoever heard of their end.

    Not for whoever was rung for one since: they may be on duty no more.
    """
    household = almanac.household
    site_id = household.profile.site.id
    if not almanac.records.reports:
        return
    undone = [
        (change, at)
        for change in reports.changes(connection, site_id)
        if change.kind in {"ended", "undone"}
        and (at := change.undone_at)
        and now - _LOOKED_BACK < at <= now
    ]
    held = reports.in_force(connection, site_id) if undone else {}
    for change, at in undone:
        report = held.get(change.number)
        if report is None:
            continue
        urgent = urgent_lines(almanac, report.kind, household.today(at), said)
        if not urgent:
            continue
        step = step_at("over", change.at, report.kind)
        since = household.today(change.at)
        found = history.told_since(connection, site_id, since)
        told = [one for one in found if one[0].step.told == step]
        words = words_of(almanac, report)
        message = back(report.kind, words, who=change.undone_by, urgent=urgent)
        by = replace(change, at=at, who=change.undone_by)
        ending = _told_of(almanac, report.kind, by, message, told, ())
        rings = step_at("urgent", at, report.kind)
        rung = {key.person_id for key, _ in found if key.step.told == rings}
        people = tuple(one for one in ending.people if one not in rung)
        yield replace(ending, step=step_at("urgent-again", at, report.kind), people=people)


def _ending(
    almanac: Almanac,
    connection: Connection,
    those: Sequence[Report],
    change: Change,
    reporters: Collection[str],
) -> EmergencyEnd:
    """What is told of reports of one kind as they were, of which that change ended the last.

    Of days that had passed by then nobody is told: what is taken back late was over already.
    """
    profile, day = almanac.profile, almanac.household.today(change.at)
    held = [one for one in those if one.spell.overlaps(day, day + _DAY)]
    worst = max(held or those, key=badness)
    since = almanac.household.today(min(one.made_at or change.at for one in those))
    told = [
        (key, has_gone)
        for key, has_gone in history.told_since(connection, profile.site.id, since)
        if _is_of(almanac, worst.kind, key.step.told)
    ]
    holds_today = _ends_by_itself(change, day)
    message = over(
        worst.kind,
        words_of(almanac, worst),
        who=change.who,
        taken_back=change.kind == "undone",
        holds_today=holds_today,
        holds=() if holds_today else _still_so(almanac, worst.kind, day),
        opened=() if holds_today or worst.kind != "order" else _opened(almanac, day),
    )
    ending = _told_of(almanac, worst.kind, change, message, told, reporters)
    return ending if held else replace(ending, people=())


def _opened(almanac: Almanac, day: date) -> list[str]:
    """The houses with birds that an order had shut by day, and that nothing else keeps shut."""
    profile = almanac.profile
    return [
        profile.coop_of(coop.coop_id).name
        for coop in almanac.coops(day)
        if not coop.kept_in
        and not is_secure(profile.coop_of(coop.coop_id))
        and profile.flocks_on(coop.coop_id, day)
    ]


def _is_told(almanac: Almanac, connection: Connection, kind: ReportKind, change: Change) -> bool:
    """Whether somebody has heard already that this one ended, while others held."""
    site_id, day = almanac.site_id, almanac.household.today(change.at)
    return history.is_told(connection, site_id, day, step_at("over", change.at, kind))


def _ends_by_itself(change: Change, day: date) -> bool:
    """Whether the change left it a last day that is not over yet."""
    return change.day is not None and change.day >= day


def _was_worse(
    almanac: Almanac, gone: Mapping[int, Withdrawn], change: Change, said: Sequence[Closing]
) -> bool:
    """Whether what that change ended asked for more, when it did so, than what stood beside it."""
    day, ended = almanac.household.today(change.at), gone[change.number].report
    if _ends_by_itself(change, day):
        return False
    stood = _beside(almanac, gone, change)
    empty = (almanac.emptied(on, said) for on in (day, day + _DAY))
    return almanac.kept(
        ("was worse", change.number, change.turn, *empty),
        lambda: made_urgent(almanac, ended, stood, day, said),
    )


def _was_worst(almanac: Almanac, gone: Mapping[int, Withdrawn], change: Change) -> bool:
    """Whether what stood beside it was all less bad, be it by one degree, that day or the next."""
    day, ended = almanac.household.today(change.at), gone[change.number].report
    if _ends_by_itself(change, day):
        return False
    like_it = [
        one
        for one in _beside(almanac, gone, change)
        if one.kind == ended.kind and one.house_id == ended.house_id
    ]
    return any(
        on in ended.spell
        and all(badness(one) < badness(ended) for one in like_it if on in one.spell)
        for on in (day, day + _DAY)
    )


def _beside(almanac: Almanac, gone: Mapping[int, Withdrawn], change: Change) -> tuple[Report, ...]:
    """The reports that stood when that change was made, and it left."""
    at = change.at
    stood = [one for one in almanac.records.reports if one.stands_since and one.stands_since <= at]
    stood += [one.report for one in gone.values() if one.since <= at < one.until]
    return tuple(stood)


def _told_alone(
    almanac: Almanac, connection: Connection, report: Report, change: Change
) -> list[tuple[Key, bool]]:
    """What was told of that report alone, when it was made or put back, and whether it went out."""
    site_id, made_at = almanac.site_id, report.made_at or change.at
    put_back = reports.changes(connection, site_id)
    instants = [one.undone_at for one in put_back if one.number == change.number]
    steps = {step_at("urgent", at, report.kind) for at in (made_at, *instants) if at}
    since = almanac.household.today(made_at)
    return [
        (key, has_gone)
        for key, has_gone in history.told_since(connection, site_id, since)
        if key.step.told in steps
    ]


def _eased(  # noqa: PLR0913, PLR0917 - what has gone, who knew of it, and what is left
    almanac: Almanac,
    connection: Connection,
    told: Sequence[tuple[Key, bool]],
    one: Withdrawn,
    change: Change,
    said: Sequence[Closing],
    now: datetime,
) -> EmergencyEnd:
    """What is told of a report that was worse than what holds beside it."""
    report, day = one.report, almanac.household.today(change.at)
    marks = done.since(connection, almanac.site_id, day)
    ticks = that_count(almanac, connection, said, marks, now)
    message = eased(
        report.kind,
        words_of(almanac, report),
        who=change.who,
        taken_back=change.kind == "undone",
        holds=_still_so(almanac, report.kind, day),
        urgent=urgent_lines(almanac, report.kind, day, said, ticks),
    )
    return _told_of(almanac, report.kind, change, message, told, one.said_by)


def _still_so(almanac: Almanac, kind: ReportKind, day: date) -> list[str]:
    """The reports of that kind that hold on that day or the next, in words."""
    return [
        words_of(almanac, one)
        for one in almanac.records.reports
        if one.kind == kind and one.spell.overlaps(day, day + _DAY)
    ]


def _told_of(  # noqa: PLR0913, PLR0917 - what ended, and who knew of it
    almanac: Almanac,
    kind: ReportKind,
    change: Change,
    message: Message,
    told: Sequence[tuple[Key, bool]],
    reporters: Collection[str],
) -> EmergencyEnd:
    """That message for whoever was told of it, or reported it; whoever said so knows it."""
    people = almanac.profile.person
    by = {person.id for person in people if person.name == change.who}
    knew = [key.person_id for key, has_gone in told if has_gone]
    knew += [person.id for person in people if person.name in reporters]
    return EmergencyEnd(
        step=step_at("over", change.at, kind),
        at=change.at,
        message=message,
        people=tuple(one for one in dict.fromkeys(knew) if one not in by),
        unsent=tuple(key for key, has_gone in told if not has_gone),
    )


def _is_of(almanac: Almanac, kind: ReportKind, step: Step) -> bool:
    """Whether that step told of an emergency of that kind."""
    if step.kind == "midday":
        return any(care.round == "midday" for care in cares_of(almanac, kind))
    return step.kind == "urgent" and step.about == kind
