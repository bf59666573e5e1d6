"""The inputs of a card: what each shows, what was typed into it, and what that changes."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, time
from typing import Any

from pydantic_core import PydanticUndefined

from scheduler.profile.change import Add, Change, Set
from scheduler.profile.change import Unset as LeaveOut
from scheduler.profile.changeable import Changeable, changeable_or_fail
from scheduler.profile.every_key import ProfileKey
from scheduler.profile.measures import KNOWN
from scheduler.profile.prepare import id_of
from scheduler.profile.problem import Problem
from scheduler.profile.raw_tables import TomlValue, Where, inner, names_of, path_of, things
from scheduler.profile.shown_units import ShownUnit, shown_unit, with_unit
from scheduler.profile.typed_value import (
    NO,
    NOTHING,
    YES,
    Conventions,
    Typed,
    read_typed,
    show_typed,
)
from scheduler.profile.words import capitalized
from scheduler.web import report_forms
from scheduler.web.change.addresses import name_of
from scheduler.web.change.cards import Card, Tables
from scheduler.web.change.moving import settled
from scheduler.wording.profile.problem_words import Explained
from scheduler.wording.web.change import Answers, UnitsTyped
from scheduler.wording.web.reports import WrongReport
from scheduler.wording.words import Words, every

Form = Mapping[str, Sequence[str]]
_LONGEST_TYPED = 400
_OF_A_HOUSE = 3  # parts of ("coop", "walnut", "lockup")


@dataclass(frozen=True, slots=True, kw_only=True)
class Input:
    """One input as a page shows it; `options` are values, what each is called, and if it is so."""

    name: str
    id: str
    kind: str
    label: str
    purpose: str
    value: str
    options: tuple[tuple[str, str, bool], ...] = ()
    unit: str = ""
    measure: str = ""
    has_none: bool = False
    is_none: bool = False
    is_needed: bool = False
    is_lesser: bool = False
    wrong: str = ""

    @property
    def described_by(self) -> str:
        """The ids of what is said of it below: what is wrong, and what it is for."""
        said = (("wrong", self.wrong), ("help", self.purpose))
        return " ".join(f"{what}-{self.id}" for what, text in said if text)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What was typed into a card: the changes that it asks for, and what is wrong, by input."""

    changes: tuple[Change, ...]
    wrong: Mapping[str, str]


def inputs_of(  # noqa: PLR0913, PLR0917 - a card, what it stands in, and what was made of it
    card: Card,
    tables: Tables,
    by: Conventions,
    today: date,
    typed: Form | None = None,
    wrong: Mapping[str, str] | None = None,
) -> tuple[Input, ...]:
    """Its inputs: with what was typed, where something was, else with what the profile has."""
    found = []
    for key in card.keys:
        where = card.input_at(key)
        name = name_of(where)
        shown = shown_at(card, tables, where, today)
        said = _said(typed, where, shown) if typed is not None else None
        value = shown if said is None else said
        one = _input(where, value, tables, by, (wrong or {}).get(name, ""))
        is_again = card.deed == "add" and one.name == name_of((*card.where, key))
        found.append(
            replace(one, is_lesser=key in card.lesser, id=f"again/{name}" if is_again else name)
        )
    return tuple(found)


def _input(where: Where, value: Typed, tables: Tables, by: Conventions, wrong: str) -> Input:
    one = changeable_or_fail(where)
    key, region = one.of, by.region
    texts = (value,) if isinstance(value, str) else tuple(value)
    is_known = any(texts)
    return Input(
        name=name_of(where),
        id=name_of(where),
        kind="choices" if key.is_list and key.options else _kind(key),
        label=capitalized(one.label(region)),
        purpose=one.purpose(region),
        value="" if texts == (NOTHING,) else ", ".join(texts),
        options=_options(one, texts, tables),
        unit=_sign(shown_unit(key, by.units, region)),
        measure="" if is_known else one.measure(region),
        has_none=key.has_none,
        is_none=key.has_none and texts == (NOTHING,),
        is_needed=key.is_needed,
        wrong=wrong,
    )


def _sign(unit: ShownUnit) -> str:
    """What the unit is called beside a label."""
    if named := _named(unit):
        return named()
    return KNOWN[unit].sign(number="").strip() if unit else ""


def _named(unit: ShownUnit) -> Words | None:
    """Words of the units that no sum of ours is told in."""
    return every(UnitsTyped).get(unit.replace(" ", "_"))


def _kind(key: ProfileKey) -> str:
    return "choice" if key.kind in {"switch", "house", "person"} else key.kind


def _options(
    one: Changeable, chosen: tuple[str, ...], tables: Tables
) -> tuple[tuple[str, str, bool], ...]:
    key = one.of
    if key.kind in {"house", "person"}:
        kind = "coop" if key.kind == "house" else "person"
        known = list(names_of(tables, kind).items())
    elif key.kind == "switch":
        known = [(YES, Answers.yes()), (NO, Answers.no())]
    else:
        known = [(option, one.option(option)) for option in key.options]
    has_blank = known and not key.is_list and default_of(key) == "" and not key.is_needed
    blank = [("", Answers.usual() if key.key[0] == "cares" else Answers.unsaid())]
    listed = [*(blank if has_blank else ()), *known]
    return tuple((value, title, value in chosen or not (value or any(chosen)))
                 for value, title in listed)  # fmt: skip


