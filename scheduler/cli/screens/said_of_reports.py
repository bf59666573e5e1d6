"""What `duskfold weather` and `duskfold birds` share: a report is ended, confirmed, taken back."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from types import MappingProxyType
from typing import NoReturn

from scheduler.cares.egg_lines import egg_lines
from scheduler.cares.records import BIRD_KINDS, Records, Report
from scheduler.cares.report_words import read_day, words_of
from scheduler.cares.withheld_eggs import free_from
from scheduler.cli.compose import Session
from scheduler.cli.screens.facts import Done, done_facts
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.cli.typed import Typed
from scheduler.profile.load import Problems
from scheduler.profile.problem import Unreadable, dotted
from scheduler.service.diary import Refused, Speaker
from scheduler.service.household.open_profile import Household
from scheduler.service.reports.emergencies import to_do_at_once
from scheduler.service.reports.report import (
    Already,
    NoSuchReport,
    Says,
    again,
    confirm,
    end,
    over,
    undo,
)
from scheduler.wording.cli.refusals import AcceptedThere, RefusalHints
from scheduler.wording.cli.said import ReportChanged, ReportsScreen, ReportsTable
from scheduler.wording.spoken import in_a_row, short_day
from scheduler.wording.words import every

_CHANGED = every(ReportChanged)
# What --json says of it.
_DONE: Mapping[str, Done] = {
    "end": "ended",
    "over": "over",
    "undo": "taken back",
    "confirm": "still in force",
    "again": "as it was before",
    "label": "noted",
}
_SAYS: Mapping[str, Says] = {"over": over, "confirm": confirm, "again": again, "undo": undo}


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """The command that speaks, for whom, on which day; nothing else is asked again.

    `by` is who says it: known to be in the profile once nothing `typed` is wrong.
    """

    command: str
    session: Session
    household: Household
    today: date
    typed: Typed
    by: str
    json: bool

    @property
    def site_id(self) -> str:
        """The site whose reports are meant."""
        return self.household.profile.site.id

    @property
    def speaker(self) -> Speaker:
        """Who says it, now."""
        return Speaker.called(self.by, self.household.profile, self.session.now, self.today)

    @classmethod
    def of(cls, session: Session, command: str, who: str | None, *, json: bool) -> "Desk":
        """The desk of that command, today."""
        household, typed = session.household(), Typed(command)
        return cls(
            command=command,
            session=session,
            household=household,
            today=household.today(session.now),
            typed=typed,
            by=typed.speaker(household.profile, who),
            json=json,
        )

    def is_for(self, report: Report) -> bool:
        """Whether the command is the one that this kind of report is said by."""
        return (report.kind in BIRD_KINDS) == (self.command == "birds")

    def refuse(self, option: str, found: str, accepted: str, hint: str = "") -> NoReturn:
        """Ends with this and everything else that is wrong."""
        self.typed.refuse(option, found, accepted, hint)
        self.typed.give_up()

    def refuse_word(self, option: str, word: str, accepted: str, hint: str = "") -> NoReturn:
        """Ends with this, as it was typed, and everything else that is wrong."""
        self.typed.refuse_word(option, word, accepted, hint)
        self.typed.give_up()

    def refuse_all(
        self,
        problems: Problems,
        options: Mapping[str, str],
        kind: str,
        hints: Mapping[str, str] = MappingProxyType({}),
    ) -> NoReturn:
        """Ends with every problem of a report, by the option of its key, else by its kind."""
        for one in problems:
            key = dotted(one.key)
            hint = hints.get(key) or one.hint
            self.typed.refuse(options.get(key, kind), one.found, one.accepted, hint)
        self.typed.give_up()


def change(desk: Desk, what: str, detail: str, last: str | None, label: Says | None = None) -> None:
    """Says of the report of that number that it ended, holds, was never so, or is as before."""
    if not detail.isdecimal():
        accepted = AcceptedThere.report_number(command=desk.command)
        desk.typed.refuse_word_or_nothing(what, detail, accepted)
    last_day = _last_day(desk, last) if what == "end" else desk.today
    desk.typed.end_if_wrong()
    number = int(detail)
    by = desk.speaker
    with desk.session.journal() as journal:
        of_other = {n for n, one in journal.reports(desk.site_id).items() if not desk.is_for(one)}
        if number in of_other:
            other = "weather" if desk.command == "birds" else "birds"
            accepted = AcceptedThere.report_listed(command=desk.command)
            hint = RefusalHints.other_command(number=number, command=other, what=what)
            desk.refuse_word(what, detail, accepted, hint)
        if what == "end":
            result = end(journal, desk.site_id, number, last_day, by)
        else:
            result = (label or _SAYS[what])(journal, desk.site_id, number, by)
    if isinstance(result, NoSuchReport):
        known = in_a_row([str(one) for one in result.known if one not in of_other])
        desk.refuse_word(what, detail, known or AcceptedThere.no_report())
    if isinstance(result, Refused):
        desk.refuse(what, result.found, result.accepted, result.hint)
    if isinstance(result, Already):
        told = _nothing_changed(desk, result)
        _tell(desk, number, result.report, "nothing was changed", told)
        if what == "end":
            _tell_of_today(desk, result.report)
        return
    told = _CHANGED[what](report=words_of(desk.household.profile, result))
    _tell(desk, number, result, _DONE[what], told)
    if not desk.json:
        _tell_more(desk, what, number, result)


def _tell_more(desk: Desk, what: str, number: int, changed: Report) -> None:
    """Says what follows from the change, and how to take it back."""
    if what == "end":
        _tell_of_today(desk, changed)
    if what == "again":  # what is urgent once more: whoever puts it back is not rung for it
        with desk.session.journal() as journal:
            urgent = to_do_at_once(journal, desk.household, changed, desk.session.now)
        for line in urgent:
            print(wrapped(line, indent=2))
    else:
        print(ReportsScreen.how_to_go_back(command=desk.command, number=number))
    if what in {"end", "over", "undo"}:
        _tell_what_still_holds(desk, changed)
    if changed.kind == "medicine":
        _tell_of_eggs(desk, what, number, changed)


def _tell_of_today(desk: Desk, ended: Report) -> None:
    """Says that a weather report whose last day is today is not over yet."""
    if not desk.json and ended.spell.last == desk.today and desk.command == "weather":
        print(ReportsScreen.until_midnight())


def _tell_of_eggs(desk: Desk, what: str, number: int, changed: Report) -> None:
    """Says until when the house's eggs are not to be eaten now, after a change of a medicine."""
    if what == "over" and changed.spell.last:
        print(ReportsScreen.last_dose(day=short_day(changed.spell.last), number=number))
    with desk.session.journal() as journal:
        records = Records(reports=tuple(journal.reports(desk.site_id).values()))
    for line in egg_lines(desk.household.profile, records, desk.today):
        if line.house_id == changed.house_id:
            print(wrapped(line.sentence))


