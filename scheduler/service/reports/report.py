"""Weather and other reports: made, ended, confirmed, taken back. The plan follows at once."""

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.cares.decided import DecidedDay
from scheduler.cares.diary.of_reports import (
    Change,
    WrittenReport,
    last_of,
    report_as_made,
    reports_of,
)
from scheduler.cares.diary.report_entries import (
    LabelRead,
    OfAReport,
    ReportConfirmed,
    ReportEnded,
)
from scheduler.cares.forecast_reports import forecast_reports
from scheduler.cares.records import Records, Report, Spell
from scheduler.journal import entries, reports
from scheduler.journal.store import Journal
from scheduler.journal.weather import decided
from scheduler.service import diary
from scheduler.service.diary import Judged, Refused, Speaker
from scheduler.service.household import own_jobs
from scheduler.service.household.open_profile import Household
from scheduler.wording.service.reports import (
    ReportAccepted,
    ReportCalled,
    ReportFound,
    ReportHints,
)
from scheduler.wording.words import every

_DAY = timedelta(days=1)
_CALLED = every(ReportCalled)
_ONE_TAP = timedelta(minutes=2)  # a wet screen taps twice, and a slow page is sent again


@dataclass(frozen=True, slots=True)
class NoSuchReport:
    """No report in force has that number; `known` are those that have."""

    number: int
    known: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class Already:
    """The report is so already; nothing was written. `undone`: it was taken back, as it says."""

    report: Report
    undone: WrittenReport | None = None


Result = Report | Already | Refused | NoSuchReport


Says = Callable[[Journal, str, int, Speaker], Result]  # for a site, of the report of that number


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """Everything reported, taken back or not, and what was said last of each by its number."""

    written: tuple[WrittenReport, ...]
    last: Mapping[int, Change]


def book(journal: Journal, site_id: str) -> Book:
    """Everything reported for the site, of one moment."""
    with journal.reading() as connection:
        written, changes = reports.every(connection, site_id)
    return Book(written=written, last=last_of(changes))


def records(journal: Journal, household: Household, days: Spell | None = None) -> Records:
    """Everything reported for the site and known of its own jobs, as the plan reads it.

    With what was decided of the weather of `days`; without them, as for calendars, with none.
    """
    with journal.reading() as connection:
        told = reports.in_force(connection, household.profile.site.id)
        return as_records(connection, household, told, days)


def as_records(
    connection: Connection,
    household: Household,
    told: Mapping[int, Report],
    days: Spell | None = None,
) -> Records:
    """Reports by number, with what is known besides, as `records` has it."""
    site_id, weather = household.profile.site.id, tuple[DecidedDay, ...]()
    if days and days.last:
        weather = decided(connection, site_id, days.first, days.last)
    added, done = own_jobs.known(connection, household)
    stood = (*_as_stood(connection, household, told), *forecast_reports(weather))
    lived_in = {flock.coop for flock in household.profile.flock}
    left = frozenset(one.house_id for one in stood if one.house_id) - lived_in
    return Records(reports=stood, left=left, own_added=added, own_done=done, weather=weather)


def _as_stood(
    connection: Connection, household: Household, told: Mapping[int, Report]
) -> Iterator[Report]:
    """The reports, none of them put back by an undone end whose last day had not passed."""
    again: dict[int, tuple[datetime, str]] = {}
    put_back = any(one.again_at for one in told.values())
    for said in reports.changes(connection, household.profile.site.id) if put_back else ():
        if said.undone_at is None or said.kind not in {"ended", "undone"}:
            continue
        report = told.get(said.number)
        has_stood = said.day is not None and said.day >= household.today(said.undone_at)
        # An end makes a predator's visit count as a lesser one at once.
        if report and (report.kind == "predator" or not has_stood):
            one = said.undone_at, said.undone_by
            again[said.number] = max(one, again.get(said.number, one))
    for number, report in told.items():
        again_at, again_by = again.get(number, (None, ""))
        yield replace(report, again_at=again_at, again_by=again_by)


