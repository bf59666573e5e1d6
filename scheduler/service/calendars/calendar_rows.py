"""The published calendars as rows of the journal that several hosts share."""

from collections.abc import Iterable, Mapping
from datetime import date, datetime

from sqlalchemy import Connection, delete, select

from scheduler.feeds.feed_names import FeedName
from scheduler.journal import tables
from scheduler.journal.rows import insert_or_replace
from scheduler.service.calendars.calendar_files import Bytes, Feed

_TABLE = tables.cache_calendar


def put(connection: Connection, site_id: str, feeds: Iterable[Feed], now: datetime) -> None:
    """Replaces each calendar that changed, and takes away those that are no more.

    In the transaction in which they were published: the last to publish is the last to put.
    """
    mine = select(_TABLE).filter_by(site_id=site_id)
    known = {row.name: row for row in connection.execute(mine).all()}
    changed = [
        {
            "site_id": site_id,
            "name": feed.name,
            "content": feed.content,
            "changed_at": now if was is None or was.content != feed.content else was.changed_at,
            "last_day": feed.window.last,
        }
        for feed in feeds
        if (was := known.pop(feed.name, None)) is None
        or (was.content, was.last_day) != (feed.content, feed.window.last)
    ]
    if changed:
        insert_or_replace(connection, _TABLE, changed)
    if known:
        gone = delete(_TABLE).filter_by(site_id=site_id).where(_TABLE.c.name.in_(known))
        connection.execute(gone)


def read(connection: Connection, site_id: str) -> Mapping[FeedName, Bytes]:
    """Every calendar that is there."""
    mine = select(_TABLE).filter_by(site_id=site_id).order_by(_TABLE.c.name)
    return {
        row.name: Bytes(bytes(row.content), row.changed_at)
        for row in connection.execute(mine).all()
    }


def last_days(connection: Connection, site_id: str) -> Mapping[FeedName, date]:
    """How far each published calendar goes."""
    mine = select(_TABLE.c.name, _TABLE.c.last_day).filter_by(site_id=site_id)
    return {row.name: row.last_day for row in connection.execute(mine).all()}
