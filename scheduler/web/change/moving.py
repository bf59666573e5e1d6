"""A move of the household: whether it is over, and what makes the new place the place."""

from collections.abc import Mapping
from datetime import date

from scheduler.profile.change import Change, Set, Unset
from scheduler.web.change.cards import Tables

_OF_THE_PLACE = ("latitude", "longitude", "timezone", "elevation", "west_horizon", "east_horizon")
_AS_BEFORE = ("region", "name")  # what stays where the move does not say it


def has_moved(tables: Tables, today: date) -> bool:
    """Whether a move that was told is over."""
    move = tables.get("move")
    on = move.get("on") if isinstance(move, Mapping) else None
    return isinstance(on, date) and on <= today


def settled(tables: Tables) -> tuple[Change, ...]:
    """What makes the place of the last move the place, so that another move can be told."""
    move = tables["move"]
    changes: list[Change] = [
        Set(("site", key), move[key]) if key in move else Unset(("site", key))
        for key in _OF_THE_PLACE
    ]
    changes += [Set(("site", key), move[key]) for key in _AS_BEFORE if key in move]
    if "climate" in tables and move.get("same_climate") is not True:
        changes.append(Unset(("climate",)))
    return (*changes, Unset(("move",)))
