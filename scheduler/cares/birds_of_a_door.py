"""What becomes of a door's birds: who is found, dead, away or back, and of how many that can be."""

from dataclasses import replace

from scheduler.cares.closing import COMES, LEAVES, Closing, ClosingKind
from scheduler.cares.door_state import Door, Ending, Missing

MOST_COME = 500  # at one time: more is a slip of the pen


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
        **dict.fromkeys(COMES, MOST_COME),
        **dict.fromkeys(LEAVES, state.expected - state.missing - state.lost),
    }.get(kind, 0)


def numbering(state: Door, birds: int) -> Door:
    """The same with another number of birds in the profile, which knows of the dead and away."""
    if state.flock == birds:
        return state
    before, _ = taken(state.before, state.missing_before - birds)
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
        come=0,
        unsure=False,
        surplus=0,
    )


def changed_hands(state: Door, said: Closing) -> Door:
    """Birds have come to live there, or have left for good; who is missing stays so."""
    some = _limited(state, said)
    if said.kind in COMES:
        state = _opened_for(state, some, said)
        counted = None if state.counted is None else state.counted + some
        return replace(
            state, expected=state.expected + some, counted=counted, come=state.come + some
        )
    counted = None if state.counted is None else max(state.counted - some, 0)
    return replace(state, expected=state.expected - some, counted=counted, come=state.come - some)


def _opened_for(state: Door, some: int, said: Closing) -> Door:
    """A door that was shut on nobody is open again: who comes has yet to be shut in."""
    if some and state.state == "shut" and not state.expected and not state.counted:
        return replace(state, state="open", counted=None, opening=state.opening + 1, opened=said)
    return state


def taken(
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


def come_back(state: Door, said: Closing) -> Door:
    some = _limited(state, said)
    state = _opened_for(state, some, said)
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


def ended(state: Door, said: Closing) -> Door:
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
    before, _ = taken(state.before, of_before)
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
    if said.kind in COMES or said.kind in LEAVES:
        return 0
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
