"""One call to search for missing birds: which of them it is, and in which light it is made."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import timedelta
from typing import Literal

from scheduler.alerts.delivery import LOUD, USUAL, Priority
from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import DoorStates, RemindedDoor
from scheduler.alerts.step import SearchKind
from scheduler.cares.closing import Closing

_DAWN = timedelta(hours=1)  # before the let-out, by whose light birds are seen (common practice)


@dataclass(frozen=True, slots=True, kw_only=True)
class SearchCall:
    """Birds are missing: `which` time it is told of them.

    `unheard`: nobody has told them that the door is shut, so this does. `again`: it goes out
    because somebody took back how the search had ended.
    """

    which: SearchKind
    unheard: bool = False
    again: bool = False

    @property
    def told(self) -> SearchKind | Literal["again"]:
        """In which words it is told."""
        if self.unheard:
            return "search-first"
        return "again" if self.again else self.which

    @property
    def priority(self) -> Priority:
        """Loud the first time, and whenever it is news."""
        return LOUD if self.which == "search-first" or self.unheard or self.again else USUAL


def searched(night: Night) -> list[RemindedDoor]:
    """The doors behind which birds are missing and looked for."""
    return [one for one in night.evening.doors if night.states[one.coop_id].state == "searching"]


def is_dark(night: Night, call: SearchCall) -> bool:
    """Whether they look by torchlight: it was said before dawn."""
    evening, last = night.evening, newest_said(night.evening.doors, night.states)
    said_by_day = bool(last and last.at >= evening.let_out - _DAWN)
    return call.which != "search-before-let-out" and not said_by_day


def newest_said(doors: Sequence[RemindedDoor], states: DoorStates) -> Closing | None:
    """What was said last of these doors."""
    found = [last for door in doors if (last := states[door.coop_id].last)]
    return max(found, key=lambda one: one.at, default=None)
