"""Which house or person somebody means: by id or name, whatever the case and the blanks."""

import unicodedata
from collections.abc import Iterable
from typing import Protocol, TypeVar

from scheduler.profile.prepare import slug
from scheduler.profile.problem import Problem, nearest, shown
from scheduler.wording.profile.names_of_things import NobodyCalled
from scheduler.wording.spoken import in_a_row


class Named(Protocol):
    """A thing of the profile that has an id and a name."""

    @property
    def id(self) -> str:
        """The short name used in calendars."""

    @property
    def name(self) -> str:
        """What the keeper calls it."""


Thing = TypeVar("Thing", bound=Named)
NOBODY = NobodyCalled.without_people


def called(said: str, known: Iterable[Thing]) -> Thing | None:
    """The thing with that id, else the one with that name, else the one whose id the name makes."""
    things = list(known)
    folded = _folded(said)
    readings = (
        lambda thing: folded == thing.id,
        lambda thing: folded == _folded(thing.name),
        lambda thing: bool(folded) and slug(said) == thing.id,
    )
    return next((thing for fits in readings for thing in things if fits(thing)), None)


def from_id(thing_id: str) -> str:
    """What a thing is called of which only the id is left: "Orchard Pen"."""
    return thing_id.replace("-", " ").title()


def not_called(said: str, known: Iterable[Named], none: str) -> Problem:
    """What to say of a name that nobody has; `none` stands for accepted names where there are none.

    Two that share a name are told apart by their ids.
    """
    things = list(known)
    names = [thing.name for thing in things]
    accepted = [thing.id if names.count(thing.name) > 1 else thing.name for thing in things]
    spelled = [*(thing.id for thing in things), *names]
    return Problem(
        key=(),
        found=shown(said),
        accepted=in_a_row(accepted) or none,
        hint=nearest(said, spelled) if said.strip() else "",
    )


def _folded(text: str) -> str:
    return " ".join(unicodedata.normalize("NFKC", text).casefold().split())
