"""What people say: one table, written here alone, and read by family or by number."""

import json
from collections.abc import Collection, Iterable, Sequence
from datetime import date, datetime
from typing import Any

from sqlalchemy import Connection, RowMapping, bindparam, delete, func, insert, select

from scheduler.cares.diary.codec import decode, encode
from scheduler.cares.diary.entry import Entry, Family, TakenBack
from scheduler.cares.diary.job_entries import OfAJob
from scheduler.journal import tables
from scheduler.journal.rows import named, next_number

_OF = tables.entry.c
_AS_IT_IS = ("about", "day", "who", "person_id", "said_at", "happened_at")
# What every look asks is put together once.
_ALL = select(tables.entry).filter_by(site_id=bindparam("site"))
_FAMILY = _ALL.filter_by(family=bindparam("family"))
_SINCE = _FAMILY.where(_OF.day >= bindparam("since"))
_THESE = _ALL.where(_OF.number.in_(bindparam("numbers", expanding=True)))
_BACK = _ALL.where(_OF.takes_back.in_(bindparam("numbers", expanding=True)))
_SETTLED = select(tables.cache_settled).filter_by(
    site_id=bindparam("site"), family=bindparam("family")
)


def keep(
    connection: Connection, site_id: str, said: Iterable[Entry], back: Sequence[Entry] = ()
) -> None:
    """Keeps these entries in this order under the next numbers, and then those that take back."""
    rows = [_values(one) | {"family": one.what.FAMILY, "care_id": _care_id(one)} for one in said]
    rows += _taking_back(connection, site_id, back)
    if not rows:
        return
    first = next_number(connection, _OF.number, site_id=site_id)
    numbered = [
        row | {"site_id": site_id, "number": number} for number, row in enumerate(rows, first)
    ]
    connection.execute(insert(tables.entry), numbered)
    _unsettle(connection, site_id, numbered)


def _taking_back(
    connection: Connection, site_id: str, back: Sequence[Entry]
) -> list[dict[str, object]]:
    """They are kept with the family of what they take back, and are about the same."""
    targets = [one.what.entry for one in back if isinstance(one.what, TakenBack)]
    if not targets:
        return []
    found = connection.execute(_THESE, {"site": site_id, "numbers": targets}).mappings()
    rows = {row["number"]: row for row in found}
    same = ("about", "day", "family", "care_id")
    return [
        _values(one) | {name: rows[target][name] for name in same} | {"takes_back": target}
        for one, target in zip(back, targets, strict=True)
    ]


def _values(one: Entry) -> dict[str, object]:
    kind, version, said = encode(one.what)
    told = {"kind": kind, "version": version, "said": said, "takes_back": None}
    return named(one, _AS_IT_IS) | told


def _care_id(one: Entry) -> str | None:
    return one.what.care_id if isinstance(one.what, OfAJob) else None


def of_family(
    connection: Connection, site_id: str, family: Family, since: date | None = None
) -> list[Entry]:
    """Everything said of that family, of the days from `since` on, in the order of saying."""
    asked: dict[str, Any] = {"site": site_id, "family": family}
    if since is None:
        return _entries(connection.execute(_FAMILY, asked).mappings())
    return _entries(connection.execute(_SINCE, asked | {"since": since}).mappings())


def by_number(connection: Connection, site_id: str, numbers: Collection[int]) -> list[Entry]:
    """The entries of these numbers, and whatever takes them back, each once."""
    asked = {"site": site_id, "numbers": [*numbers]}
    found = {one.number: one for one in _entries(connection.execute(_THESE, asked).mappings())}
    while asked["numbers"]:
        back = _entries(connection.execute(_BACK, asked).mappings())
        asked = {"site": site_id, "numbers": [n for one in back if (n := one.number) not in found]}
        found |= {one.number: one for one in back}
    return [*found.values()]


def said_after(
    connection: Connection, site_id: str, family: Family, after: datetime
) -> list[Entry]:
    """What was said of that family later than `after`."""
    late = _FAMILY.where(_OF.said_at > after)
    asked = {"site": site_id, "family": family}
    return _entries(connection.execute(late, asked).mappings())


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


def that_matter(
    connection: Connection, site_id: str, family: Family, day: date = date.max
) -> list[Entry]:
    """What was said of that family, but for what is settled and matters no more: not to `day`."""
    known = _settled(connection, site_id, family)
    if known is None or day < known[0]:
        return of_family(connection, site_id, family)
    before, numbers = known
    old = by_number(connection, site_id, numbers)
    return [*old, *of_family(connection, site_id, family, before)]


def settle(  # noqa: PLR0913, PLR0917 - of which family, before when, what is left, of what it was found
    connection: Connection,
    site_id: str,
    family: Family,
    before: date,
    numbers: Sequence[int],
    newest: int,
) -> None:
    """From now on only these of what was said of days before that date are read.

    Not where something was said since the entry `newest`: then the next night will do.
    """
    if last_number(connection, site_id, family) != newest:
        return
    _forget_settled(connection, site_id, family)
    row = {
        "site_id": site_id,
        "family": family,
        "before": before,
        "numbers": json.dumps([*numbers]),
    }
    connection.execute(insert(tables.cache_settled), row)


def _settled(connection: Connection, site_id: str, family: Family) -> tuple[date, list[int]] | None:
    asked = {"site": site_id, "family": family}
    found = connection.execute(_SETTLED, asked).mappings().first()
    return (found["before"], json.loads(found["numbers"])) if found else None


def _unsettle(connection: Connection, site_id: str, kept: Iterable[dict[str, Any]]) -> None:
    """Reads everything again where something is said of a day that was settled."""
    first: dict[Family, date] = {}
    for row in kept:
        first[row["family"]] = min(row["day"], first.get(row["family"], date.max))
    for family, day in first.items():
        known = _settled(connection, site_id, family)
        if known and day < known[0]:
            _forget_settled(connection, site_id, family)


def _forget_settled(connection: Connection, site_id: str, family: Family) -> None:
    mine = delete(tables.cache_settled).filter_by(site_id=site_id, family=family)
    connection.execute(mine)
