"""What keepers say of a door in the evening, and what it adds up to."""

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date, datetime
from typing import Literal

ClosingKind = Literal["closed", "reopened", "found", "not-found", "dead", "elsewhere", "back"]
DoorState = Literal["open", "shut", "searching"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """One thing said of one coop's evening.

    `count` is what was counted in (closed), or how many birds it is about (the others); None
    means not counted, or all that are missing. `flock` is how many birds the profile had in the
    coop when it was said.
    """

    kind: ClosingKind
    coop_id: str
    evening: date
    at: datetime
    who: str
    flock: int
    count: int | None = None
    some_missing: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """Where one coop's evening stands.

    `expected` birds belong in; `counted` were counted, or None when nobody counted; `missing` are
    still looked for (at least, where nobody counted). `said` is the closing that shut the door.
    `opening` counts the reopenings, `searches` how often birds were found to be missing.
    """

    state: DoorState
    expected: int
    counted: int | None = None
    missing: int = 0
    opening: int = 0
    searches: int = 0
    said: Closing | None = None

    @property
    def over(self) -> int:
        """How many more were counted than belong there."""
        return max((self.counted or 0) - self.expected, 0)


def expected_birds(closings: Iterable[Closing], coop_id: str, evening: date, birds: int) -> int:
    """How many belong in the coop that evening: the profile's birds, less the dead and away.

    What was said holds until the profile's count of the coop changes: then the profile knows.
    """
    away = 0
    for said in sorted(closings, key=lambda one: one.evening):
        if said.coop_id == coop_id and said.evening < evening:
            away = max(away + _taken(said), 0) if said.flock == birds else 0
    return max(birds - away, 0)


def door(closings: Iterable[Closing], coop_id: str, evening: date, expected: int) -> Door:
    """The fold of everything said of that coop and evening, in the order of saying.

    `expected` is the number before anything was said that evening.
    """
    state = Door(state="open", expected=expected)
    for said in closings:
        if said.coop_id == coop_id and said.evening == evening:
            state = _after(state, said)
    return state


def _taken(said: Closing) -> int:
    if said.kind in {"dead", "elsewhere"}:
        return said.count or 0
    return -(said.count or 0) if said.kind == "back" else 0


def _after(before: Door, said: Closing) -> Door:
    if said.kind == "reopened":
        return Door(
            state="open",
            expected=before.expected,
            opening=before.opening + 1,
            searches=before.searches,
        )
    if said.kind == "closed":
        missing = int(said.some_missing)
        if said.count is not None:
            missing = max(before.expected - said.count, 0)
        return Door(
            state="searching" if missing else "shut",
            expected=before.expected,
            counted=said.count,
            missing=missing,
            opening=before.opening,
            searches=before.searches + (missing > 0 and before.state != "searching"),
            said=said,
        )
    about = before.missing if said.count is None else said.count
    missing = before.missing if said.kind == "back" else max(before.missing - about, 0)
    leaving = {"dead": about, "elsewhere": about, "back": _taken(said)}.get(said.kind, 0)
    found = about if said.kind == "found" and before.counted is not None else 0
    settled = before.state == "searching" and not missing
    return replace(
        before,
        state="shut" if settled else before.state,
        expected=max(before.expected - leaving, 0),
        counted=None if before.counted is None else before.counted + found,
        missing=missing,
    )
