"""What people say: one table, written here alone; read by family, by number, or page by page."""

from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, bindparam, func, insert, select

from scheduler.cares.diary.codec import decode, encode
from scheduler.cares.diary.entry import BY_CLOCK, Entry, Family, TakenBack, taken_back
from scheduler.cares.diary.job_entries import OfAJob
from scheduler.journal import tables
from scheduler.journal.rows import named, next_number

PAGE = 500
_OF = tables.entry.c
_AS_IT_IS = ("about", "day", "who", "person_id", "said_at", "happened_at")
# What every look asks is put together once.
_ALL = select(tables.entry).filter_by(site_id=bindparam("site"))
_FAMILY = _ALL.filter_by(family=bindparam("family"))
_SINCE = _FAMILY.where(_OF.day >= bindparam("since"))
_THESE = _ALL.where(_OF.number.in_(bindparam("numbers", expanding=True)))
_BACK = _ALL.where(_OF.takes_back.in_(bindparam("numbers", expanding=True)))


def keep(connection: Connection, site_id: str, said: Iterable[Entry]) -> list[int]:
    """Keeps these entries in this order; the numbers that they have from now on."""
    rows = [_values(one) | {"family": one.what.FAMILY, "care_id": _care_id(one)} for one in said]
    return _keep(connection, site_id, rows)


def take_back(
    connection: Connection, site_id: str, numbers: Collection[int], who: str, now: datetime
) -> None:
    """Keeps that these entries do not count any more; of one that takes back, that it is void."""
    found = connection.execute(_THESE, {"site": site_id, "numbers": [*numbers]}).mappings().all()
    rows = [
        _values(
            Entry(
                what=TakenBack(entry=row["number"]),
                about=row["about"],
                day=row["day"],
                who=who,
                said_at=now,
                happened_at=now,
            )
        )
        | {"family": row["family"], "care_id": row["care_id"], "takes_back": row["number"]}
        for row in found
    ]
    _keep(connection, site_id, rows)


def _values(one: Entry) -> dict[str, object]:
    kind, version, said = encode(one.what)
    told = {"kind": kind, "version": version, "said": said, "takes_back": None}
    return named(one, _AS_IT_IS) | told


def _care_id(one: Entry) -> str | None:
    return one.what.care_id if isinstance(one.what, OfAJob) else None


def _keep(connection: Connection, site_id: str, rows: Sequence[dict[str, object]]) -> list[int]:
    first = next_number(connection, _OF.number, site_id=site_id)
    numbers = [*range(first, first + len(rows))]
    numbered = [
        row | {"site_id": site_id, "number": number}
        for number, row in zip(numbers, rows, strict=True)
    ]
    if numbered:
        connection.execute(insert(tables.entry), numbered)
    return numbers


def of_family(
    connection: Connection, site_id: str, family: Family, since: date | None = None
) -> list[Entry]:
    """Everything said of that family, of the days from `since` on, in the order of saying."""
    asked: dict[str, Any] = {"site": site_id, "family": family}
    if since is None:
        return _entries(connection.execute(_FAMILY, asked).mappings())
    return _entries(connection.execute(_SINCE, asked | {"since": since}).mappings())


def by_number(connection: Connection, site_id: str, numbers: Collection[int]) -> list[Entry]:
    """The entries of these numbers, and whatever takes them back."""
    asked = {"site": site_id, "numbers": [*numbers]}
    found = _entries(connection.execute(_THESE, asked).mappings())
    while asked["numbers"]:
        back = _entries(connection.execute(_BACK, asked).mappings())
        asked = {"site": site_id, "numbers": [one.number for one in back]}
        found += back
    return found


def said_ahead(
    connection: Connection, site_id: str, family: Family, after: datetime
) -> list[Entry]:
    """What was said of that family later than `after`, is no taking back, and still stands."""
    late = _FAMILY.where(_OF.said_at > after, _OF.takes_back.is_(None))
    asked = {"site": site_id, "family": family}
    found = _entries(connection.execute(late, asked).mappings())
    struck = taken_back(by_number(connection, site_id, [one.number for one in found]))
    return [one for one in found if one.number not in struck]


def undo_ahead(connection: Connection, site_id: str, ahead: Sequence[Entry], now: datetime) -> int:
    """Takes these back in the name of the clock by which they were said; how many they are."""
    take_back(connection, site_id, [one.number for one in ahead], BY_CLOCK, now)
    return len(ahead)


def page(connection: Connection, site_id: str, after: int = 0) -> list[Entry]:
    """The next 500 entries after that number, in the order of saying."""
    late = _ALL.where(_OF.number > after).order_by(_OF.number).limit(PAGE)
    return _entries(connection.execute(late, {"site": site_id}).mappings())


def last_number(connection: Connection, site_id: str, family: Family) -> int:
    """The number of what was said last of that family; 0 where nothing was."""
    newest = select(func.coalesce(func.max(_OF.number), 0))
    found = newest.filter_by(site_id=site_id, family=family)
    return int(connection.execute(found).scalar_one())


def _entries(rows: Iterable[RowMapping]) -> list[Entry]:
    """In the order of saying: SQLite, asked for it, reads every entry to have it."""
    found = [
        Entry(
            what=decode(row["kind"], row["version"], row["said"]),
            number=row["number"],
            **{name: row[name] for name in _AS_IT_IS},
        )
        for row in rows
    ]
    return sorted(found, key=lambda one: one.number)