def shown_at(card: Card, tables: Tables, where: Where, today: date) -> Typed:
    """What the input shows before anybody types: what the profile has, else what stands for it."""
    key = changeable_or_fail(where).of
    if card.deed == "add":
        return today.isoformat() if key.key == ("flock", "arrived") else default_of(key)
    value = _value_at(tables, where)
    if value is None and _goes_by_the_sites(tables, where):
        value = inner(tables, where[2:])
    return default_of(key) if value is None else _shown(where, value)


def _shown(where: Where, value: Any) -> Typed:  # noqa: ANN401 - TOML gives any type
    try:
        return show_typed(where, value)
    except (TypeError, ValueError):  # a file that was changed by hand
        return str(value)


def _value_at(tables: Tables, where: Where) -> Any:  # noqa: ANN401 - as above
    path = path_of(where, tables)
    return inner(tables, path) if path else None


def _goes_by_the_sites(tables: Tables, where: Where) -> bool:
    """Whether it is a time of a house that has no times of its own."""
    is_rule = where[0] == "coop" and len(where) > _OF_A_HOUSE and where[2] in {"lockup", "letout"}
    return is_rule and _value_at(tables, where[:_OF_A_HOUSE]) is None


def default_of(key: ProfileKey) -> str:
    """What stands for it where the profile says nothing, as it is typed."""
    value = key.field.default
    if value is None and key.has_none:
        return NOTHING
    if value is None or value is PydanticUndefined or isinstance(value, tuple):
        return ""
    if isinstance(value, bool):
        return YES if value else NO
    if isinstance(value, time):
        return f"{value:%H:%M}"
    number = f"{value:g}" if isinstance(value, int | float) else str(value)
    return with_unit(number, "min") if key.dimension == "duration" else number


def read_card(card: Card, tables: Tables, form: Form, by: Conventions, today: date) -> Wanted:
    """What that form asks to be changed; an input that it has not sent stays as it is."""
    values: dict[str, TomlValue] = {}
    changes: list[Change] = []
    wrong: dict[str, str] = {}
    for key in card.keys:
        where = card.input_at(key)
        shown = shown_at(card, tables, where, today)
        said = _said(form, where, shown)
        if said is None or (card.deed == "change" and _same(said, shown)):
            continue
        value = read_typed(where, said, by)
        if isinstance(value, Problem):
            wrong[name_of(where)] = cannot_be_used(value)
        elif card.deed == "add":
            if value is not None and not (_same(said, default_of(changeable_or_fail(where).of))):
                values[key] = value
        else:
            changes.append(LeaveOut(where) if value is None else Set(where, value))
    if card.deed == "add" and card.where == ("move",):
        changes = [*settled(tables), *(Set(("move", key), one) for key, one in values.items())]
    elif card.deed == "add" and not wrong:
        changes = [Add(card.where, {**values, **_id_for(card, values, tables)})]
    elif changes and (rule := _rule_to_begin_with(card, tables)):
        changes.insert(0, rule)
    return Wanted(changes=tuple(changes), wrong=wrong)


def _id_for(card: Card, values: Mapping[str, TomlValue], tables: Tables) -> dict[str, TomlValue]:
    """A written id that nothing of its kind has, for a thing with a name."""
    kind = str(card.where[0])
    if len(card.where) > 1 or not isinstance(values.get("name"), str):
        return {}
    made, taken = id_of(kind, str(values["name"])), {str(one["id"]) for one in things(tables, kind)}
    numbered = (f"{made[:36]}-{number}" for number in range(2, len(taken) + 3))
    return {"id": next(one for one in (made, *numbered) if one not in taken)}


def _rule_to_begin_with(card: Card, tables: Tables) -> Change | None:
    """The site's times, where a house gets times of its own: those that stay must not change."""
    if not _goes_by_the_sites(tables, (*card.where, "")):
        return None
    sites = inner(tables, card.where[2:])
    return Set(card.where, dict(sites)) if sites else None


def _said(form: Form, where: Where, shown: Typed) -> Typed | None:
    """What the form has for it; None where it has nothing of it.

    A time that was typed anew counts more than the mark beside it that says "none".
    """
    sent = form.get(name_of(where))
    if sent is None:
        return None
    key = changeable_or_fail(where).of
    texts = [one.strip()[:_LONGEST_TYPED] for one in sent]
    if key.is_list and key.options:
        return tuple(one for one in texts if one)
    if key.has_none and NOTHING in texts:
        times = [one for one in texts if one not in {"", NOTHING, shown}]
        return times[-1] if times else NOTHING
    return texts[-1] if texts else ""


def _same(said: Typed, shown: Typed) -> bool:
    one, other = ([text] if isinstance(text, str) else list(text) for text in (said, shown))
    joined = ", ".join(other)
    return one == other or [*filter(None, one)] == [*filter(None, other)] or one == [joined]


def cannot_be_used(problem: Problem) -> str:
    """What is said beside the input."""
    if problem.found == Explained.missing():
        return WrongReport.empty(accepted=problem.accepted)
    # A hint that shows a key with its value is for whoever writes the file.
    hint = "" if "=" in problem.hint else problem.hint
    return report_forms.cannot_be_used(problem.found, problem.accepted, hint)