def make(
    journal: Journal, site_id: str, report: Report, now: datetime, person_id: str | None = None
) -> int:
    """Keeps the report, made at the terminal, and says its number."""
    by = Speaker(who=report.said_by, now=now, today=now.date(), person_id=person_id)

    def judge(connection: Connection) -> Judged[int]:
        return _made(connection, site_id, report, by)

    number = diary.say(journal, site_id, by, "reports", None, judge)
    if isinstance(number, Refused):
        raise TypeError(number)  # nothing is refused there
    return number


def make_by_tap(journal: Journal, site_id: str, report: Report, by: Speaker) -> int | Refused:
    """Keeps the report and says its number; what the same person said two minutes ago is that one.

    Of two people who report the same each is kept: one of them may take theirs back.
    """

    def judge(connection: Connection) -> Judged[int]:
        for number, one in reports.in_force(connection, site_id).items():
            is_late = one.made_at is None or abs(by.now - one.made_at) > _ONE_TAP
            if one == report and one.said_by == report.said_by and not is_late:
                return Judged(answer=number)
        return _made(connection, site_id, report, by)

    return diary.say(journal, site_id, by, "reports", None, judge)


def _made(connection: Connection, site_id: str, report: Report, by: Speaker) -> Judged[int]:
    number = max((one.number for one in reports.ever(connection, site_id)), default=0) + 1
    about = report.house_id or site_id
    made = by.entry(report_as_made(number, report), about, report.spell.first)
    return Judged(answer=number, said=[made])


def end(journal: Journal, site_id: str, number: int, last: date, by: Speaker) -> Result:
    """Ends a report on its last day, which is one of its days.

    Said on its first day it may be the day before: from now on it holds no more. Not of an order.
    """

    def ended(report: Report) -> Result:
        first, until = report.spell.first, report.spell.last
        if last == until:
            return Already(report)
        if until and last > until:
            return _too_late(report, last)
        if last < first and not (last == first - _DAY and _can_be_over(report, by.today)):
            return _too_early(report, last, by.today)
        return replace(report, spell=Spell(first=first, last=last))

    return _say(journal, site_id, ReportEnded(report=number, last=last), by, ended)


def _say(
    journal: Journal,
    site_id: str,
    said: OfAReport,
    by: Speaker,
    after: Callable[[Report], Result],
) -> Result:
    """Keeps what is said of a report in force, if that is another `after` it."""

    def judge(connection: Connection) -> Judged[Result]:
        known = reports.in_force(connection, site_id)
        if said.report not in known:
            return Judged(answer=_no_such(said.report, known))
        report = known[said.report]
        result = after(report)
        if not isinstance(result, Report):
            return Judged(answer=result)
        entry = by.entry(said, report.house_id or site_id, report.spell.first)
        return Judged(answer=result, said=[entry])

    return diary.say(journal, site_id, by, "reports", None, judge)


def over(journal: Journal, site_id: str, number: int, by: Speaker) -> Result:
    """Ends a report now: yesterday was its last day."""
    result = end(journal, site_id, number, by.today - _DAY, by)
    if not isinstance(result, Refused):
        return result
    with journal.reading() as connection:
        report = reports.in_force(connection, site_id)[number]
    return replace(result, found=_as_it_is(report, by.today))


def _as_it_is(report: Report, today: date) -> str:
    """What there is in place of what could be over now: nobody typed yesterday's date."""
    first, last, called = report.spell.first, report.spell.last, _CALLED[report.kind]()
    if first > today:
        return ReportFound.begins(report=called, day=first)
    if last is not None and last < today:
        return ReportFound.ended(report=called, day=max(last, first))
    return ReportFound.began_today(report=called)


def _can_be_over(report: Report, today: date) -> bool:
    return report.can_end_at_once and report.spell.first == today


def _too_late(report: Report, last: date) -> Refused:
    until = report.spell.last
    accepted = ReportAccepted.between(first=report.spell.first, last=until)
    hint = ReportHints.ends_then(day=until)
    if report.spell.is_empty:
        accepted, hint = ReportAccepted.nothing_more(), ReportHints.is_over()
    return Refused(found=last.isoformat(), accepted=accepted, hint=hint)


