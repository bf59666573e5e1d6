"""The published events: how each was shown last, and since when."""

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, Row, delete, select

from scheduler.feeds.event import FeedEvent
from scheduler.feeds.revision import Revision
from scheduler.journal import tables
from scheduler.journal.rows import insert_or_replace, named

_OF_EVENT = ("part", "uid", "day", "title", "description")
_OF_REVISION = ("sequence", "changed_at", "cancelled_on")


def published(connection: Connection, site_id: str) -> dict[str, Revision]:
    """Every published event of the site by UID."""
    rows = connection.execute(select(tables.revision).filter_by(site_id=site_id)).all()
    return {row.uid: _revision(row) for row in rows}


def save(connection: Connection, site_id: str, revisions: Iterable[Revision]) -> None:
    """Adds the revisions, or replaces those of the same UID."""
    rows = [_row(site_id, revision) for revision in revisions]
    if rows:
        insert_or_replace(connection, tables.revision, rows)


def prune(connection: Connection, before: date) -> None:
    """Forgets events of dates before `before`, of former sites too."""
    connection.execute(delete(tables.revision).where(tables.revision.c.day < before))


def _row(site_id: str, revision: Revision) -> dict[str, Any]:
    happening = revision.event
    return named(happening, (*_OF_EVENT, "kind")) | {
        **named(revision, _OF_REVISION),
        "site_id": site_id,
        "start": _as_text(happening.start),
        "end": _as_text(happening.end),
        "rings": int(happening.rings),
        "houses": " ".join(sorted(happening.houses)),
    }


def _revision(row: Row[Any]) -> Revision:
    happening = FeedEvent(
        **named(row, _OF_EVENT),
        start=_as_when(row.start),
        end=_as_when(row.end),
        rings=bool(row.rings),
        kind=row.kind or "",
        houses=frozenset((row.houses or "").split()),
    )
    return Revision(event=happening, **named(row, _OF_REVISION))


def _as_text(when: datetime | date) -> str:
    return f"{when:%Y-%m-%dT%H:%MZ}" if isinstance(when, datetime) else when.isoformat()


def _as_when(text: str) -> datetime | date:
    return datetime.fromisoformat(text) if text.endswith("Z") else date.fromisoformat(text)
