"""What has become, since, of the birds that were missed on an evening that is over."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from scheduler.cares.closing import Closing, found_when_said
from scheduler.cares.door_fold import door


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """How many of those missing that evening are missing still, and what has been said since.

    `at_least`: nobody has counted since, so more of them may be missing; `unsure`: that is so
    although none of them is known to be. `said` is of later evenings, and left fewer of them
    missing.
    """

    still: int
    at_least: bool
    unsure: bool
    said: tuple[Closing, ...]

    def allows(self, birds: int) -> bool:
        """Whether so many of them can still be found, dead or given up, said of that evening."""
        return self.at_least or birds <= self.still


def since(closings: Iterable[Closing], coop_id: str, evening: date) -> Since | None:
    """What has become of that evening's missing; None where nothing was said of a later one."""
    told = found_when_said(one for one in closings if one.coop_id == coop_id)
    here = [one for one in told if one.evening <= evening]
    if len(here) == len(told):
        return None
    then = _left(here, evening)[0] if here else 0
    still, at_least, unsure = _left(told, evening)
    said: list[Closing] = []
    if still != then:  # or nothing is worth a second fold of a year's evenings
        for one in told[len(here) :]:
            here.append(one)
            left = _left(here, evening)[0]
            if left < then:
                said.append(one)
            then = left
    return Since(still=still, at_least=at_least, unsure=unsure, said=tuple(said))


def _left(told: list[Closing], evening: date) -> tuple[int, bool, bool]:
    """How many of those missing by that evening are missing yet, whether more may be, or any."""
    last = told[-1]
    state = door(told, last.coop_id, last.evening, last.flock)
    mine = [one for one in state.before if one.since <= evening]
    birds, at_least = sum(one.birds for one in mine), any(one.at_least for one in mine)
    if last.evening == evening:
        birds, at_least = birds + state.missing + state.lost, at_least or state.vague
    return birds, at_least, state.unsure
