"""What was said of doors, as it stands: an entry that was taken back is "undone" in its place."""

from collections.abc import Iterable
from dataclasses import dataclass, replace

from scheduler.cares.closing import Closing, ClosingKind
from scheduler.cares.diary.bird_entries import (
    BirdsArrived,
    BirdsHatched,
    BirdsMoved,
    BirdsSold,
)
from scheduler.cares.diary.door_entries import (
    BirdsAway,
    BirdsDied,
    BirdsFound,
    BirdsHomeAgain,
    DoorReopened,
    DoorShut,
    LookingStopped,
    OfADoor,
    OfBirds,
)
from scheduler.cares.diary.entry import Entry, Said, taken_back

_OF_BIRDS: dict[ClosingKind, type[OfBirds]] = {
    "arrived": BirdsArrived,
    "hatched": BirdsHatched,
    "sold": BirdsSold,
    "found": BirdsFound,
    "dead": BirdsDied,
    "elsewhere": BirdsAway,
    "back": BirdsHomeAgain,
}
_KINDS: dict[type[Said], ClosingKind] = {
    DoorShut: "closed",
    DoorReopened: "reopened",
    **{of_birds: kind for kind, of_birds in _OF_BIRDS.items()},
}


@dataclass(frozen=True, slots=True, kw_only=True)
class NumberedClosing:
    """A closing, and the number of its entry."""

    number: int
    closing: Closing


def closings_of(entries: Iterable[Entry]) -> list[NumberedClosing]:
    """Everything said of doors, in the order of saying; whatever else is among them is left out."""
    known = sorted(entries, key=lambda one: one.number)
    struck = taken_back(known)
    found = []
    for one in known:
        if isinstance(one.what, OfADoor):
            said = as_closing(one, one.what)
            if by := struck.get(one.number):
                said = _undone(said, by)
            found.append(NumberedClosing(number=one.number, closing=said))
    return found


def with_the_other_house(
    said: Iterable[NumberedClosing], these: Iterable[NumberedClosing]
) -> list[NumberedClosing]:
    """These, and what was said with them of the house that birds moved to or from.

    One half alone would make a bird, or lose one.
    """
    known = {one.number: one.closing for one in these}
    halves = {(one.other_coop, one.evening, one.at, one.who) for one in known.values()}
    return [
        one
        for one in said
        if one.number in known
        or (
            one.closing.other_coop
            and one.closing.kind != "undone"
            and (one.closing.coop_id, one.closing.evening, one.closing.at, one.closing.who)
            in halves
        )
    ]


def is_last_said(said: Iterable[NumberedClosing], these: Iterable[NumberedClosing]) -> bool:
    """Whether nothing newer that stands was said of any of their doors on that evening."""
    last = {
        (one.closing.coop_id, one.closing.evening): one.number
        for one in said
        if one.closing.kind != "undone"
    }
    return all(last[one.closing.coop_id, one.closing.evening] == one.number for one in these)


def as_closing(entry: Entry, what: OfADoor) -> Closing:
    """The entry as the doors' folds read it."""
    shut = what if isinstance(what, DoorShut) else None
    birds = what.birds if isinstance(what, OfBirds) else None
    return Closing(
        kind=_kind(what),
        coop_id=entry.about,
        evening=entry.day,
        at=entry.happened_at,
        who=entry.who,
        flock=what.flock,
        count=shut.count if shut else birds,
        some_missing=bool(shut and shut.some_missing),
        made_at=entry.said_at if entry.said_at > entry.happened_at else None,
        other_coop=what.to or what.out_of if isinstance(what, BirdsMoved) else "",
    )


def _kind(what: OfADoor) -> ClosingKind:
    if isinstance(what, LookingStopped):
        return "given-up" if what.for_good else "not-found"
    if isinstance(what, BirdsMoved):
        return "moved-out" if what.to else "moved-in"
    return _KINDS[type(what)]


def said_in(closing: Closing) -> OfADoor:
    """What the closing says."""
    flock, birds = closing.flock, closing.count
    match closing.kind:
        case "closed":
            return DoorShut(flock=flock, count=birds, some_missing=closing.some_missing)
        case "reopened":
            return DoorReopened(flock=flock)
        case "not-found" | "given-up":
            for_good = closing.kind == "given-up"
            return LookingStopped(flock=flock, birds=birds, for_good=for_good)
        case "moved-out":
            return BirdsMoved(flock=flock, birds=birds, to=closing.other_coop)
        case "moved-in":
            return BirdsMoved(flock=flock, birds=birds, out_of=closing.other_coop)
    return _OF_BIRDS[closing.kind](flock=flock, birds=birds)


def _undone(said: Closing, by: Entry) -> Closing:
    return replace(
        said,
        kind="undone",
        at=by.happened_at,
        who=by.who or said.who,
        made_at=None,
        was=said.kind,
        was_at=said.at,
        was_by=said.who,
    )
