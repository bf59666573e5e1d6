"""Somebody says that the clock is right, although it is far from what it showed before."""

from datetime import datetime

from sqlalchemy import Connection

from scheduler.journal import memos
from scheduler.journal.store import Journal

_AGREED = "clock-agreed"


def agree_clock(journal: Journal, site_id: str, now: datetime) -> None:
    """Keeps that `now`, by this machine's clock, is right; the reminders' next tick takes it."""
    with journal.writing() as writing:
        memos.note(writing.connection, site_id, _AGREED, now.isoformat())


def take_agreement(connection: Connection, site_id: str) -> datetime | None:
    """When somebody last said so, once."""
    agreed = memos.recall_instant(connection, site_id, _AGREED)
    if agreed:
        memos.forget(connection, site_id, _AGREED)
    return agreed
