"""Whoever knew of an emergency hears, quietly and once, that somebody has ended it, or part."""

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from functools import cached_property

from sqlalchemy import Connection

from scheduler.alerts.delivery import Key, Matter
from scheduler.alerts.step import Step, step_at
from scheduler.cares.closing import Closing
from scheduler.cares.diary.of_reports import Change
from scheduler.cares.let_out import is_secure
from scheduler.cares.records import Report, ReportKind
from scheduler.journal import done, history, reports
from scheduler.messages.emergency import back, eased, over
from scheduler.messages.site_news import news
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
    matter: Matter
    people: tuple[str, ...]
    unsent: tuple[Key, ...]


@dataclass(frozen=True)
class Endings:
    """What was ended, taken back or put back since this time yesterday."""

    almanac: Almanac
    connection: Connection
    said: Sequence[Closing]
    now: datetime

    @cached_property
    def _gone(self) -> dict[int, Withdrawn]:
        return {one.number: one for one in withdrawn(self.connection, self.almanac.site_id)}

    def _day(self, change: Change) -> date:
        return self.almanac.household.today(change.at)

    def ended(self) -> Iterator[EmergencyEnd]:
        """The emergencies that were ended or taken back.

        One that ends by itself is none. Where others of its kind hold, it is one if it was worse.
        """
        since = self.now - _LOOKED_BACK
        changes = reports.changes_since(self.connection, self.almanac.site_id, since)
        ended: dict[ReportKind, list[Change]] = {}
        for change in sorted(changes, key=lambda one: one.at):
            is_end = change.kind in {"ended", "undone"} and change.at <= self.now
            if is_end and change.number in self._gone:
                ended.setdefault(self._gone[change.number].report.kind, []).append(change)
        for kind, those in ended.items():
            if not urgent_lines(self.almanac, kind, self._day(those[-1]), self.said):
                yield self._last_of(kind, those)
                continue
            for change in those:
                is_worse = self._was_worse(change)
                if is_worse or self._was_worst(change):
                    told = self._told_alone(change)
                    if is_worse or told:
                        yield self._eased(change, told)

    def put_back(self) -> Iterator[EmergencyEnd]:
        """The emergencies that hold again, for whoever heard of their end.

        Not for whoever was rung for one since: they may be on duty no more.
        """
        almanac, household, site_id = self.almanac, self.almanac.household, self.almanac.site_id
        if not almanac.records.reports:
            return
        undone = [
            (change, at)
            for change in reports.changes(self.connection, site_id)
            if change.kind in {"ended", "undone"}
            and (at := change.undone_at)
            and self.now - _LOOKED_BACK < at <= self.now
        ]
        held = reports.in_force(self.connection, site_id) if undone else {}
        for change, at in undone:
            report = held.get(change.number)
            if report is None:
                continue
            urgent = urgent_lines(almanac, report.kind, household.today(at), self.said)
            if not urgent:
                continue
            step = step_at("over", change.at, report.kind)
            found = history.told_since(self.connection, site_id, self._day(change))
            told = [one for one in found if one[0].step.told == step]
            words = words_of(almanac, report)
            matter = news(back, report.kind, words, who=change.undone_by, urgent=urgent)
            by = replace(change, at=at, who=change.undone_by)
            ending = self._told_of(report.kind, by, matter, told, ())
            rings = step_at("urgent", at, report.kind)
            rung = {key.person_id for key, _ in found if key.step.told == rings}
            people = tuple(one for one in ending.people if one not in rung)
            yield replace(ending, step=step_at("urgent-again", at, report.kind), people=people)

    def _last_of(self, kind: ReportKind, those: Sequence[Change]) -> EmergencyEnd:
        """What is told of reports of one kind as they were, the last of which ended last.

        Of days that had passed by then nobody is told: what is taken back late was over already.
        """
        change, day = those[-1], self._day(those[-1])
        like_it = [
            one
            for one in those
            if one is change or (one.kind == change.kind and not self._is_told(kind, one))
        ]
        worse = [one for one in like_it if self._was_worse(one)]
        reporters = {name for one in worse for name in self._gone[one.number].said_by}
        ended = [self._gone[one.number].report for one in like_it]
        held = [one for one in ended if one.spell.overlaps(day, day + _DAY)]
        worst = max(held or ended, key=badness)
        since = self.almanac.household.today(min(one.made_at or change.at for one in ended))
        told = [
            one
            for one in history.told_since(self.connection, self.almanac.site_id, since)
            if _is_of(self.almanac, kind, one[0].step.told)
        ]
        holds_today = self._ends_by_itself(change)
        matter = news(
            over,
            kind,
            words_of(self.almanac, worst),
            who=change.who,
            taken_back=change.kind == "undone",
            holds_today=holds_today,
            holds=() if holds_today else self._still_so(kind, day),
            opened=() if holds_today or kind != "order" else _opened(self.almanac, day),
        )
        ending = self._told_of(kind, change, matter, told, reporters)
        return ending if held else replace(ending, people=())

    def _is_told(self, kind: ReportKind, change: Change) -> bool:
        """Whether somebody has heard already that this one ended, while others held."""
        step = step_at("over", change.at, kind)
        return history.is_told(self.connection, self.almanac.site_id, self._day(change), step)

    def _ends_by_itself(self, change: Change) -> bool:
        """Whether the change left it a last day that is not over yet."""
        return change.day is not None and change.day >= self._day(change)

    def _was_worse(self, change: Change) -> bool:
        """Whether what that change ended asked for more, when it did so, than what stood beside."""
        if self._ends_by_itself(change):
            return False
        day, ended = self._day(change), self._gone[change.number].report
        stood = self._beside(change)
        empty = (self.almanac.emptied(on, self.said) for on in (day, day + _DAY))
        return self.almanac.kept(
            ("was-worse", change.number, change.turn, *empty),
            lambda: made_urgent(self.almanac, ended, stood, day, self.said),
        )

    def _was_worst(self, change: Change) -> bool:
        """Whether what stood beside was all less bad, be it by one degree, that day or the next."""
        if self._ends_by_itself(change):
            return False
        day, ended = self._day(change), self._gone[change.number].report
        like_it = [
            one
            for one in self._beside(change)
            if one.kind == ended.kind and one.house_id == ended.house_id
        ]
        return any(
            on in ended.spell
            and all(badness(one) < badness(ended) for one in like_it if on in one.spell)
            for on in (day, day + _DAY)
        )

    def _beside(self, change: Change) -> tuple[Report, ...]:
        """The reports that stood when that change was made, and it left."""
        at, known = change.at, self.almanac.records.reports
        stood = [one for one in known if one.stands_since and one.stands_since <= at]
        stood += [one.report for one in self._gone.values() if one.since <= at < one.until]
        return tuple(stood)

    def _told_alone(self, change: Change) -> list[tuple[Key, bool]]:
        """What was told of its report alone, when made or put back, and whether that went out."""
        report = self._gone[change.number].report
        made_at = report.made_at or change.at
        changes = reports.changes(self.connection, self.almanac.site_id)
        instants = [one.undone_at for one in changes if one.number == change.number]
        steps = {step_at("urgent", at, report.kind) for at in (made_at, *instants) if at}
        since = self.almanac.household.today(made_at)
        found = history.told_since(self.connection, self.almanac.site_id, since)
        return [one for one in found if one[0].step.told in steps]

    def _eased(self, change: Change, told: Sequence[tuple[Key, bool]]) -> EmergencyEnd:
        """What is told of a report that was worse than what holds beside it."""
        almanac, day, one = self.almanac, self._day(change), self._gone[change.number]
        marks = done.since(self.connection, almanac.site_id, day)
        ticks = that_count(almanac, self.connection, self.said, marks, self.now)
        kind = one.report.kind
        matter = news(
            eased,
            kind,
            words_of(almanac, one.report),
            who=change.who,
            taken_back=change.kind == "undone",
            holds=self._still_so(kind, day),
            urgent=urgent_lines(almanac, kind, day, self.said, ticks),
        )
        return self._told_of(kind, change, matter, told, one.said_by)

    def _still_so(self, kind: ReportKind, day: date) -> list[str]:
        """The reports of that kind that hold on that day or the next, in words."""
        return [
            words_of(self.almanac, one)
            for one in self.almanac.records.reports
            if one.kind == kind and one.spell.overlaps(day, day + _DAY)
        ]

    def _told_of(
        self,
        kind: ReportKind,
        change: Change,
        matter: Matter,
        told: Sequence[tuple[Key, bool]],
        reporters: Collection[str],
    ) -> EmergencyEnd:
        """That message for whoever was told of it, or reported it; whoever said so knows it."""
        people = self.almanac.profile.person
        by = {person.id for person in people if person.name == change.who}
        knew = [key.person_id for key, has_gone in told if has_gone]
        knew += [person.id for person in people if person.name in reporters]
        return EmergencyEnd(
            step=step_at("over", change.at, kind),
            at=change.at,
            matter=matter,
            people=tuple(one for one in dict.fromkeys(knew) if one not in by),
            unsent=tuple(key for key, has_gone in told if not has_gone),
        )


def _opened(almanac: Almanac, day: date) -> list[str]:
    """The houses with birds that an order had shut by day, and that nothing else keeps shut."""
    houses = [
        almanac.profile.coop_of(coop.coop_id) for coop in almanac.coops(day) if not coop.kept_in
    ]
    return [
        one.name for one in houses if not is_secure(one) and almanac.profile.flocks_on(one.id, day)
    ]


def _is_of(almanac: Almanac, kind: ReportKind, step: Step) -> bool:
    """Whether that step told of an emergency of that kind."""
    if step.kind == "midday":
        return any(care.round == "midday" for care in cares_of(almanac, kind))
    return step.kind == "urgent" and step.about == kind