def _too_early(report: Report, last: date, today: date) -> Refused:
    first, accepted = report.spell.first, ReportAccepted.or_later
    hints = [ReportHints.begins_then() if first > today else ReportHints.began_then()]
    if not report.can_end_at_once and first == today and last == today - _DAY:
        accepted, hints = ReportAccepted.as_last_day, []
    elif _can_be_over(report, today):
        hints = [ReportHints.say_over()]
    hint = " ".join([*hints, ReportHints.undo_whole()])
    return Refused(found=last.isoformat(), accepted=accepted(first=first), hint=hint)


def confirm(journal: Journal, site_id: str, number: int, by: Speaker) -> Result:
    """Keeps that an order without an end still holds, so that it is not asked about for a while."""

    def confirmed(report: Report) -> Result:
        if not report.can_be_confirmed(by.today):
            return _not_confirmed(report, by.today)
        if report.confirmed_on == by.today:
            return Already(report)
        return replace(report, confirmed_on=by.today)

    return _say(journal, site_id, ReportConfirmed(report=number, on=by.today), by, confirmed)


def _not_confirmed(report: Report, today: date) -> Refused:
    accepted = ReportAccepted.open_order()
    if report.kind != "order":
        return Refused(found=report.kind, accepted=accepted, hint=_how_it_ends(report, today))
    first, last = report.spell.first, report.spell.last
    if last is None:
        found, hint = ReportFound.order_begins(day=first), ReportHints.not_yet()
    elif last < today:
        found, hint = ReportFound.order_ended(day=last), ReportHints.again()
    else:
        found, hint = ReportFound.order_ends(day=last), ReportHints.stays()
    return Refused(found=found, accepted=accepted, hint=hint)


def _how_it_ends(report: Report, today: date) -> str:
    last = report.spell.last
    if last is None:
        return ReportHints.no_order()
    return ReportHints.over() if last < today else ReportHints.ends_itself(day=last)


def label(journal: Journal, site_id: str, number: int, egg_days: int, by: Speaker) -> Result:
    """Keeps how many days the eggs are withheld after a medicine, by its label or the vet."""

    def labelled(report: Report) -> Result:
        if report.kind != "medicine":
            return Refused(
                found=report.kind,
                accepted=ReportAccepted.medicine(),
                hint=ReportHints.no_label(),
            )
        return (
            Already(report) if report.egg_days == egg_days else replace(report, egg_days=egg_days)
        )

    return _say(journal, site_id, LabelRead(report=number, egg_days=egg_days), by, labelled)


def undo(journal: Journal, site_id: str, number: int, by: Speaker) -> Result:
    """Takes a report back, with who did so."""

    def judge(connection: Connection) -> Judged[Result]:
        every = {one.number: one for one in reports.written(connection, site_id)}
        one = every.get(number)
        if one is None:
            return Judged(answer=_no_such(number, reports.in_force(connection, site_id)))
        if one.undone_at:
            return Judged(answer=Already(one.report, one))
        return Judged(answer=one.report, back=[one.entry])

    return diary.say(journal, site_id, by, "reports", None, judge)


def again(
    journal: Journal, site_id: str, number: int, by: Speaker, turn: int | None = None
) -> Result:
    """Takes back what was said last of a report: that it ended, still holds, or was never so.

    `turn` is the change that is meant; one that something newer has followed is not taken back.
    What the clock took back comes back as well.
    """

    def judge(connection: Connection) -> Judged[Result]:
        read = entries.of_family(connection, site_id, "report")
        written, changes = reports_of(read)
        one = next((one for one in written if one.number == number), None)
        if one is None:
            return Judged(answer=_no_such(number, [one.number for one in written]))
        last = last_of(changes).get(number)
        if turn is not None and turn != (last.turn if last else 0):
            return Judged(answer=Already(one.report))
        back = last.entry if last else one.undone_in
        if not back:
            return Judged(answer=_nothing_said(number))
        left = reports_of([*read, by.taking_back(back)])[0]
        after = next(one.report for one in left if one.number == number)
        return Judged(answer=after, back=[back])

    return diary.say(journal, site_id, by, "reports", None, judge)


def _nothing_said(number: int) -> Refused:
    return Refused(
        found=ReportFound.unchanged(number=number),
        accepted=ReportAccepted.changed(),
        hint=ReportHints.undo(),
    )


def _no_such(number: int, known: Iterable[int]) -> NoSuchReport:
    return NoSuchReport(number, tuple(known))
