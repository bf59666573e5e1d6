"""Who knows what of an evening's doors: by what they were told, or have said themselves."""

from scheduler.alerts import marks
from scheduler.alerts.evening_so_far import Night, Row
from scheduler.cares.closing import Closing


def newest_words(night: Night) -> dict[str, Row]:
    """What each person was told last of the doors, or is about to be told of this turn."""
    turn, dropped = night.turn, night.out_of_date()
    return {
        row.key.person_id: row
        for row in night.rows
        if row.key.step.tells_of_doors
        if row.may_have_arrived
        or (row.state == "pending" and row.key.opening == turn and row.key not in dropped)
    }


def arrived(night: Night) -> dict[str, Row]:
    """The newest words of the doors that may have got to each person."""
    return {
        row.key.person_id: row
        for row in night.rows
        if row.key.step.tells_of_doors
        if row.operation == "send" and row.state in {"sent", "perhaps sent", "sending"}
    }


def told_how_it_stands(night: Night) -> set[str]:
    """Who read that all are in, or that some are missing: whoever was never rung, too."""
    return {
        row.key.person_id for row in night.rows if row.key.step.says_shut and row.may_have_arrived
    }


def told_all_clear(night: Night) -> set[str]:
    """Who has been told that all is shut on this turn, or is about to be."""
    return {
        row.key.person_id
        for row in night.rows
        if row.key.opening == night.turn
        and row.key.step.is_all_clear
        and (row.may_have_arrived or row.state == "pending")
    }


def reads_as_much(night: Night) -> set[str]:
    """Whose newest words say all that the all-clear says, or wait to say it."""
    mark = marks.of_all_clear(night)
    kept = {"shut"} if night.is_searched else {"shut", "settled"}
    waiting = (row for row in night.rows if row.state == "pending" and row.key.step.kind in kept)
    return {row.key.person_id for row in waiting} | {
        person_id for person_id, row in arrived(night).items() if row.mark == mark
    }


def who_said(night: Night) -> set[str]:
    """Who said the last thing, and so knows it; nobody when the name could be of several."""
    newest = _said_last(night)
    named = {one.person_id for one in night.evening.crew if newest and one.name == newest.who}
    return named if len(named) == 1 else set()


def contradicted(night: Night) -> set[str]:
    """Whose own word was taken back last, by somebody else: what they read before is no help."""
    newest = _said_last(night)
    if newest is None or newest.who == newest.was_by:
        return set()
    return {one.person_id for one in night.evening.crew if one.name == newest.was_by}


def _said_last(night: Night) -> Closing | None:
    last = [state.last for state in night.states.values() if state.last]
    return max(last, key=lambda one: one.known_at, default=None)
