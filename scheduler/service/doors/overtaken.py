"""What was said since a page was made, or since an evening: then a button comes too late."""

from collections.abc import Mapping, Sequence
from datetime import date

from sqlalchemy import Connection

from scheduler.alerts.evening_so_far import Night
from scheduler.cares.closing import Closing
from scheduler.cares.door_state import Door
from scheduler.cares.missed_since import since
from scheduler.journal import closings
from scheduler.service.doors.cannot_be import TAKES_AWAY
from scheduler.service.doors.statement import Overtaken, Statement

_ENDS = ("found", "not-found", *TAKES_AWAY)


def overtaken_by(
    statement: Statement,
    around: Sequence[Night],
    said: Sequence[Closing],
    connection: Connection,
    site_id: str,
) -> Overtaken | None:
    """Why a button of a page is of no use any more; a closing only where it says nothing new.

    A tap that was kept out of reception was made before what was said since, whatever the phone's
    clock shows: a door that was found open meanwhile stays open, and a search goes on. A page that
    was shown before birds were missed does not end their search, either.
    """
    night = next((one for one in around if statement.coop in one.states), None)
    if statement.turn is None or statement.coop is None or night is None:
        return None
    place, state = (statement.coop, night.evening.day), night.states[statement.coop]
    turn = closings.turns(connection, site_id, place[1]).get(place, 0)
    if statement.kind != "closed":
        if turn == statement.turn or _was_seen(statement, place, turn, said):
            return None
        stands = turn == statement.turn + 1 and _says_the_same(statement, state.last)
        return Overtaken(state=state, stands=stands)
    if _is_known(statement, state):
        return Overtaken(state=state, stands=True)
    # Where nobody has counted, an earlier count still says something.
    adds = state.state == "shut" and state.counted is None and statement.count is not None
    stale = turn != statement.turn
    if stale and ((statement.waited and not adds) or _ends_a_search(statement, state)):
        return Overtaken(state=state, stands=False)
    return None


def _was_seen(
    statement: Statement, place: tuple[str, date], turn: int, said: Sequence[Closing]
) -> bool:
    """Whether somebody saw the bird, and the others have only said since that they did not.

    Who has found her knows more than who has not, whichever of the two came through first.
    """
    if statement.kind not in {"found", "dead", "elsewhere"} or statement.turn is None:
        return False
    here = [one for one in said if (one.coop_id, one.evening) == place]
    newer = here[-(turn - statement.turn) :] if turn > statement.turn else []
    return bool(newer) and all(one.kind == "not-found" for one in newer)


def ended_since(
    statement: Statement, chosen: Mapping[str, Night], said: Sequence[Closing]
) -> Overtaken | None:
    """Why an ending comes too late: of that evening's missing fewer are missing now.

    Said of birds that were in it is kept: that a later count contradicts it is asked about.
    """
    if statement.kind not in _ENDS:
        return None
    for coop_id, night in chosen.items():
        state, later = night.states[coop_id], since(said, coop_id, night.evening.day)
        about = statement.count or state.missing or state.at_large
        if later and not later.allows(min(about, state.at_large)):
            return Overtaken(state=state, stands=False, since=later.said)
    return None


def _ends_a_search(statement: Statement, state: Door) -> bool:
    """Whether it counts birds in that were said to be missing: a page's field is filled with all.

    That fewer are in is taken of every page.
    """
    if not (state.missing or state.lost) or statement.count is None:
        return False
    known = state.expected - 1 if state.counted is None else state.counted
    return statement.count > known


def _is_known(statement: Statement, state: Door) -> bool:
    """Whether a door stands as the closing says."""
    if state.state == "open":
        return False
    if statement.count is not None:
        return statement.count == state.counted
    return state.state == "searching" if statement.some_missing else True


def _says_the_same(statement: Statement, last: Closing | None) -> bool:
    """Whether what was said last is the statement itself, sent once more: no answer came back."""
    if last is None or (last.kind, last.who) != (statement.kind, statement.who):
        return False
    return statement.count in {None, last.count}


def is_undone_by(who: str, said: Sequence[Closing]) -> bool:
    """Whether the newest thing of these is that somebody has taken one of them back."""
    last = max(said, key=lambda one: (one.at, one.kind == "undone"), default=None)
    return last is not None and (last.kind, last.who) == ("undone", who)
