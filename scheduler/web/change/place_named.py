"""The place of a card by its name: what is asked, which places are offered, what it fills in."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from scheduler.profile.coordinates import read_coordinate
from scheduler.profile.difference import Difference
from scheduler.profile.problem import Problem, Unreadable
from scheduler.profile.typed_value import Conventions, read_typed
from scheduler.profile.values import Profile
from scheduler.service import place_told
from scheduler.service.find_place import places
from scheduler.web.change.addresses import name_of
from scheduler.web.change.cards import Card, Tables
from scheduler.web.change.inputs import Form, Input, Wanted, cannot_be_used, read_card, shown_at
from scheduler.web.place_typed import Choice
from scheduler.web.place_typed import read_typed as read_place_typed
from scheduler.wording.service.first_run import WrongAnswers
from scheduler.wording.web.change import PlaceNamed

_SITE, _MOVE = ("site",), ("move",)
_AT = ("latitude", "longitude")
_OF_WHERE_IT_IS = frozenset({*_AT, "timezone"})
_LONGEST = 120
_ON = name_of((*_MOVE, "on"))


def asks(card: Card) -> bool:
    """Whether the card holds a place."""
    return card.where in {_SITE, _MOVE}


def names(card: Card) -> frozenset[str]:
    """The names of its own inputs."""
    return frozenset({_typed(card), _choice(card)}) if asks(card) else frozenset()


def beside(card: Card, key: str, form: Form) -> str:
    """The input beside which it stands what is wrong with that key: the name, where it gave it."""
    is_named = asks(card) and key in _OF_WHERE_IT_IS and _last(form, _typed(card))
    return _typed(card) if is_named else name_of(card.input_at(key))


def with_name(  # noqa: PLR0913, PLR0917 - a card, what it stands in, and what was made of it
    inputs: Sequence[Input],
    card: Card,
    tables: Tables,
    today: date,
    typed: Form | None,
    wrong: Mapping[str, str],
) -> tuple[Input, ...]:
    """The inputs of the card with its place by name before the coordinates."""
    form = typed or {}
    near = near_so_far(card, tables, today)
    name, choice = _typed(card), _choice(card)
    again = "again/" if card.deed == "add" else ""
    mine = [
        Input(
            name=name,
            id=again + name,
            kind="text",
            label=PlaceNamed.label(),
            purpose=PlaceNamed.other(near=near) if near else PlaceNamed.purpose(),
            value=_last(form, name),
            wrong=wrong.get(name, ""),
        )
    ]
    found = read_place_typed(_last(form, name), "")
    if isinstance(found, Choice):
        chosen = _last(form, choice)
        mine.append(
            Input(
                name=choice,
                id=again + choice,
                kind="one",
                label=PlaceNamed.which(),
                purpose="",
                value=chosen,
                options=tuple((value, label, value == chosen) for value, label in found.options),
                wrong=wrong.get(choice, ""),
            )
        )
    first = card.keys.index(_AT[0])
    return (*inputs[:first], *mine, *inputs[first:])


def read_place_card(card: Card, tables: Tables, form: Form, by: Conventions, today: date) -> Wanted:
    """What the form asks of the card, with what follows from the name of a place in it."""
    filled, wrong = _filled(card, tables, form, today)
    wanted = read_card(card, tables, {**form, **filled}, by, today)
    others = {
        name: text
        for name, text in wanted.wrong.items()
        if not (wrong and name in {name_of(card.input_at(key)) for key in _AT})
    }
    return replace(wanted, wrong={**_no_date(card, form, by, today), **others, **wrong})


def told(
    card: Card, form: Form, differences: Sequence[Difference], profile: Profile, today: date
) -> str:
    """The place that it would be, in a sentence, and when it gets dark there; "" for none new."""
    is_move = card.where == _MOVE
    touched = {one.where[-1] for one in differences if one.where[:1] == _SITE}
    if not asks(card) or not (is_move or touched & _OF_WHERE_IT_IS):
        return ""
    move = profile.move
    site = move.place(profile.site) if is_move and move else profile.site
    spot = place_told.Spot(
        latitude_deg=site.latitude_deg,
        longitude_deg=site.longitude_deg,
        zone=site.zone,
        region=site.region,
    )
    said = place_told.where(spot, _near(card, form, spot))
    if not is_move and move and move.on <= today:
        return said
    day = max(move.on, today) if is_move and move else today
    return PlaceNamed.told(where=said, dusk=place_told.dusk(spot, day, today))


def near_so_far(card: Card, tables: Tables, today: date) -> str:
    """The name of what lies nearest to where the card has it; "" where it has nothing yet."""
    if not asks(card) or card.deed == "add":
        return ""
    latitude, longitude = (str(shown_at(card, tables, (*card.where, key), today)) for key in _AT)
    try:
        at = read_coordinate(latitude, "latitude"), read_coordinate(longitude, "longitude")
    except Unreadable:
        return ""
    near = places().near(*at)
    return near.name if near else ""


def _filled(
    card: Card, tables: Tables, form: Form, today: date
) -> tuple[Mapping[str, Sequence[str]], Mapping[str, str]]:
    """What the name fills in, by input, and what is wrong with it."""
    shown = {key: shown_at(card, tables, card.input_at(key), today) for key in card.keys}
    anew = {
        key
        for key in card.keys
        if (said := form.get(name_of(card.input_at(key)))) and said[-1].strip() != shown[key]
    }
    name = _typed(card)
    if not _last(form, name):
        is_nowhere = not any(shown[key] or key in anew for key in _AT)
        return {}, {name: WrongAnswers.no_place()} if is_nowhere and name in form else {}
    if anew.intersection(_AT):
        return {}, {name: PlaceNamed.not_both()}
    found = read_place_typed(_last(form, name), _last(form, _choice(card)))
    if isinstance(found, str):
        return {}, {name: found}
    if isinstance(found, Choice):
        asked = {name: found.wrong} if found.wrong else {_choice(card): WrongAnswers.no_choice()}
        return {}, asked
    follows = {**{key: found[key] for key in _AT}, "timezone": found["zone"], "elevation": ""}
    return {
        name_of(card.input_at(key)): [value] for key, value in follows.items() if key not in anew
    }, {}


def _no_date(card: Card, form: Form, by: Conventions, today: date) -> Mapping[str, str]:
    """That the day of a move is missing or is over, said at once with what else is wrong."""
    if card.where != _MOVE or _ON not in form:
        return {}
    day = read_typed((*_MOVE, "on"), _last(form, _ON), by)
    if isinstance(day, Problem):
        return {_ON: cannot_be_used(day)}
    is_over = isinstance(day, date) and day <= today
    return {_ON: PlaceNamed.is_over()} if is_over else {}


def _near(card: Card, form: Form, spot: place_told.Spot) -> str:
    found = read_place_typed(_last(form, _typed(card)), _last(form, _choice(card)))
    if isinstance(found, Mapping):
        return found["near"]
    near = places().near(spot.latitude_deg, spot.longitude_deg)
    return str(near) if near else ""


def _typed(card: Card) -> str:
    return name_of((*card.where, "typed"))


def _choice(card: Card) -> str:
    return name_of((*card.where, "choice"))


def _last(form: Form, name: str) -> str:
    return "".join(form.get(name, [""])[-1:]).strip()[:_LONGEST]
