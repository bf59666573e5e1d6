"""The first day at a new place: it begins once the last evening at the old one is over.

Between two places near each other that is so anyway. Where the new clock is many hours ahead, or
the old place's summer evening ends after the new one's dawn, the door is opened later, so that
each date still has one let-out and one lock-up in their order.
"""

from dataclasses import replace
from datetime import datetime, timedelta

from scheduler.cares.let_out import LetOut
from scheduler.cares.lock_up import LockUp

_NIGHT = timedelta(hours=1)  # common practice, no source: long enough for the evening's last calls
_MINUTE = timedelta(minutes=1)
_LATEST_AFTER = timedelta(minutes=20)  # common practice, no source: as where there is no dusk


def opened_after(before: LockUp, let_out: LetOut) -> LetOut:
    """The first let-out at the new place: an hour after the old one's last shut-by at least."""
    earliest = before.latest + _NIGHT
    return LetOut(instant=earliest, basis="moved") if let_out.instant < earliest else let_out


def shut_after(let_out: datetime, lock_up: LockUp) -> LockUp:
    """The first lock-up at the new place, not before that day's let-out."""
    earliest = let_out + _MINUTE
    if lock_up.instant >= earliest:
        return lock_up
    latest = max(lock_up.latest, earliest + _LATEST_AFTER)
    return replace(lock_up, instant=earliest, latest=latest, basis="moved")
