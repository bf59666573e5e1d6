"""`duskfold birds`: a broody hen, an illness, a medicine and until when its eggs are withheld."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from scheduler.cares.birds_today import bird_lines
from scheduler.cares.records import BIRD_KINDS, Records, Report
from scheduler.cares.withheld_eggs import withheld
from scheduler.cli.compose import Session
from scheduler.cli.faults import go_on_after
from scheduler.cli.screens.said_of_reports import Desk, change, facts, said
from scheduler.cli.screens.tables import as_json, table, wrapped
from scheduler.profile.problem import Problem, Unreadable, dotted, nearest
from scheduler.service.reports.read_bird_report import (
    ToldBirds,
    odd_of_birds,
    read_bird_report,
    read_days,
)
from scheduler.service.reports.report import label, make

_CHANGES = ("end", "over", "undo", "again", "label")
_WORDS = (*BIRD_KINDS, *_CHANGES)
_OPTIONS = {
    "coop": "--coop",
    "first": "--from",
    "last": "--to",
    "count": "--count",
    "eggs": "--eggs",
    "meat": "--meat",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class BirdsTyped:
    """What the command line said."""

    what: str | None
    detail: tuple[str, ...]
    coop: str = ""
    first: str | None = None
    last: str | None = None
    count: str = ""
    note: str = ""
    eggs: str = ""
    meat: str = ""
    by: str | None = None
    sure: bool = False


def run(session: Session, told: BirdsTyped, *, json: bool) -> None:
    """Lists, makes, ends or undoes a report of birds, or takes that back; reads a label."""
    desk = Desk.of(session, "birds", told.by, json=json)
    if told.what is None:
        _show(desk)
    elif told.what == "label":
        _label(desk, told)
    elif told.what in _CHANGES:
        change(desk, told.what, " ".join(told.detail), told.last)
    elif told.what in BIRD_KINDS:
        _make(desk, told)
    else:
        desk.refuse("WHAT", f'"{told.what}"', ", ".join(_WORDS), nearest(told.what, _WORDS))


def _product(told: BirdsTyped) -> str:
    """A medicine by its name, with the note in brackets: it is no part of the name."""
    product, note = " ".join(told.detail).strip(), told.note.strip()
    return f"{product} ({note})" if product and note else product or note


def _make(desk: Desk, told: BirdsTyped) -> None:
    is_ill = told.what == "illness"
    written = ToldBirds(
        kind=str(told.what),
        coop=told.coop,
        first=told.first or "",
        last=told.last or "",
        count=told.count,
        words=told.note if is_ill else _product(told),
        signs=told.detail if is_ill else (),
        eggs=told.eggs,
        meat=told.meat,
    )
    report = read_bird_report(written, desk.household.profile, desk.today)
    if isinstance(report, tuple):
        for problem in report:
            _refuse(desk, problem, str(told.what))
        desk.typed.give_up()
    desk.typed.end_if_wrong()
    if not told.sure and (question := odd_of_birds(report, desk.today)):
        go_on_after(question)
    now = desk.session.now
    report = replace(report, said_by=desk.by, made_at=now)
    with desk.session.journal() as journal:
        number = make(journal, desk.site_id, report, now)
        known = journal.reports(desk.site_id).values()
    # An earlier medicine may withhold the eggs for longer than this one.
    same = [one for one in known if one.kind == "medicine" and one.house_id == report.house_id]
    _answer(desk, number, report, same if report.kind == "medicine" else [report])


def _answer(desk: Desk, number: int, report: Report, same: Sequence[Report]) -> None:
    records = Records(reports=tuple(same))
    first = max(report.spell.first, desk.today)
    if report.kind == "medicine" and not withheld(records, report.house_id, first):
        first = desk.today  # else "from today on" would be said of a day still to come
    lines = bird_lines(desk.household.profile, records, first)
    if desk.json:
        told = [text for line in lines for text in (line.title, line.text)]
        print(as_json(facts(number, report) | {"done": "noted", "changes": told}))
        return
    for line in lines:  # whom to ring comes before anything else
        print(wrapped(line.sentence))
        print(wrapped(line.text, indent=2))
    print(wrapped(f"Noted as {number}: {said(desk.household, report)}."))
    if report.kind == "medicine" and report.egg_days is None:
        print(f"Once you have read the label: duskfold birds label {number} --eggs DAYS")


def _refuse(desk: Desk, problem: Problem, kind: str) -> None:
    option = _OPTIONS.get(dotted(problem.key), kind)
    desk.typed.refuse(option, problem.found, problem.accepted, problem.hint)


def _label(desk: Desk, told: BirdsTyped) -> None:
    try:
        egg_days = read_days(told.eggs)
    except Unreadable as unreadable:
        found = f'"{told.eggs}"' if told.eggs else "nothing"
        desk.typed.refuse("--eggs", found, unreadable.accepted)
        egg_days = 0  # for nothing: the change ends

    change(
        desk,
        "label",
        " ".join(told.detail),
        None,
        lambda journal, site_id, number, by: label(journal, site_id, number, egg_days, by),
    )


def _show(desk: Desk) -> None:
    with desk.session.journal() as journal:
        every = journal.reports(desk.site_id)
    reports = {number: one for number, one in every.items() if one.kind in BIRD_KINDS}
    if desk.json:
        print(as_json({"reports": [facts(number, one) for number, one in reports.items()]}))
        return
    records = Records(reports=tuple(reports.values()))
    for line in bird_lines(desk.household.profile, records, desk.today):
        print(wrapped(line.sentence))
        print(wrapped(line.text, indent=2))
    rows = [
        (str(number), said(desk.household, report), report.said_by)
        for number, report in reports.items()
    ]
    print(table(rows, ("no.", "reported", "by")) if rows else "Nothing is reported of the birds.")