def _nothing_changed(desk: Desk, already: Already) -> str:
    undone, profile = already.undone, desk.household.profile
    report = words_of(profile, already.report)
    if undone is None or undone.undone_at is None:
        return ReportsScreen.nothing_changed(report=report)
    day = short_day(profile.date_at(undone.undone_at))
    return ReportsScreen.taken_back_before(who=undone.undone_by, day=day, report=report)


def _tell_what_still_holds(desk: Desk, gone: Report) -> None:
    """Says that another housing order holds longer than the one that was ended or taken back."""
    if gone.kind != "order":
        return
    with desk.session.journal() as journal:
        reports = journal.reports(desk.site_id)
    for number, other in reports.items():
        end = other.spell.last
        lasts = end is None or (end >= desk.today and end > (gone.spell.last or desk.today))
        if other.kind == "order" and other != gone and lasts:
            order = words_of(desk.household.profile, other)
            print(wrapped(ReportsScreen.other_order(number=number, report=order)))


def _tell(desk: Desk, number: int, report: Report, done: Done, told: str) -> None:
    print(as_json(facts(number, report) | done_facts(done)) if desk.json else wrapped(told))


def facts(number: int, report: Report) -> dict[str, object]:
    """The JSON of one report; of birds with what belongs to them."""
    told: dict[str, object] = {
        "number": number,
        "kind": report.kind,
        "grade": report.grade,
        "from": report.spell.first,
        "to": report.spell.last,
        "air_c": report.air_c,
        "link": report.link,
        "who": report.who,
        "by": report.said_by or None,
        "confirmed_on": report.confirmed_on,
    }
    if not report.house_id:
        return told
    return told | {
        "coop": report.house_id,
        "birds": report.birds,
        "words": report.words,
        "signs": list(report.signs),
        "egg_days": report.egg_days,
        "meat_days": report.meat_days,
        "eggs_free_from": free_from(report) if report.kind == "medicine" else None,
    }


def listed(household: Household, reports: Mapping[int, Report]) -> str:
    """The reports by their numbers, in rows; nothing for none."""
    rows = [
        (str(number), words_of(household.profile, one), one.said_by)
        for number, one in reports.items()
    ]
    headings = (ReportsTable.number, ReportsTable.reported, ReportsTable.by)
    return table(rows, [heading() for heading in headings]) if rows else ""


def _last_day(desk: Desk, text: str | None) -> date:
    try:
        return desk.today if text is None else read_day(text, desk.today)
    except Unreadable as unreadable:
        desk.typed.refuse_word("--to", text or "", unreadable.accepted, unreadable.hint)
        return desk.today
