"""What the profile holds, on pages: a section each, changed by one card at a time."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from itertools import groupby
from urllib.parse import quote

from scheduler.profile.change import changed
from scheduler.profile.changeable import Section
from scheduler.profile.difference import Difference, is_personal
from scheduler.profile.package_data import zone
from scheduler.profile.problem import Problem
from scheduler.profile.raw_tables import named_tables
from scheduler.profile.typed_value import NO, Conventions
from scheduler.profile.words import capitalized, words
from scheduler.service.diary import Refused
from scheduler.service.household.keep_profile import (
    Editable,
    Kept,
    NotDone,
    Overtaken,
    Preview,
    Unusable,
)
from scheduler.service.household.marked_text import marked_text
from scheduler.service.household.versions import versions
from scheduler.service.jobs.every_job import ListedJob, every_job
from scheduler.web.change import job_cards, new_birds, place_named, told_differences
from scheduler.web.change.addresses import name_of, where_of
from scheduler.web.change.cards import SECTIONS, Card, Tables, cards_of
from scheduler.web.change.ending import emptied, emptied_says, end_changes, end_says, end_title
from scheduler.web.change.inputs import Form, Input, Wanted, cannot_be_used, inputs_of, read_card
from scheduler.web.change.moving import has_moved
from scheduler.web.change.tonight_then import tonight_then
from scheduler.web.last_results import LastResults
from scheduler.web.request_and_answer import Answer, Visit, go
from scheduler.web.who_may_open import matter_of
from scheduler.wording.sources.attribution import PlacesAttribution
from scheduler.wording.spoken import long_day, short_day
from scheduler.wording.web.change import (
    AddressSays,
    ChangeNotices,
    ChangeSections,
    JobLines,
    MoveSays,
    SectionHolds,
)
from scheduler.wording.words import every

ORDER: tuple[Section, ...] = (
    "birds", "house", "run", "people", "alerts", "jobs", "place", "weather", "server",
)  # fmt: skip
_NAMES, _HOLDS = every(ChangeSections), every(SectionHolds)
_OF_FORM = ("base", "card", "do", "ends")
_MOST_IN_SUMMARY = 4
_YEARS_KEPT = 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """A section as it is looked at: the newest text, and by which conventions it is typed."""

    visit: Visit
    section: Section
    editable: Editable

    @classmethod
    def of(cls, visit: Visit, section: Section) -> "Desk":
        """Reads the newest text."""
        return cls(visit=visit, section=section, editable=visit.kept_profile.editable(visit.now))

    @property
    def tables(self) -> Tables:
        """The tables of the newest text."""
        return named_tables(self.editable.text)

    @property
    def by(self) -> Conventions:
        """How this household writes."""
        profile = self.visit.profile
        return Conventions(units=profile.units, region=profile.site.region, zone=zone)

    @property
    def cards(self) -> Sequence[Card]:
        """Every card of the section."""
        moved = has_moved(self.tables, self.visit.today)
        return cards_of(self.section, self.tables, self.by.region, has_moved=moved)

    def card(self, card_id: str) -> Card | None:
        """The card of that id; None where there is none any more."""
        if self.section == "jobs" and card_id.startswith("cares/"):
            job = card_id.partition("/")[2]
            return job_cards.card_of(self.visit.standing.household, self.tables, job)
        return next((one for one in self.cards if one.id == card_id), None)

    def wanted(self, card: Card, form: Form, *, ends: bool) -> Wanted:
        """What the form asks of the card."""
        if ends:
            return Wanted(changes=end_changes(card, self.tables), wrong={})
        read = place_named.read_place_card if place_named.asks(card) else read_card
        wanted = read(card, self.tables, form, self.by, self.visit.today)
        if card.deed == "add" and card.where == ("coop",):
            return new_birds.with_birds(wanted, self.tables, form, self.by, self.visit.today)
        return replace(wanted, changes=(*wanted.changes, *emptied(self.tables, wanted.changes)))

    def lines(self, differences: Sequence[Difference], *texts: str) -> list[str]:
        """Those differences in words."""
        household = self.visit.standing.household
        return told_differences.told(differences, household, self.editable.text, *texts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Notice:
    """What stands above the cards: a sentence, and what it tells of, line by line."""

    text: str
    lines: Sequence[str] = ()
    is_wrong: bool = False


def overview(visit: Visit, wrong: str = "") -> Answer:
    """Every section that whoever looks may change; `wrong` says why nothing was changed."""
    editable = visit.kept_profile.editable(visit.now)
    trade_words = words(visit.profile.site.region)
    sections = [
        (f"/change/{one}", _NAMES[one](), _HOLDS[one](**trade_words))
        for one in ORDER
        if not visit.may_not(matter_of(f"/change/{one}") or "flocks")
    ]
    facts = {"sections": sections, "unknown": wrong, **state_of(editable)}
    return Answer(template="change.html", facts=facts, status=422 if wrong else 200)


def state_of(editable: Editable) -> dict[str, object]:
    """Whether anything can be changed, and what is in the way."""
    return {
        "base": editable.mark,
        "read_only": editable.read_only,
        "mistakes": [(one.line, cannot_be_used(one)) for one in editable.problems],
        "number": editable.number,
        "can_change": not editable.read_only and not editable.problems,
    }


def section(visit: Visit) -> Answer | None:
    """The page of a section."""
    found = _section_of(visit)
    return None if found is None else _show(Desk.of(visit, found), visit.query.get("open", ""))


def job(visit: Visit) -> Answer | None:
    """The page of one job of the catalogue."""
    desk = Desk.of(visit, "jobs")
    card_id = f"cares/{visit.path['job']}"
    return None if desk.card(card_id) is None else _show(desk, card_id)


def _section_of(visit: Visit) -> Section | None:
    return next((one for one in SECTIONS if one == visit.path["section"]), None)


def _show(  # noqa: PLR0913 - a card, and what came of its form
    desk: Desk,
    card_id: str = "",
    *,
    typed: Form | None = None,
    wrong: Mapping[str, str] | None = None,
    notice: Notice | None = None,
    status: int = 200,
) -> Answer:
    visit, tables = desk.visit, desk.tables
    cards = desk.cards
    is_one_job = card_id.startswith("cares/")
    if is_one_job and (card := desk.card(card_id)):
        cards = (card,)
    shown = [
        _card(desk, one, tables, is_open=one.id == card_id, typed=typed, wrong=wrong)
        for one in cards
    ]
    grouped = groupby(shown, key=lambda one: one["thing"])
    facts = {
        "section": desk.section,
        "title": cards[0].title if is_one_job else _NAMES[desk.section](),
        "groups": [(thing, list(each)) for thing, each in grouped],
        "jobs": (
            job_cards.by_round(visit.standing.household)
            if desk.section == "jobs" and not is_one_job
            else ()
        ),
        "is_one_job": is_one_job,
        "tonight": (
            tonight_then(visit, visit.standing.household, visit.today)
            if desk.section == "alerts"
            else ()
        ),
        "notice": notice,
        "undo": _undo(visit),
        "credit": PlacesAttribution.place_names() if desk.section == "place" else "",
        **state_of(desk.editable),
    }
    return Answer(template="change-section.html", facts=facts, status=status)


def _card(  # noqa: PLR0913 - as above
    desk: Desk,
    card: Card,
    tables: Tables,
    *,
    is_open: bool,
    typed: Form | None,
    wrong: Mapping[str, str] | None,
) -> dict[str, object]:
    mine = typed if is_open else None
    inputs = inputs_of(card, tables, desk.by, desk.visit.today, mine, wrong if is_open else None)
    if card.deed == "add" and card.where == ("coop",):
        inputs += new_birds.inputs(inputs_of, tables, desk.by, desk.visit.today, mine, wrong or {})
    if place_named.asks(card):
        said = (wrong or {}) if is_open else {}
        inputs = place_named.with_name(inputs, card, tables, desk.visit.today, mine, said)
    is_alone = desk.visit.query.get("open") is None and not desk.visit.said("card")
    near = place_named.near_so_far(card, tables, desk.visit.today)
    is_there = card.deed == "change" and (card.where != ("move",) or "move" in tables)
    return {
        "id": card.id,
        "title": card.title,
        "thing": card.thing,
        "adds": card.deed == "add",
        "has_lesser": any(one.is_lesser for one in inputs),
        "is_lesser_open": any(one.is_lesser and one.wrong for one in inputs),
        "inputs": inputs,
        "summary": "" if card.deed == "add" else _summary(inputs, near),
        "to_measure": sum(1 for one in inputs if one.measure) if is_there else 0,
        "is_open": is_open or (card.is_open and is_alone),
        "end": end_title(card) if card.can_end else "",
    }


def _summary(inputs: Sequence[Input], near: str) -> str:
    """The first few answers, so that a folded card says what is in it."""
    told = [near] if near else []
    for one in inputs:
        if one.name.endswith("/name") or one.is_lesser or is_personal(where_of(one.name)):
            continue  # the name stands above already, and an address is nobody's to read in passing
        chosen = [title for value, title, is_it in one.options if is_it and value not in {"", NO}]
        said = ", ".join(chosen) if one.options else one.value
        told += [said] if said else []
    return ", ".join(told[:_MOST_IN_SUMMARY])


def _undo(visit: Visit) -> dict[str, object] | None:
    """What takes the change back that was just kept; None where something came since."""
    kept = visit.query.get("kept", "")
    known = versions(visit.journal, visit.profile.site.id)[:2] if kept else ()
    if not known or str(known[0].number) != kept:
        return None
    before = known[1] if len(known) > 1 and known[1].can_be_put_back else None
    return {"number": before.number if before else 0, "is_new": True}


def sent(visit: Visit) -> Answer | None:
    """A card's form: first what it would change, in words, then kept."""
    section = _section_of(visit)
    if section is None:
        return None
    desk, card_id = Desk.of(visit, section), visit.said("card")
    form = {name: each for name, each in visit.form.items() if name not in _OF_FORM}
    ends, do = visit.said("ends") == "1", visit.said("do")
    card = desk.card(card_id)
    if card is None:
        gone = Notice(text=ChangeNotices.thing_gone(), is_wrong=True)
        return _show(desk, notice=gone, status=409)
    if visit.said("base") != desk.editable.mark and desk.editable.mark:
        return _overtaken(desk, card, form)
    wanted = desk.wanted(card, form, ends=ends)
    wanted = replace(wanted, wrong={**_same_name(desk, card, form), **wanted.wrong})
    if do == "edit":
        return _show(desk, card.id, typed=form)
    if wanted.wrong:
        notice = Notice(text=ChangeNotices.some_wrong(), is_wrong=True)
        return _show(desk, card.id, typed=form, wrong=wanted.wrong, notice=notice, status=422)
    edit = partial(changed, changes=wanted.changes)
    kept_profile, base = visit.kept_profile, visit.said("base")
    found: Kept | Preview | NotDone
    if do == "keep":
        found = kept_profile.keep(visit.speaker, base, edit)
    else:
        found = kept_profile.preview(visit.speaker, base, edit)
    return _answer(desk, card, form, found, edit(desk.editable.text), ends=ends)


