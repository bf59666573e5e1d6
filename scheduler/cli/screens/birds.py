"""`duskfold birds`: a broody hen, an illness, a medicine and until when its eggs are withheld."""

from collections.abc import Sequence
from dataclasses import replace

from scheduler.cares.birds_today import bird_lines
from scheduler.cares.records import BIRD_KINDS, Records, Report
from scheduler.cares.report_words import words_of
from scheduler.cares.withheld_eggs import withheld
from scheduler.cli.compose import Session
from scheduler.cli.faults import go_on_after
from scheduler.cli.screens.facts import done_facts
from scheduler.cli.screens.said_of_reports import Desk, change, facts, listed
from scheduler.cli.screens.tables import as_json, wrapped
from scheduler.profile.problem import Unreadable, nearest
from scheduler.service.reports.read_bird_report import (
    ToldBirds,
    odd_of_birds,
    read_bird_report,
    read_days,
)
from scheduler.service.reports.report import label, make
from scheduler.wording.cli.help import Metavar
from scheduler.wording.cli.said import BirdsScreen, ReportsScreen
from scheduler.wording.spoken import in_a_row

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


def run(  # noqa: PLR0913 - what the command line said
    session: Session,
    what: str | None,
    detail: str,
    told: ToldBirds,
    *,
    last: str | None,
    by: str | None,
    sure: bool,
    json: bool,
) -> None:
    """Lists, makes, ends or undoes a report of birds, or takes that back; reads a label.

    `detail` is the signs of an illness, the name of a medicine, or a report's number.
    """
    desk = Desk.of(session, "birds", by, json=json)
    if what is None:
        _show(desk)
    elif what == "label":
        _label(desk, detail, told.eggs)
    elif what in _CHANGES:
        change(desk, what, detail, last)
    elif what in BIRD_KINDS:
        if what != "illness":
            told = replace(told, words=_product(detail.strip(), told.words.strip()), signs=())
        _make(desk, told, sure=sure)
    else:
        desk.refuse_word(Metavar.what(), what, in_a_row(_WORDS), nearest(what, _WORDS))


def _product(name: str, note: str) -> str:
    """A medicine by its name, with the note in brackets: it is no part of the name."""
    if name and note:
        return BirdsScreen.medicine_with_note(medicine=name, note=note)
    return name or note


def _make(desk: Desk, told: ToldBirds, *, sure: bool) -> None:
    report = read_bird_report(told, desk.household.profile, desk.today)
    if isinstance(report, tuple):
        desk.refuse_all(report, _OPTIONS, told.kind)
    desk.typed.end_if_wrong()
    if not sure and (question := odd_of_birds(report, desk.today)):
        go_on_after(question)
    now = desk.session.now
    report = replace(report, said_by=desk.by, made_at=now)
    with desk.session.journal() as journal:
        number = make(journal, desk.site_id, report, now, desk.speaker.person_id)
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
        print(as_json(facts(number, report) | done_facts("noted") | {"changes": told}))
        return
    for line in lines:  # whom to ring comes before anything else
        print(wrapped(line.sentence))
        print(wrapped(line.text, indent=2))
    noted = words_of(desk.household.profile, report)
    print(wrapped(ReportsScreen.noted(number=number, report=noted)))
    if report.kind == "medicine" and report.egg_days is None:
        print(BirdsScreen.read_the_label(number=number))


def _label(desk: Desk, number: str, eggs: str) -> None:
    try:
        egg_days = read_days(eggs)
    except Unreadable as unreadable:
        desk.typed.refuse_word_or_nothing("--eggs", eggs, unreadable.accepted)
        egg_days = 0  # for nothing: the change ends

    change(
        desk,
        "label",
        number,
        None,
        lambda journal, site_id, of, by: label(journal, site_id, of, egg_days, by),
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
    print(listed(desk.household, reports) or BirdsScreen.none())
