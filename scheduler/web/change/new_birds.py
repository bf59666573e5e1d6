"""Which birds live in a house that is added: some that move in, or others that are new."""

from collections.abc import Callable, Mapping
from dataclasses import replace
from datetime import date

from scheduler.profile.change import Add, Change, Set
from scheduler.profile.raw_tables import names_of
from scheduler.profile.typed_value import Conventions
from scheduler.web.change.addresses import NEW, name_of
from scheduler.web.change.cards import Card, Tables
from scheduler.web.change.ending import emptied
from scheduler.web.change.inputs import Form, Input, Wanted, read_card
from scheduler.wording.web.change import NewBirds

WHO = "flock/+"
_KEYS = ("name", "hens", "roosters", "young", "others", "kind", "hatched", "arrived")
_CARD = Card(where=("flock",), title="", keys=_KEYS, deed="add")


def inputs(  # noqa: PLR0913, PLR0917 - what the inputs of a card are made of
    inputs_of: Callable[..., tuple[Input, ...]],
    tables: Tables,
    by: Conventions,
    today: date,
    typed: Form | None,
    wrong: Mapping[str, str],
) -> tuple[Input, ...]:
    """Whether birds move in, and which; else the inputs of new ones."""
    chosen = (typed or {}).get(WHO, [""])[-1]
    known = [("", NewBirds.new()), *names_of(tables, "flock").items()]
    who = Input(
        name=WHO,
        id=WHO,
        kind="choice",
        label=NewBirds.who(),
        purpose=NewBirds.purpose(),
        value=chosen,
        options=tuple((value, title, value == chosen) for value, title in known),
    )
    return (who, *inputs_of(_CARD, tables, by, today, typed, wrong))


def with_birds(wanted: Wanted, tables: Tables, form: Form, by: Conventions, today: date) -> Wanted:
    """The new house with its birds: those that move in, or new ones."""
    added = (one.values.get("id", "") for one in wanted.changes if isinstance(one, Add))
    house = str(next(added, ""))
    if moves := form.get(WHO, [""])[-1]:
        into: Change = Set(("flock", moves, "coop"), house)
        return replace(wanted, changes=(*wanted.changes, into, *emptied(tables, (into,))))
    birds = read_card(_CARD, tables, form, by, today)
    wrong = {**wanted.wrong, **birds.wrong}
    named = name_of(("flock", NEW, "name"))
    if named not in form:
        form = {**form, named: [""]}
        wrong |= read_card(_CARD, tables, form, by, today).wrong
    there = tuple(
        Add(one.where, {**one.values, "coop": house})
        for one in birds.changes
        if isinstance(one, Add)
    )
    return Wanted(changes=(*wanted.changes, *there), wrong=wrong)