def _same_name(desk: Desk, card: Card, form: Form) -> dict[str, str]:
    """That another house or person is called so already: aloud nobody could tell them apart."""
    kind, thing_id = str(card.where[0]) if card.where else "", card.where[1:2]
    things = desk.tables.get(kind)
    if kind not in {"coop", "person"} or not isinstance(things, list):
        return {}
    name = name_of(card.input_at("name"))
    typed = " ".join((form.get(name) or [""])[-1].split())
    others = [one.get("name") for one in things if (one.get("id"),) != thing_id]
    is_taken = typed.casefold() in {str(other).casefold() for other in others}
    return {name: ChangeNotices.same_name(name=typed)} if typed and is_taken else {}


def _answer(  # noqa: PLR0913 - a form, and what came of it
    desk: Desk,
    card: Card,
    form: Form,
    found: Kept | Preview | NotDone,
    text: str,
    *,
    ends: bool,
) -> Answer:
    match found:
        case Kept():
            return go(_after(desk, card, found.number, ends=ends))
        case Preview():
            return _confirm(desk, card, form, found, ends=ends)
        case Overtaken():
            return _overtaken(desk, card, form)
        case Refused():
            notice = Notice(text=found.question, is_wrong=True)
            return _show(desk, card.id, typed=form, notice=notice, status=422)
        case Unusable():
            wrong, others = _beside(card, form, found, text)
            notice = Notice(text=ChangeNotices.some_wrong(), lines=others, is_wrong=True)
            return _show(desk, card.id, typed=form, wrong=wrong, notice=notice, status=422)


