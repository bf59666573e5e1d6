"""Keep what people say in one table: closings, reports and jobs done are copied, not moved.

The old tables stay as they are; an older program that is still running can write no more to them,
so that nothing is said where nobody reads it.
"""

import json
from collections import deque
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta
from heapq import merge
from itertools import count
from typing import Any

import sqlalchemy as sa
from alembic import op

revision = "0010"
down_revision = "0009"

_OLD = ("closing", "done", "report", "report_change")
_KINDS = {
    "closed": "door-shut",
    "reopened": "door-reopened",
    "found": "found",
    "not-found": "stopped-looking",
    "given-up": "stopped-looking",
    "dead": "died",
    "elsewhere": "away",
    "back": "home-again",
}
_PREDATOR_DAYS = 14
_BATCH = 500


@dataclass(eq=False, slots=True)
class _Saying:
    """A row to be, what took it back, and by when it was said at the soonest: its place."""

    at: int
    row: dict[str, Any]
    backs: list[Any] = field(default_factory=list)  # of these; Alembic loads no forward reference
    target: Any = None
    number: int = 0

    def taken_back(self, at: int, who: str | None) -> "_Saying":
        """What took it back, at that time or right after it was said, whatever the clock showed."""
        same = {name: self.row[name] for name in ("family", "about", "day", "care_id")}
        row = same | {"kind": "taken-back", "who": who or "", "said": {}, **_at(at)}
        back = _Saying(max(at, self.at), row, target=self)
        self.backs.append(back)
        return back


def upgrade() -> None:
    """Makes the table and copies everything into it, site by site."""
    _make()
    connection = op.get_bind()
    for site_id in _sites(connection):
        _copy(connection, site_id)
    # No program that wrote the old tables knows another engine than SQLite.
    for table in _OLD if connection.dialect.name == "sqlite" else ():
        for change in ("INSERT", "UPDATE", "DELETE"):
            op.execute(
                f"CREATE TRIGGER {table}_kept_{change.lower()} BEFORE {change} ON {table} BEGIN "
                "SELECT RAISE(ABORT, 'this journal is of a newer Duskfold'); END"
            )
    op.drop_table("cache_settled")  # it may be emptied at any time
    op.create_table(
        "cache_settled",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("family", sa.String(10), primary_key=True),
        sa.Column("before", sa.Date, nullable=False),
        sa.Column("numbers", sa.Text, nullable=False),
    )
    op.execute("UPDATE schema SET version = 10, min_reader = 10")


def _make() -> None:
    op.create_table(
        "entry",
        sa.Column("site_id", sa.String(40), primary_key=True),
        sa.Column("number", sa.Integer, primary_key=True, autoincrement=False),
        sa.Column("family", sa.String(10), nullable=False),
        sa.Column("kind", sa.String(30), nullable=False),
        sa.Column("version", sa.Integer, nullable=False),
        sa.Column("about", sa.String(40), nullable=False),
        sa.Column("day", sa.Date, nullable=False),
        sa.Column("care_id", sa.String(80)),
        sa.Column("takes_back", sa.Integer),
        sa.Column("who", sa.Text, nullable=False),
        sa.Column("person_id", sa.String(40)),
        sa.Column("said_at", sa.BigInteger, nullable=False),
        sa.Column("happened_at", sa.BigInteger, nullable=False),
        sa.Column("said", sa.Text, nullable=False),
    )
    op.create_index("ix_entry_family_day", "entry", ["site_id", "family", "day"])
    op.create_index("ix_entry_care", "entry", ["site_id", "care_id", "happened_at"])
    op.create_index("ix_entry_takes_back", "entry", ["site_id", "takes_back"])


def _sites(connection: sa.Connection) -> list[str]:
    asked = " UNION ".join(f"SELECT site_id FROM {table}" for table in _OLD)  # noqa: S608 - names of ours
    return sorted(connection.execute(sa.text(asked)).scalars())


