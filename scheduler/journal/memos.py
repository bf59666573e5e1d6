"""Small facts that must outlive the process, and the profiles that were accepted."""

import json
from collections.abc import Collection
from datetime import UTC, date, datetime

from sqlalchemy import Connection, bindparam, delete, func, insert, select

from scheduler.journal import tables
from scheduler.journal.rows import next_number

LAST_TICK = "last-tick"  # the newest time that was believed
_PROFILES_KEPT = 20
_RECALLED = select(tables.memo.c.value).where(
    tables.memo.c.site_id == bindparam("site"), tables.memo.c.name == bindparam("name")
)
_NUMBER = tables.accepted_profile.c.number
_WAS_CALLED = "was-called-"
_HOUSES = "houses"
_BACKUP_ALARMS = "backup-alarms"


def recall(connection: Connection, site_id: str, name: str) -> str | None:
    """What was noted under that name, or None."""
    asked = {"site": site_id, "name": name}
    value: str | None = connection.execute(_RECALLED, asked).scalar_one_or_none()
    return value


def recall_instant(connection: Connection, site_id: str, name: str) -> datetime | None:
    """The instant that was noted under that name, in UTC, or None."""
    told = recall(connection, site_id, name)
    return datetime.fromisoformat(told).astimezone(UTC) if told else None


def note(connection: Connection, site_id: str, name: str, value: str) -> None:
    """Notes it, instead of what stood there."""
    forget(connection, site_id, name)
    connection.execute(insert(tables.memo), {"site_id": site_id, "name": name, "value": value})


def former_ids(connection: Connection, site_id: str) -> dict[str, str]:
    """What people were called by before, by their present ids."""
    mine = select(tables.memo).filter_by(site_id=site_id)
    rows = connection.execute(mine.where(tables.memo.c.name.startswith(_WAS_CALLED))).all()
    return {row.name.removeprefix(_WAS_CALLED): row.value for row in rows}


def note_houses(connection: Connection, site_id: str, ids: Collection[str]) -> None:
    """Notes the ids of houses; none is forgotten, since its calendar may be subscribed to."""
    known = houses(connection, site_id)
    if not known.issuperset(ids):
        note(connection, site_id, _HOUSES, " ".join(sorted(known.union(ids))))


def houses(connection: Connection, site_id: str) -> frozenset[str]:
    """The id of every house that there ever was."""
    return frozenset((recall(connection, site_id, _HOUSES) or "").split())


def note_backup_alarm(connection: Connection, site_id: str, person_id: str, last: date) -> None:
    """Notes that the person fetched a backup alarm, and its last day."""
    kept = {who: day.isoformat() for who, day in backup_alarms(connection, site_id).items()}
    note(connection, site_id, _BACKUP_ALARMS, json.dumps(kept | {person_id: last.isoformat()}))


def backup_alarms(connection: Connection, site_id: str) -> dict[str, date]:
    """The last day of the backup alarm that each person fetched last, by their id."""
    kept = json.loads(recall(connection, site_id, _BACKUP_ALARMS) or "{}")
    return {person_id: date.fromisoformat(last) for person_id, last in kept.items()}


def forget_backup_alarm(connection: Connection, site_id: str, person_id: str) -> None:
    """Forgets it: somebody of that id who comes later has none."""
    kept = backup_alarms(connection, site_id)
    if kept.pop(person_id, None):
        left = {who: last.isoformat() for who, last in kept.items()}
        note(connection, site_id, _BACKUP_ALARMS, json.dumps(left))


def forget(connection: Connection, site_id: str, name: str) -> None:
    """Forgets what was noted under that name."""
    connection.execute(delete(tables.memo).filter_by(site_id=site_id, name=name))


def accept(connection: Connection, site_id: str, text: str, now: datetime) -> int:
    """Keeps the text of a profile unless it is the newest already, and says its number."""
    table = tables.accepted_profile
    newest = last_accepted(connection)
    if newest and newest[1] == text:
        return newest[0]
    number = next_number(connection, table.c.number)
    row = {"site_id": site_id, "number": number, "text": text, "accepted_at": now}
    connection.execute(insert(table), row)
    connection.execute(delete(table).where(table.c.number <= number - _PROFILES_KEPT))
    return number


def accepted(connection: Connection) -> list[tuple[int, str, datetime]]:
    """Number, text and time of each profile that is kept, the newest first, at most twenty.

    The text of one that an older program kept may be empty.
    """
    rows = connection.execute(select(tables.accepted_profile).order_by(_NUMBER.desc())).all()
    return [(row.number, row.text, row.accepted_at) for row in rows]


def oldest_accepted(connection: Connection) -> tuple[int, datetime] | None:
    """Number of the oldest profile that is still kept, from 1, and when it was accepted."""
    table = tables.accepted_profile
    oldest = select(table.c.number, table.c.accepted_at).order_by(table.c.number).limit(1)
    row = connection.execute(oldest).first()
    return (row.number, row.accepted_at) if row else None


def last_number(connection: Connection) -> int:
    """The number of the profile that was accepted last; 0 where none was."""
    return int(connection.execute(select(func.coalesce(func.max(_NUMBER), 0))).scalar_one())


def last_accepted_at(connection: Connection) -> datetime | None:
    """When the newest profile was accepted."""
    table = tables.accepted_profile
    newest = select(table.c.accepted_at).order_by(table.c.number.desc()).limit(1)
    at: datetime | None = connection.execute(newest).scalar_one_or_none()
    return at


def last_accepted(connection: Connection) -> tuple[int, str] | None:
    """Number and text of the profile that was accepted last, of whichever site."""
    table = tables.accepted_profile
    newest = select(table.c.number, table.c.text).order_by(table.c.number.desc()).limit(1)
    row = connection.execute(newest).first()
    return (row.number, row.text) if row else None