def _after(desk: Desk, card: Card, number: int, *, ends: bool) -> str:
    """Where a change that was kept is shown, with what takes it back."""
    if card.where[:1] == ("cares",):
        return f"/change/jobs/{card.where[1]}?kept={number}"
    if ends or card.deed == "add":
        return f"/change/{desk.section}?kept={number}"
    # Without going to the card: what takes the change back stands at the top.
    return f"/change/{desk.section}?kept={number}&open={quote(card.id)}"


def _confirm(desk: Desk, card: Card, form: Form, found: Preview, *, ends: bool) -> Answer:
    if not found.differences:
        notice = Notice(text=ChangeNotices.nothing())
        return _show(desk, card.id, typed=form, notice=notice)
    day = desk.visit.today
    before = tonight_then(desk.visit, desk.visit.standing.household, day)
    then = tonight_then(desk.visit, found.household, day)
    says = end_says(card, desk.tables) if ends else emptied_says(desk.tables, found.differences)
    base_url = found.household.profile.web.base_url
    if base_url and base_url != desk.visit.profile.web.base_url:
        says.append(AddressSays.sign_in(address=base_url))
    on_the_day = ""
    if card.where == ("move",) and not ends and (move := found.household.profile.move):
        on_the_day = MoveSays.on_the_day(day=long_day(move.on))
        says.append(MoveSays.until_then(day=long_day(move.on)))
        then = tonight_then(desk.visit, found.household, move.on)
    facts = {
        "section": desk.section,
        "title": _NAMES[desk.section](),
        "lines": desk.lines(found.differences, found.household.text),
        "place": "" if ends else _place_then(desk, card, form, found),
        "says": says,
        "on_the_day": on_the_day,
        "tonight": then if desk.section == "alerts" or then != before else (),
        "card": card.id,
        "sent": [(name, one) for name, each in form.items() for one in each],
        "ends": ends,
        "base": desk.editable.mark,
        "back": f"/change/jobs/{card.where[1]}" if card.where[:1] == ("cares",) else "",
    }
    return Answer(template="change-confirm.html", facts=facts)


