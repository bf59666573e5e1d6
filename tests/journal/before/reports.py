"""What keepers reported as it was kept before the diary, see `closings`."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Literal

from sqlalchemy import Connection, Row, Select, Table, bindparam, func, insert, select, update

from scheduler.cares.records import PREDATOR_DAYS, SIGNS, Report, Spell
from scheduler.journal import tables
from scheduler.journal.rows import named, next_number
from tests.journal.before.done import BY_CLOCK, undone_ahead

ChangeKind = Literal["ended", "confirmed", "undone", "label"]
_KEPT_AS_TOLD = ("kind", "air_c", "link", "who", "grade", "birds", "egg_days", "meat_days")
_TEXTS = ("said_by", "house_id", "words")  # NULL where there is none
# The columns of a report that what is said of it may change, as they were before.
_CHANGED_BY: Mapping[ChangeKind, tuple[str, ...]] = {
    "ended": ("last", "grade"),
    "confirmed": ("confirmed_on",),
    "label": ("egg_days",),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What somebody said of a report after it was made, and whether that was taken back.

    `day` is the last day of what was ended, the day of what was confirmed, None of what was undone
    and of days of withdrawal that were read from a label; `was_last` is the last day it had before;
    `turn` counts what was said of the same report, from 1; 0 until it is kept.
    """

    number: int
    turn: int = 0
    kind: ChangeKind
    day: date | None
    who: str
    at: datetime
    undone_at: datetime | None = None
    undone_by: str = ""
    was_last: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenReport:
    """A report by its number, and when and by whom it was taken back, if it is."""

    number: int
    report: Report
    undone_at: datetime | None
    undone_by: str


def in_force(connection: Connection, site_id: str) -> dict[int, Report]:
    """Every report of the site that is not taken back, by number."""
    rows = connection.execute(_IN_FORCE, {"site": site_id}).all()
    again = {row.report: row.at for row in connection.execute(_PUT_BACK, {"site": site_id}).all()}
    return {row.number: replace(_report(row), again_at=again.get(row.number)) for row in rows}


def written(connection: Connection, site_id: str) -> tuple[WrittenReport, ...]:
    """Every report that was ever made, in the order of making."""
    return tuple(
        WrittenReport(
            number=row.number,
            report=_report(row),
            undone_at=row.undone_at,
            undone_by=row.undone_by or "",
        )
        for row in connection.execute(_REPORTS, {"site": site_id}).all()
    )


def changes(connection: Connection, site_id: str) -> tuple[Change, ...]:
    """Everything that was ever said of the site's reports, of each in the order of saying."""
    rows = connection.execute(_CHANGES, {"site": site_id}).all()
    return tuple(map(_change, rows))


def changes_since(connection: Connection, site_id: str, since: datetime) -> tuple[Change, ...]:
    """What was said of the site's reports since then and still stands."""
    late = connection.execute(_CHANGED_SINCE, {"site": site_id, "since": since}).all()
    return tuple(map(_change, late))


def last_changes(connection: Connection, site_id: str) -> dict[int, Change]:
    """What was said last of each report and still stands, by the report's number."""
    found = changes(connection, site_id)
    return {one.number: one for one in found if one.undone_at is None}


def add(connection: Connection, site_id: str, report: Report, now: datetime) -> int:
    """Keeps a report and gives it the next number of its site."""
    number = next_number(connection, tables.report.c.number, site_id=site_id)
    row = named(report, _KEPT_AS_TOLD) | {
        "site_id": site_id,
        "number": number,
        "first": report.spell.first,
        "last": report.spell.last,
        "signs": " ".join(report.signs) or None,
        "made_at": now,
    }
    texts = {name: text or None for name, text in named(report, _TEXTS).items()}
    connection.execute(insert(tables.report), row | texts)
    return number


