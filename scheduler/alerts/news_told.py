"""What was said of an evening before: of which house it is told, and whether birds are missed."""

from datetime import UTC, datetime

from scheduler.alerts.evening_so_far import Night
from scheduler.alerts.reminded_evening import DoorStates, RemindedDoor
from scheduler.cares.door_state import Door


def told_of(night: Night) -> RemindedDoor:
    """The open house of which something was said last."""
    states = night.states
    doors = [
        door
        for door in night.evening.doors
        if states[door.coop_id].news and states[door.coop_id].state == "open"
    ]
    return max(doors, key=lambda door: _said_at(states[door.coop_id]))


def told_late(night: Night) -> bool:
    """Whether that is that birds were not in on an evening before."""
    return misses_late(night.states[told_of(night).coop_id])


def is_missed_late(states: DoorStates) -> bool:
    """Whether what was said last of a house is that birds were not in on an evening before."""
    return any(misses_late(state) for state in states.values())


def misses_late(state: Door) -> bool:
    """The same of one house."""
    last = state.last
    if last is None or last.kind != "closed":
        return False
    return last.evening < state.evening and any(one.since == last.evening for one in state.before)


def _said_at(state: Door) -> datetime:
    return state.last.known_at if state.last else datetime.min.replace(tzinfo=UTC)
