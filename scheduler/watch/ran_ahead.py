"""A clock that ran ahead: what was written down and said by a time that is still to come."""

from datetime import date, datetime, timedelta

from sqlalchemy import Connection

from scheduler.journal import closings, deliveries, done, memos, reports

FIRST_TICK = "first-tick"
CLOCK_SINCE = "clock-since"  # what the clock showed when it was last set, or when we started
_SAID_AHEAD = timedelta(minutes=5)  # less than that silences no evening but its own


def forget(connection: Connection, site_id: str, now: datetime) -> None:
    """Forgets what was written down and sent ahead of `now`."""
    shown = memos.recall_instant(connection, site_id, memos.LAST_TICK) or now
    since = memos.recall_instant(connection, site_id, CLOCK_SINCE) or now
    deliveries.forget_ahead(connection, site_id, now, shown, since)
    deliveries.hurry(connection, site_id, now)


def take_back(
    connection: Connection, site_id: str, now: datetime, *, today: date, is_sure: bool
) -> int:
    """Takes back what was said ahead of `now`; how much it was.

    Unless the network or a person vouches for `now` (`is_sure`), only that a door is shut on an
    evening that is still to come by it: what else was said may have been said by a right clock.
    """
    after = now + _SAID_AHEAD
    if not is_sure:
        return closings.undo_ahead(connection, site_id, after, now, shut_since=today)
    return (
        closings.undo_ahead(connection, site_id, after, now)
        + done.undo_ahead(connection, site_id, after, now)
        + reports.undo_ahead(connection, site_id, after, now)
    )


def begins_anew(connection: Connection, site_id: str, now: datetime) -> bool:
    """Whether the reminders seem to have begun after `now`: then they begin now."""
    first = memos.recall_instant(connection, site_id, FIRST_TICK)
    if first is None or first <= now:
        return False
    memos.note(connection, site_id, FIRST_TICK, now.isoformat())
    return True