def _copy(connection: sa.Connection, site_id: str) -> None:
    streams = [
        list(_closings(connection, site_id)),
        list(_done(connection, site_id)),
        *_reports(connection, site_id),
    ]
    backs = list(_backs(one for stream in streams for one in stream))
    table = sa.table("entry", *map(sa.column, _COLUMNS), sa.column("day", sa.Date))
    rows = [_numbered(site_id, one) for one in _in_order(streams, backs)]
    for start in range(0, len(rows), _BATCH):
        op.execute(table.insert().values(rows[start : start + _BATCH]))


_COLUMNS = (
    *("site_id", "number", "family", "kind", "version", "about", "care_id", "takes_back"),
    *("who", "said_at", "happened_at", "said"),
)


def _backs(said: Iterable[_Saying]) -> Iterator[_Saying]:
    for one in said:
        yield from one.backs
        yield from _backs(one.backs)


def _in_order(streams: list[list[_Saying]], backs: list[_Saying]) -> Iterator[_Saying]:
    """In the order of saying, each stream in its own; whatever takes back comes after its own."""
    numbers = count(1)
    held: dict[_Saying, list[_Saying]] = {}  # what takes back something that is still to come
    waiting = deque(sorted(backs, key=lambda one: one.at))

    def kept(one: _Saying) -> Iterator[_Saying]:
        if one.target is not None and not one.target.number:
            held.setdefault(one.target, []).append(one)
            return
        one.number = next(numbers)
        yield one
        for back in held.pop(one, []):
            yield from kept(back)

    for one in merge(*streams, key=lambda one: one.at):
        while waiting and waiting[0].at < one.at:
            yield from kept(waiting.popleft())
        yield from kept(one)
    for back in waiting:
        yield from kept(back)


def _numbered(site_id: str, one: _Saying) -> dict[str, Any]:
    said = one.row["said"]
    if one.target is not None:
        said = {"entry": one.target.number}
    return one.row | {
        "site_id": site_id,
        "number": one.number,
        "version": 1,
        "takes_back": one.target.number if one.target else None,
        "said": json.dumps(said, separators=(",", ":")),
    }


def _at(happened: int, said: int | None = None) -> dict[str, int]:
    return {"happened_at": happened, "said_at": happened if said is None else said}


def _rows(connection: sa.Connection, table: str, order: str, site_id: str) -> list[Any]:
    asked = sa.text(f"SELECT * FROM {table} WHERE site_id = :site ORDER BY {order}")  # noqa: S608 - names of ours
    return list(connection.execute(asked, {"site": site_id}).all())


def _closings(connection: sa.Connection, site_id: str) -> Iterator[_Saying]:
    for row in _rows(connection, "closing", "number", site_id):
        said: dict[str, Any] = {"flock": row.flock}
        if row.count is not None and row.kind != "reopened":
            said["count" if row.kind == "closed" else "birds"] = row.count
        if row.kind == "closed" and row.some_missing:
            said["some_missing"] = True
        if row.kind == "given-up":
            said["for_good"] = True
        one = _Saying(
            row.made_at,
            {
                "family": "door",
                "kind": _KINDS[row.kind],
                "about": row.coop_id,
                "day": date.fromisoformat(row.evening),
                "care_id": None,
                "who": row.who,
                "said": said,
                **_at(row.at, row.made_at),
            },
        )
        if row.undone_at is not None:
            one.taken_back(row.undone_at, row.undone_by or row.who)
        yield one


def _done(connection: sa.Connection, site_id: str) -> Iterator[_Saying]:
    # Traces have ordinals below 1: they were made before the row that stands.
    for row in _rows(connection, "done", "made_at, ordinal, day, care_id, subject_id", site_id):
        said: dict[str, Any] = {"care_id": row.care_id}
        # A tick that was taken back was of the first of its date, as nearly all are; one that was
        # only outdated keeps an ordinal that no job has.
        ordinal = row.ordinal if row.ordinal > 0 or row.undone_at is None else 1
        if ordinal != 1:
            said["ordinal"] = ordinal
        one = _Saying(
            row.made_at,
            {
                "family": "job",
                "kind": "job-done",
                "about": row.subject_id,
                "day": date.fromisoformat(row.day),
                "care_id": row.care_id,
                "who": row.who,
                "said": said,
                **_at(row.at, row.made_at),
            },
        )
        if row.undone_at is not None:
            one.taken_back(row.undone_at, row.undone_by)
        yield one