def _place_then(desk: Desk, card: Card, form: Form, found: Preview) -> str:
    profile, today = found.household.profile, desk.visit.today
    return place_named.told(card, form, found.differences, profile, today)


def _overtaken(desk: Desk, card: Card, form: Form) -> Answer:
    """What somebody else did since the form was made, above it with what was typed into it."""
    base = desk.visit.said("base")
    found = desk.visit.kept_profile.preview(desk.visit.speaker, base, str)
    was = marked_text(desk.visit.journal, base)
    if isinstance(found, Refused):
        notice = Notice(text=found.question, is_wrong=True)
        return _show(desk, card.id, typed=form, notice=notice, status=409)
    lines: list[str] = []
    who = ""
    if isinstance(found, Overtaken):
        lines, who = desk.lines(found.since, was or desk.editable.text), found.who
    said = ChangeNotices.overtaken(who=who) if who else ChangeNotices.overtaken_by_hand()
    typed = _typed_anew(desk, card, form, was) if was else form
    return _show(
        desk,
        card.id,
        typed=typed,
        notice=Notice(text=said, lines=lines, is_wrong=True),
        status=409,
    )


def _typed_anew(desk: Desk, card: Card, form: Form, was: str) -> Form:
    """Only what differed from the page that the form was made from: the rest is as it is now."""
    shown = inputs_of(card, named_tables(was), desk.by, desk.visit.today)
    read = inputs_of(card, named_tables(was), desk.by, desk.visit.today, form)
    pairs = zip(shown, read, strict=True)
    touched = {
        new.name
        for old, new in pairs
        if (old.value, old.options, old.is_none) != (new.value, new.options, new.is_none)
    }
    touched |= place_named.names(card)
    return {name: each for name, each in form.items() if name in touched}


def _beside(card: Card, form: Form, found: Unusable, text: str) -> tuple[dict[str, str], list[str]]:
    """What is wrong by its input, and what is wrong elsewhere."""
    wrong: dict[str, str] = {}
    others = []
    tables = named_tables(text)
    for one in found.problems:
        key = next((part for part in reversed(one.key) if isinstance(part, str)), "")
        if key in card.keys and _is_of(card, one, tables):
            wrong.setdefault(place_named.beside(card, key, form), cannot_be_used(one))
        else:
            others.append(cannot_be_used(one))
    return wrong, others


def _is_of(card: Card, problem: Problem, tables: Tables) -> bool:
    """Whether that is wrong with what the card changes, or with the last of what it adds to."""
    if not card.where or problem.key[:1] != card.where[:1]:
        return not card.where
    listed = tables.get(str(card.where[0]))
    if not isinstance(listed, list) or len(problem.key) == 1:
        return True
    place = problem.key[1]
    if len(card.where) == 1:
        return place == len(listed) - 1
    return isinstance(place, int) and listed[place].get("id") == card.where[1]


class JobsByDay:
    """The list of jobs by when each comes next; it plans a year, so the last few are kept."""

    def __init__(self) -> None:
        self._kept = LastResults[tuple[ListedJob, ...]](_YEARS_KEPT)

    def show(self, visit: Visit) -> Answer:
        """The list, by the profile in force."""
        standing, today = visit.standing, visit.today
        household = standing.household
        key = (household.text, standing.records, today)
        found = self._kept.get(key, lambda: every_job(household, standing.records, today))
        lines = [
            job_cards.JobLine(
                title=capitalized(one.title),
                text=_next(visit, one),
                address=job_cards.address_of(household, one.id),
            )
            for one in found
        ]
        return Answer(template="change-jobs.html", facts={"lines": lines})


def _next(visit: Visit, one: ListedJob) -> str:
    if not one.on:
        return JobLines.off()
    often = job_cards.often(visit.standing.household, one.id)
    if one.next_due == visit.today:
        return JobLines.today(often=often)
    if one.next_due:
        return JobLines.next(often=often, day=short_day(one.next_due))
    if one.waits:
        return JobLines.waits(often=often, waits=one.waits)
    return JobLines.never(often=often)
