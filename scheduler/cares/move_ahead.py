"""What is said of a move in the week before it, and on its day."""

from datetime import date, timedelta

from scheduler.profile.values import Profile
from scheduler.wording.cares.moving import MoveAhead
from scheduler.wording.spoken import day_and_month

_SAID_BEFORE = timedelta(days=7)  # common practice, no source


def move_ahead(profile: Profile, day: date) -> str:
    """What is to be known of a move on that day, in a sentence; empty where none is near."""
    move = profile.move
    if move is None or not move.on - _SAID_BEFORE <= day <= move.on:
        return ""
    until = day_and_month(move.settled_on)
    if day == move.on:
        return MoveAhead.today(until=until)
    return MoveAhead.soon(day=day_and_month(move.on), until=until)
