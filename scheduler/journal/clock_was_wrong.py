"""What a clock that was wrong has written down, once it is right again."""

from datetime import datetime, timedelta

from sqlalchemy import (
    Connection,
    delete,
    func,
    select,
    update,
)

from scheduler.alerts.step import decode
from scheduler.journal import tables
from scheduler.journal.deliveries import WENT, read_evening
from scheduler.journal.rows import named

_TABLE, _OF_EVENING, _TRIES = tables.delivery, tables.evening.c, tables.attempt.c
_LONGEST_WAIT = timedelta(minutes=20)  # the longest pause is 16, see alerts.outcome
_DAY = timedelta(days=1)
_NOTICE_USEFUL = _DAY
_STILL_STANDS = timedelta(hours=1)  # who was told so little too early has not forgotten it


def hurry(connection: Connection, site_id: str, now: datetime) -> None:
    """After the clock was set back: no second try waits for a time that the old clock showed.

    What is less than 20 minutes away stays: a clock that goes back and forth must not call for
    one try after the other.
    """
    of, waits = _TABLE.c, update(_TABLE).filter_by(site_id=site_id, state="pending")
    again = waits.where(of.attempts > 0, of.next_at > now + _LONGEST_WAIT)
    connection.execute(again.where(of.due_at <= now).values(next_at=now))
    connection.execute(again.where(of.due_at > now).values(next_at=of.due_at))


def forget_ahead(
    connection: Connection, site_id: str, now: datetime, shown: datetime, since: datetime
) -> None:
    """Forgets what was written down for instants to come: a clock that ran ahead called them due.

    What was never tried comes once more at its time; so does, being `early`, what went out more
    than an hour before it. What it overtook is due after all. A notice of something that has
    happened goes out now. An evening whose first step is to come is planned anew. The clock has
    shown `shown` since it went wrong, at `since` or later: by that much it was ahead.
    """
    of, told_at = _TABLE.c, _told_at(connection, site_id, now, shown, min(since, now))
    of_use = (of.due_at > now) | (of.state.in_(WENT) & (of.useful_until > now))
    rows = select(_TABLE).filter_by(site_id=site_id).where(of_use)
    for row in connection.execute(rows).all():
        mine = update(_TABLE).filter_by(id=row.id)
        is_to_come = row.due_at > now
        step, is_sent = decode(row.step), row.operation == "send"
        is_step, has_its_time = is_sent and step.is_reminder, is_sent and step.has_its_time
        early_by = row.due_at - told_at.get(row.id, min(now, row.due_at))
        if is_to_come and row.subject_id == site_id and not has_its_time:
            moved = {"due_at": now, "next_at": now, "useful_until": now + _NOTICE_USEFUL}
            connection.execute(mine.where(of.state == "pending").values(**moved))
        elif is_to_come and not row.attempts:
            connection.execute(delete(_TABLE).filter_by(id=row.id))
        elif early_by > _STILL_STANDS and (is_step or (is_to_come and has_its_time)):
            connection.execute(mine.values(state="early", lease_until=None))
        elif not is_to_come:
            continue
        if is_step:
            same = named(row, ("site_id", "subject_id", "day"))
            overtaken = delete(_TABLE).filter_by(**same, state="missed", attempts=0)
            connection.execute(overtaken)
    _plan_anew(connection, site_id, now)


def _told_at(
    connection: Connection, site_id: str, now: datetime, shown: datetime, since: datetime
) -> dict[int, datetime]:
    """By the right clock, when each delivery was last tried of those since then, or before it."""
    last = select(_TRIES.delivery_id, func.max(_TRIES.began_at)).filter_by(site_id=site_id)
    late = last.where(_TRIES.began_at >= since).group_by(_TRIES.delivery_id)
    began = connection.execute(late).all()
    ahead = max([now, shown, *(at for _, at in began)]) - now
    return {row_id: at - ahead for row_id, at in began}


def _plan_anew(connection: Connection, site_id: str, now: datetime) -> None:
    mine = select(tables.evening).filter_by(site_id=site_id)
    for row in connection.execute(mine.where(_OF_EVENING.day >= now.date() - _DAY)).all():
        kept = read_evening(row.snapshot)
        if kept and all(step.at > now for step in kept.steps):
            this = named(row, ("site_id", "subject_id", "day"))
            connection.execute(delete(tables.evening).filter_by(**this))