def say(connection: Connection, site_id: str, said: Change, report: Report) -> None:
    """Keeps what was said of a report, which is `report` from then on; the turn is counted here.

    One that is taken back counts as never made, but the row stays.
    """
    table, rows = tables.report, tables.report_change
    here = {"site_id": site_id, "number": said.number}
    mine = {"site_id": site_id, "report": said.number}
    was = connection.execute(select(table).filter_by(**here)).one()
    row = named(said, ("kind", "day", "who")) | {
        "turn": next_number(connection, rows.c.turn, **mine),
        "made_at": said.at,
        "was_last": was.last,
        "was_grade": was.grade,
        "was_confirmed_on": was.confirmed_on,
        "was_egg_days": was.egg_days,
    }
    connection.execute(insert(rows), mine | row)
    values: dict[ChangeKind, dict[str, Any]] = {
        "ended": {"last": report.spell.last, "grade": report.grade},
        "confirmed": {"confirmed_on": report.confirmed_on},
        "label": {"egg_days": report.egg_days},
        "undone": {"undone_at": said.at, "undone_by": said.who or None},
    }
    connection.execute(update(table).filter_by(**here).values(**values[said.kind]))


def take_back(
    connection: Connection, site_id: str, number: int, who: str, now: datetime
) -> Report | None:
    """Takes back what was said last of a report: it is what it was before.

    None when nothing was said of it. What an older program took back comes back as well.
    """
    rows = tables.report_change
    mine = _CHANGES.filter_by(report=number, undone_at=None)
    newest = mine.order_by(None).order_by(rows.c.turn.desc()).limit(1)
    last = connection.execute(newest, {"site": site_id}).first()
    if last is not None:
        this = update(rows).filter_by(site_id=site_id, report=number, turn=last.turn)
        connection.execute(this.values(undone_at=now, undone_by=who or None))
        values = _as_before(last)
    elif number not in in_force(connection, site_id):
        values = {"undone_at": None, "undone_by": None}
    else:
        return None
    here = update(tables.report).filter_by(site_id=site_id, number=number)
    connection.execute(here.values(**values))
    return in_force(connection, site_id).get(number)


def undo_ahead(connection: Connection, site_id: str, after: datetime, now: datetime) -> int:
    """Takes back what was reported, or said of a report, later than `after`; how much it was.

    A clock that ran ahead is to blame. What was said at a right time after it stands.
    """
    undone = 0
    for number in {one.number for one in changes(connection, site_id) if one.at > after}:
        while (last := last_changes(connection, site_id).get(number)) and last.at > after:
            take_back(connection, site_id, number, BY_CLOCK, now)
            undone += 1
    made = undone_ahead(tables.report, site_id, after, now)
    return undone + connection.execute(made).rowcount


def _as_before(row: Row[Any]) -> dict[str, object]:
    if row.kind == "undone":
        return {"undone_at": None, "undone_by": None}
    return {name: getattr(row, f"was_{name}") for name in _CHANGED_BY[row.kind]}


def _all(table: Table) -> Select[Any]:
    return select(table).filter_by(site_id=bindparam("site")).order_by(*table.primary_key)


# What every look asks is put together once.
_REPORTS, _CHANGES = _all(tables.report), _all(tables.report_change)
_TOLD = tables.report_change.c
_IN_FORCE = _REPORTS.filter_by(undone_at=None)
_CHANGED_SINCE = _CHANGES.where(_TOLD.made_at >= bindparam("since"), _TOLD.undone_at.is_(None))
_PUT_BACK = (
    select(_TOLD.report, func.max(_TOLD.undone_at).label("at"))
    .where(_TOLD.site_id == bindparam("site"), _TOLD.kind.in_(("ended", "undone")))
    .where(_TOLD.undone_at.is_not(None))
    .group_by(_TOLD.report)
)


def _change(row: Row[Any]) -> Change:
    return Change(
        **named(row, ("turn", "kind", "day", "who", "undone_at", "was_last")),
        number=row.report,
        at=row.made_at,
        undone_by=row.undone_by or "",
    )


def _report(row: Row[Any]) -> Report:
    grade, last = row.grade, row.last
    if row.kind == "predator" and grade is None:
        # Kept before there were grades: of its first day, with every care for fourteen.
        grade, last = "got-at", max(last, row.first + timedelta(days=PREDATOR_DAYS - 1))
    told = named(row, _KEPT_AS_TOLD) | {"grade": grade}
    return Report(
        **told | {name: text or "" for name, text in named(row, _TEXTS).items()},
        spell=Spell(first=row.first, last=last),
        confirmed_on=row.confirmed_on,
        made_at=row.made_at,
        signs=tuple(sign for sign in SIGNS if sign in (row.signs or "").split()),
    )