def _reports(connection: sa.Connection, site_id: str) -> Iterator[list[_Saying]]:
    """Each report as it was made, with what was said of it since."""
    changes: dict[int, list[Any]] = {}
    for row in _rows(connection, "report_change", "report, turn", site_id):
        changes.setdefault(row.report, []).append(row)
    for row in _rows(connection, "report", "number", site_id):
        yield _report(site_id, row, changes.get(row.number, []))


def _report(site_id: str, row: Any, changes: list[Any]) -> list[_Saying]:  # noqa: ANN401 - a row
    made = _Saying(row.made_at, _made(site_id, row, changes))
    found = [made]
    is_struck = False
    for change in changes:
        if change.kind == "undone":
            said = made.taken_back(change.made_at, change.who)
            is_struck = is_struck or change.undone_at is None
        else:
            said = _Saying(max(change.made_at, found[-1].at), _changed(made.row, change))
            found.append(said)
        if change.kind == "label":
            said.row["said"]["egg_days"] = _label(row, change, changes)
        if change.undone_at is not None:
            said.taken_back(change.undone_at, change.undone_by)
    if row.undone_at is not None and not is_struck:
        made.taken_back(row.undone_at, row.undone_by)
    return found


def _made(site_id: str, row: Any, changes: list[Any]) -> dict[str, Any]:  # noqa: ANN401 - a row
    """The report before anything was said of it: what stands has what was said of it in it."""
    stood = _first(changes)
    first = date.fromisoformat(row.first)
    last = row.last if "ended" not in stood else stood["ended"].was_last
    confirmed_on = row.confirmed_on
    if "confirmed" in stood:
        confirmed_on = stood["confirmed"].was_confirmed_on
    egg_days = row.egg_days if "label" not in stood else stood["label"].was_egg_days
    grade = row.grade if "ended" not in stood else stood["ended"].was_grade
    if row.kind == "predator" and grade is None:
        # Kept before there were grades: of its first day, with every care for fourteen.
        grade, least = "got-at", str(first + timedelta(days=_PREDATOR_DAYS - 1))
        last = max(last or least, least)
    told = {
        "last": last,
        "air_c": row.air_c,
        "link": row.link,
        "binds": row.who,
        "grade": grade,
        "birds": row.birds,
        "words": row.words,
        "signs": (row.signs or "").split(),
        "egg_days": egg_days,
        "meat_days": row.meat_days,
        "confirmed_on": confirmed_on,
        "of_house": bool(row.house_id),
    }
    said = {name: value for name, value in told.items() if value not in (None, "", [], False)}
    # No number of days is not nought days.
    said |= {name: told[name] for name in ("egg_days", "meat_days", "air_c") if told[name] == 0}
    return {
        "family": "report",
        "kind": "report-made",
        "about": row.house_id or site_id,
        "day": first,
        "care_id": None,
        "who": row.said_by or "",
        **_at(row.made_at),
        "said": {"report": row.number, "kind": row.kind, **said},
    }


def _first(changes: list[Any]) -> Mapping[str, Any]:
    """The first change of each kind: it knows what the report was before."""
    found: dict[str, Any] = {}
    for one in changes:
        found.setdefault(one.kind, one)
    return found


def _label(row: Any, change: Any, changes: list[Any]) -> int | None:  # noqa: ANN401 - rows
    """What was read then: what the next label found, or what stands; None where nobody knows."""
    later = [one for one in changes if one.kind == "label" and one.turn > change.turn]
    until = later[0].made_at if later else None
    is_lost = change.undone_at is not None and (until is None or change.undone_at < until)
    if is_lost:
        return None
    days: int | None = later[0].was_egg_days if later else row.egg_days
    return days


def _changed(made: Mapping[str, Any], change: Any) -> dict[str, Any]:  # noqa: ANN401 - a row
    said: dict[str, Any] = {"report": made["said"]["report"]}
    if change.kind == "label":
        kind = "label-read"
    elif change.kind == "ended":
        kind = "report-ended"
        said["last"] = change.day
    else:
        kind = "report-confirmed"
        said["on"] = change.day
    return {**made, "kind": kind, "who": change.who, "said": said, **_at(change.made_at)}
