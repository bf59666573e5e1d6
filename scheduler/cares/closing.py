"""What keepers say of a door in the evening, and what it adds up to.

Birds are neither made nor lost by it: those that belong in tonight, those still missing from
earlier evenings, those away, and those dead or given up are together the profile's birds.
"""

from bisect import bisect_right
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from itertools import groupby
from typing import Literal

ClosingKind = Literal[
    "closed", "reopened", "found", "not-found", "dead", "given-up", "elsewhere", "back", "undone"
]
DoorState = Literal["open", "shut", "searching"]
MANY_BIRDS = 20  # from here on nobody counts every evening (common practice, no source)
_DAY = timedelta(days=1)
_FULL_COUNT_EVERY = timedelta(days=7)  # common practice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Closing:
    """One thing said of one coop's evening.

    `count` is what was counted in (closed), or how many birds it is about (the others); None
    means not counted, or all that it can be about. `flock` is how many birds the profile had in
    the coop when it was said, at `made_at` where that is not `at`. Of what was taken back there
    remains "undone": `was`, `was_at` and `was_by` say what it had been, `at` and `who` when and by
    whom it was taken back.
    """

    kind: ClosingKind
    coop_id: str
    evening: date
    at: datetime
    who: str
    flock: int
    count: int | None = None
    some_missing: bool = False
    was: ClosingKind | None = None
    was_at: datetime | None = None
    was_by: str = ""
    made_at: datetime | None = None

    @property
    def known_at(self) -> datetime:
        """Since when it is known, whenever it happened."""
        return self.made_at or self.at

    @property
    def is_of_shutting(self) -> bool:
        """Whether it says that the door was shut, or takes that back."""
        return "closed" in {self.kind, self.was}

    @property
    def took_back_an_ending(self) -> bool:
        """Whether it takes back what was said of birds, not of the door."""
        return self.was is not None and self.was not in {"closed", "reopened"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Missing:
    """Birds that did not come in on the evening of `since` and were not found after it.

    `at_least`: nobody has counted since, so more of them may be missing.
    """

    since: date
    birds: int
    at_least: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """What became of so many birds, as it was said that evening."""

    kind: ClosingKind
    birds: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """Where one coop's evening stands.

    `expected` birds belong in tonight; `counted` were counted, or None when nobody counted. Of
    those expected `missing` are still looked for, and `lost` are not looked for any more tonight,
    but were not found: at least so many, where `vague`. `before` are those still missing from
    earlier evenings; `away` sleep elsewhere; `gone` are dead or given up, `given_up` of them the
    latter, who may yet come home; of the dead the last was said to be on the evening of `died_on`.

    `unsure`: some were missing, nobody knew how many; those known to be are accounted for, and
    nobody has counted since. `surplus`: so many more were found since than were known to be, when
    some were gone or away.

    `said` is the closing that shut the door, `other` a count by somebody else that it is not the
    same as, `opened` what opened the door again, `last` what was said last of that evening.
    `opening` counts how often it was opened again, `searches` how often birds were found to be
    missing, or more of them, `news` what was said of birds, or taken back, while nobody was
    looking for them. `endings` are what became of birds that evening, in the order of saying.
    """

    state: DoorState
    expected: int
    counted: int | None = None
    missing: int = 0
    vague: bool = False
    lost: int = 0
    before: tuple[Missing, ...] = ()
    away: int = 0
    gone: int = 0
    given_up: int = 0
    died_on: date | None = None
    unsure: bool = False
    surplus: int = 0
    opening: int = 0
    searches: int = 0
    news: int = 0
    endings: tuple[Ending, ...] = ()
    said: Closing | None = None
    other: Closing | None = None
    opened: Closing | None = None
    last: Closing | None = None
    evening: date = date.max  # of which this is told
    regained: tuple[Missing, ...] = ()  # of `before`, by the count: another count judges anew

    @property
    def over(self) -> int:
        """How many more were counted than belong there."""
        return max((self.counted or 0) - self.expected, 0)

    @property
    def is_surplus_asked(self) -> bool:
        """Whether a bird that was found may be one that is thought dead, lost or elsewhere."""
        return self.surplus > 0 and self.gone + self.away > 0

    @property
    def missing_before(self) -> int:
        """How many are still missing from earlier evenings."""
        return sum(one.birds for one in self.before)

    @property
    def at_large(self) -> int:
        """How many are not accounted for, looked for or not, whenever they were missed."""
        return self.missing + self.lost + self.missing_before

    @property
    def is_at_least(self) -> bool:
        """Whether more birds may be missing than are known to be: nobody has counted."""
        return self.vague or any(one.at_least for one in self.before)

    @property
    def may_miss_more(self) -> bool:
        """The same, also where none is known to be missing any more: some were, never counted."""
        return self.is_at_least or self.unsure

    @property
    def flock(self) -> int:
        """How many birds the profile has there."""
        return self.expected + self.missing_before + self.away + self.gone

    @property
    def may_come_home(self) -> int:
        """How many are elsewhere, or were given up for lost, and are not known to be dead."""
        return self.away + self.given_up

    @property
    def is_empty(self) -> bool:
        """Whether no bird sleeps there, and none is missing that might still come."""
        return self.expected + self.missing_before == 0

    @property
    def waits(self) -> bool:
        """Whether somebody still has to shut the door on birds."""
        return self.state == "open" and not self.is_empty

    @property
    def is_all_in(self) -> bool:
        """Whether the door is shut on just the birds that belong there, and none is missing."""
        return self.state == "shut" and self.counted == self.expected and not self.at_large


def expected_birds(closings: Iterable[Closing], coop_id: str, evening: date, birds: int) -> int:
    """How many belong in the coop that evening, before anything is said of it.

    `birds` is the profile's number.
    """
    earlier = (said for said in closings if said.evening < evening)
    return door(earlier, coop_id, evening, birds).expected


def door(closings: Iterable[Closing], coop_id: str, evening: date, birds: int) -> Door:
    """The fold of everything said of that coop up to that evening, evening by evening.

    `birds` is the profile's number. Who is dead or away is so until the profile's number changes:
    then the profile knows. Who is missing is missing until that is ended.
    """
    told = found_when_said(said for said in closings if said.coop_id == coop_id)
    told = [said for said in told if said.evening <= evening]
    state = Door(state="open", expected=told[0].flock if told else birds)
    for day, group in groupby(told, _evening_of):
        said = list(group)
        if day == evening:
            state = _numbering(state, birds)
            for one in said:
                state = _after(state, one)
            return replace(state, last=_newest(said), evening=evening)
        if not _is_as_expected(state, said):
            for one in said:
                state = _after(_numbering(state, one.flock), one)
            state = _next_evening(state, day)
    return replace(_numbering(state, birds), evening=evening)


def found_when_said(closings: Iterable[Closing]) -> list[Closing]:
    """Them evening by evening, where a find said of one that was counted after is of that count's.

    Of whoever was still missing by that count nobody can have known before that she is found.
    """
    told = sorted(closings, key=_evening_of)
    late = [one for one in told if one.kind == "found" and one.at.date() > one.evening]
    for one in late:
        # Nobody counts on an evening to come; the date at the site may be one ahead of UTC's.
        first = bisect_right(told, one.evening, key=_evening_of)
        last = bisect_right(told, one.at.date() + _DAY, key=_evening_of)
        counted = [
            other.evening
            for other in told[first:last]
            if (other.kind, other.coop_id) == ("closed", one.coop_id)
            and other.count is not None
            and other.at < one.at
        ]
        if counted:
            told.remove(one)
            moved = replace(one, evening=max(counted))
            before = [n for n, other in enumerate(told) if _is_before(other, moved)]
            told.insert(before[-1] + 1, moved)
    return told


def _is_before(one: Closing, other: Closing) -> bool:
    return one.evening < other.evening or (one.evening == other.evening and one.at <= other.at)


def _newest(said: Sequence[Closing]) -> Closing:
    """What was said last: where the last row was taken back, an older one may have been since."""
    if said[-1].kind != "undone":
        return said[-1]
    return max((one for one in said if one.kind == "undone"), key=lambda one: one.at)


def _evening_of(said: Closing) -> date:
    return said.evening


def _is_as_expected(state: Door, said: Sequence[Closing]) -> bool:
    """Whether an evening of which that was said leaves everything as it was: most of them do."""
    counts = {None} if state.is_at_least or state.unsure else {None, state.expected}
    return (
        len(said) == 1
        and said[0].kind == "closed"
        and said[0].count in counts
        and not said[0].some_missing
        and said[0].flock == state.flock
    )


def _numbering(state: Door, birds: int) -> Door:
    """The same with another number of birds in the profile, which knows of the dead and away."""
    if state.flock == birds:
        return state
    before, _ = _taken(state.before, state.missing_before - birds)
    expected = birds - sum(one.birds for one in before)
    missing = min(state.missing, expected)
    lost = min(state.lost, expected - missing)
    return replace(
        state,
        state="shut" if state.state == "searching" and not missing else state.state,
        expected=expected,
        missing=missing,
        lost=lost,
        vague=state.vague and missing + lost > 0,
        before=before,
        away=0,
        gone=0,
        given_up=0,
        died_on=None,
        unsure=False,
        surplus=0,
    )


def most(state: Door, kind: ClosingKind) -> int:
    """How many birds can be found, dead, away, back … as the door stands."""
    tonight = state.expected - state.lost if state.vague and state.missing else state.missing
    found = (state.expected if state.is_at_least else tonight + state.lost) + state.missing_before
    return {
        "found": found,
        "not-found": tonight,
        "dead": state.expected + state.missing_before + state.away,
        "given-up": found,
        "elsewhere": state.expected + state.missing_before,
        "back": state.may_come_home,
    }.get(kind, 0)


def last_count(closings: Iterable[Closing], coop_id: str, evening: date) -> date | None:
    """The last evening before this one on which the coop's birds were counted."""
    return max(
        (
            said.evening
            for said in closings
            if said.coop_id == coop_id
            and said.kind == "closed"
            and said.count is not None
            and said.evening < evening
        ),
        default=None,
    )


def is_count_due(closings: Iterable[Closing], coop_id: str, evening: date, expected: int) -> bool:
    """Whether so many birds that nobody counts nightly have not been counted for a week.

    A door of which less than a week is known has not been without a count for one.
    """
    if expected < MANY_BIRDS:
        return False
    known = list(closings)
    shut = [one.evening for one in known if one.coop_id == coop_id and one.kind == "closed"]
    since = last_count(known, coop_id, evening) or min(shut, default=evening)
    return evening - since >= _FULL_COUNT_EVERY


def _next_evening(state: Door, day: date) -> Door:
    """The door as the next evening finds it: whoever was not found is missing since `day`."""
    missing = state.missing + state.lost
    since = Missing(since=day, birds=missing, at_least=state.vague)
    before = (*state.before, since) if missing else state.before
    return Door(
        state="open",
        expected=state.expected - missing,
        before=before,
        away=state.away,
        gone=state.gone,
        given_up=state.given_up,
        died_on=state.died_on,
        unsure=state.unsure,
        surplus=state.surplus,
    )


def _after(state: Door, said: Closing) -> Door:
    match said.kind:
        case "closed":
            return _shut(state, said)
        case "reopened":
            opening = state.opening + 1
            return replace(state, state="open", counted=None, opening=opening, opened=said)
        case "undone":
            return _undone(state, said)
        case "back":
            return _back(state, said)
        case "found" | "not-found" | "dead" | "given-up" | "elsewhere":
            return _ended(state, said)


def _undone(state: Door, said: Closing) -> Door:
    """What is known is as if it had never been said; that it was told of it is not."""
    if said.was in {"closed", "reopened"}:
        return _door_undone(state, said)
    # Whoever was told that all are in hears that some are not.
    are_missing = state.at_large > 0
    again = state.state != "open" and are_missing
    return replace(state, searches=state.searches + again, news=state.news + 2 * are_missing)


def _door_undone(state: Door, said: Closing) -> Door:
    """The same, of what was said of the door: how often people were told of it stays."""
    if said.was == "reopened":
        # Whoever was told to shut it hears that it is shut.
        again = state.state == "searching"
        return replace(state, opening=state.opening + 1, searches=state.searches + again)
    told = _shut(state, said)
    fewer = state.state != "open" and told.at_large < state.at_large
    # The rows stand in the order of saying: the last was taken back first.
    is_newer = state.opened is None or state.opened.at <= said.at
    return replace(
        state,
        opening=state.opening + 1,
        opened=said if is_newer else state.opened,
        searches=told.searches + (fewer and state.state == "searching"),
        news=told.news + (fewer and state.state == "shut"),
    )


def _shut(state: Door, said: Closing) -> Door:
    if said.count is None:
        # Nobody is found by not being counted.
        vague = state.vague or (said.some_missing and not state.missing)
        missing = max(state.missing, min(int(said.some_missing), state.expected - state.lost))
        vague = vague and missing + state.lost > 0
        counted = None if vague else state.counted
        return _as_shut(replace(state, vague=vague, counted=counted), said, missing)
    # Whoever was told of another number hears of this one.
    is_news = state.state == "shut" and said.count != state.counted
    again = sum(one.birds for one in state.regained)
    if again and again <= state.expected:
        before = (*state.before, *state.regained)
        state = replace(state, expected=state.expected - again, before=before)
    known = tuple(replace(one, at_least=False) for one in state.before)
    left, regained = _taken(known, said.count - state.expected)
    state = replace(
        state,
        expected=state.expected + sum(one.birds for one in regained),
        before=left,
        regained=regained,
        other=_other_count(state, said),
        vague=False,
        unsure=False,
        surplus=0,
        lost=0,
        news=state.news + is_news,
    )
    return _as_shut(replace(state, counted=said.count), said, max(state.expected - said.count, 0))


def _other_count(state: Door, said: Closing) -> Closing | None:
    """What somebody else counted of the shut door, where it was another number."""
    one = state.said
    if state.state == "open" or one is None or one.count in {None, said.count}:
        return None
    return one if one.who != said.who else state.other


def _as_shut(state: Door, said: Closing, missing: int) -> Door:
    more = missing > state.missing and not state.vague  # whoever searches looks for too few
    begins = missing > 0 and (state.state != "searching" or more)
    endings = state.endings
    if state.state == "open" or said.count is not None:  # who was found is among those in
        endings = tuple(one for one in endings if one.kind not in {"found", "not-found"})
    return replace(
        state,
        endings=endings,
        state="searching" if missing else "shut",
        missing=missing,
        searches=state.searches + begins,
        said=said,
    )


def _taken(
    before: tuple[Missing, ...], birds: int
) -> tuple[tuple[Missing, ...], tuple[Missing, ...]]:
    """Who is left of those missing when so many have come back, the latest missed first."""
    left: list[Missing] = []
    taken: list[Missing] = []
    for one in sorted(before, key=lambda one: one.since, reverse=True):
        some = min(max(birds, 0), one.birds)
        birds -= some
        if some:
            taken.append(replace(one, birds=some))
        if some < one.birds:
            left.append(replace(one, birds=one.birds - some))
    return tuple(sorted(left, key=lambda one: one.since)), tuple(taken)


def _back(state: Door, said: Closing) -> Door:
    some = _limited(state, said)
    if some and state.state == "shut" and not state.expected and not state.counted:
        # It was shut on nobody: who comes home has yet to be shut in.
        opening = state.opening + 1
        state = replace(state, state="open", counted=None, opening=opening, opened=said)
    counted = state.counted
    if counted is not None:
        counted += max(some - state.over, 0)  # counted as one too many, it is in already
    of_away, of_given_up = _drawn(some, state.away)
    return replace(
        state,
        away=state.away - of_away,
        gone=state.gone - of_given_up,
        given_up=state.given_up - of_given_up,
        surplus=max(state.surplus - of_given_up, 0),
        expected=state.expected + some,
        counted=counted,
    )


def _ended(state: Door, said: Closing) -> Door:
    about = _limited(state, said)
    after = _without(state, said.kind, about)
    is_news = state.state != "searching" and after.at_large != state.at_large
    ending = Ending(kind=said.kind, birds=about)
    unsure = state.unsure or (state.is_at_least and not after.is_at_least)
    news = state.news + is_news
    if said.kind == "dead" and about:
        after = replace(after, died_on=said.evening)
    return replace(after, unsure=unsure, news=news, endings=(*state.endings, ending))


def _without(state: Door, kind: ClosingKind, about: int) -> Door:
    """Birds are found, or will not come in; the missing first, those of tonight before others."""
    inside = state.expected - state.missing - state.lost
    of_missing, rest = _drawn(about, state.missing)
    of_in = 0
    if state.vague and state.missing:  # how many of those thought to be in are missing, too?
        of_in, rest = _drawn(rest, inside)
    if kind == "not-found":
        return _settled(state, state.missing - of_missing, state.lost + of_missing + of_in)
    of_lost, rest = _drawn(rest, state.lost)
    of_before, rest = _drawn(rest, state.missing_before)
    before, _ = _taken(state.before, of_before)
    counted = state.counted
    after = _settled(state, state.missing - of_missing, state.lost - of_lost)
    after = replace(after, before=before)
    if kind == "found":
        if counted is not None:
            counted += of_missing + of_lost + of_before
        expected = state.expected + of_before
        # Only who was thought dead, lost or elsewhere before it can be among those found.
        more = of_in + rest if state.gone + state.away else 0
        surplus = state.surplus + more
        return replace(after, counted=counted, expected=expected, surplus=surplus)
    of_rest, of_away = _drawn(rest, inside - of_in)
    if counted is not None:
        counted = max(counted - of_rest, 0)
    expected = state.expected - of_missing - of_lost - of_in - of_rest
    after = replace(after, counted=counted, expected=expected, away=state.away - of_away)
    if kind == "elsewhere":
        return replace(after, away=after.away + about)
    given_up = state.given_up + (about if kind == "given-up" else 0)
    return replace(after, gone=state.gone + about, given_up=given_up)


def _drawn(birds: int, there: int) -> tuple[int, int]:
    """How many of the birds are among so many, and how many are not."""
    return min(birds, there), birds - min(birds, there)


def _limited(state: Door, said: Closing) -> int:
    """How many it is about: never more than there can be, whatever an old journal holds."""
    if said.count is not None:
        return min(max(said.count, 0), most(state, said.kind))
    if said.kind == "back":
        return state.away
    return state.missing or state.at_large


def _settled(state: Door, missing: int, lost: int) -> Door:
    """The door once so many are looked for, and so many are given up for tonight."""
    settled = state.state == "searching" and not missing
    return replace(
        state,
        state="shut" if settled else state.state,
        missing=missing,
        lost=lost,
        vague=state.vague and missing + lost > 0,
    )
