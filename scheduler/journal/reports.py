"""What keepers reported, and what was said of it since: ended, still in force, taken back."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from typing import Any, Literal

from sqlalchemy import Connection, Row, Select, Table, bindparam, func, insert, select, update

from scheduler.cares.records import PREDATOR_DAYS, SIGNS, Report, Spell
from scheduler.journal import tables
from scheduler.journal.clock_ahead import BY_CLOCK, undone_ahead

ChangeKind = Literal["ended", "confirmed", "undone", "label"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What somebody said of a report after it was made, and whether that was taken back.

    `day` is the last day of what was ended, the day of what was confirmed, None of what was undone
    and of days of withdrawal that were read from a label; `was_last` is the last day it had before;
    `turn` counts what was said of the same report, from 1.
    """

    number: int
    turn: int
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
    again = _put_back(connection, site_id)
    return {row.number: replace(_report(row), again_at=again.get(row.number)) for row in rows}


def _put_back(connection: Connection, site_id: str) -> dict[int, datetime]:
    """When each report was last put back, of those that had been ended or taken back."""
    rows = connection.execute(_PUT_BACK, {"site": site_id}).all()
    return {row.report: row.at for row in rows if row.at}


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
    table = tables.report
    highest = select(func.coalesce(func.max(table.c.number), 0)).where(table.c.site_id == site_id)
    number = int(connection.execute(highest).scalar_one()) + 1
    row = {
        "site_id": site_id,
        "number": number,
        "kind": report.kind,
        "first": report.spell.first,
        "last": report.spell.last,
        "air_c": report.air_c,
        "link": report.link,
        "who": report.who,
        "grade": report.grade,
        "made_at": now,
        "said_by": report.said_by or None,
        "house_id": report.house_id or None,
        "birds": report.birds,
        "words": report.words or None,
        "signs": " ".join(report.signs) or None,
        "egg_days": report.egg_days,
        "meat_days": report.meat_days,
    }
    connection.execute(insert(table), row)
    return number


def end(connection: Connection, site_id: str, number: int, ended: Report, said: Change) -> None:
    """Gives a report the last day of `ended`, and the grade that it counts as."""
    values = {"last": ended.spell.last, "grade": ended.grade}
    _say(connection, site_id, number, said, values)


def confirm(connection: Connection, site_id: str, number: int, said: Change) -> None:
    """Keeps that somebody said on the change's day that the report still holds."""
    _say(connection, site_id, number, said, {"confirmed_on": said.day})


def label(connection: Connection, site_id: str, number: int, egg_days: int, said: Change) -> None:
    """Keeps how many days the eggs are withheld after a medicine, as read since."""
    _say(connection, site_id, number, said, {"egg_days": egg_days})


def undo(connection: Connection, site_id: str, number: int, said: Change) -> None:
    """Takes a report back: it counts as never made, but the row stays."""
    values = {"undone_at": said.at, "undone_by": said.who or None}
    _say(connection, site_id, number, said, values)


def take_back(
    connection: Connection, site_id: str, number: int, who: str, now: datetime
) -> Report | None:
    """Takes back what was said last of a report: it is what it was before.

    None when nothing was said of it. What an older program took back comes back as well.
    """
    table, rows = tables.report, tables.report_change
    mine = _CHANGES.where(rows.c.report == number, rows.c.undone_at.is_(None))
    newest = mine.order_by(None).order_by(rows.c.turn.desc()).limit(1)
    last = connection.execute(newest, {"site": site_id}).first()
    if last is not None:
        here = (rows.c.site_id == site_id) & (rows.c.report == number) & (rows.c.turn == last.turn)
        undone = {"undone_at": now, "undone_by": who or None}
        connection.execute(update(rows).where(here).values(**undone))
        values = _as_before(last)
    elif number not in in_force(connection, site_id):
        values = {"undone_at": None, "undone_by": None}
    else:
        return None
    here = (table.c.site_id == site_id) & (table.c.number == number)
    connection.execute(update(table).where(here).values(**values))
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
    if row.kind == "ended":
        return {"last": row.was_last, "grade": row.was_grade}
    if row.kind == "confirmed":
        return {"confirmed_on": row.was_confirmed_on}
    if row.kind == "label":
        return {"egg_days": row.was_egg_days}
    return {"undone_at": None, "undone_by": None}


def _say(
    connection: Connection, site_id: str, number: int, said: Change, values: Mapping[str, object]
) -> None:
    table, rows = tables.report, tables.report_change
    here = (table.c.site_id == site_id) & (table.c.number == number)
    was = connection.execute(select(table).where(here)).one()
    highest = select(func.coalesce(func.max(rows.c.turn), 0))
    highest = highest.where(rows.c.site_id == site_id, rows.c.report == number)
    row = {
        "site_id": site_id,
        "report": number,
        "turn": int(connection.execute(highest).scalar_one()) + 1,
        "kind": said.kind,
        "day": said.day,
        "was_last": was.last,
        "was_grade": was.grade,
        "was_confirmed_on": was.confirmed_on,
        "was_egg_days": was.egg_days,
        "who": said.who,
        "made_at": said.at,
    }
    connection.execute(insert(rows), row)
    connection.execute(update(table).where(here).values(**values))


def _all(table: Table) -> Select[Any]:
    mine = select(table).where(table.c.site_id == bindparam("site"))
    return mine.order_by(*table.primary_key)


# What every look asks is put together once.
_REPORTS, _CHANGES = _all(tables.report), _all(tables.report_change)
_TOLD = tables.report_change.c
_IN_FORCE = _REPORTS.where(tables.report.c.undone_at.is_(None))
_CHANGED_SINCE = _CHANGES.where(_TOLD.made_at >= bindparam("since"), _TOLD.undone_at.is_(None))
_PUT_BACK = (
    select(_TOLD.report, func.max(_TOLD.undone_at).label("at"))
    .where(_TOLD.site_id == bindparam("site"), _TOLD.kind.in_(("ended", "undone")))
    .group_by(_TOLD.report)
)


def _change(row: Row[Any]) -> Change:
    return Change(
        number=row.report,
        turn=row.turn,
        kind=row.kind,
        day=row.day,
        who=row.who,
        at=row.made_at,
        undone_at=row.undone_at,
        undone_by=row.undone_by or "",
        was_last=row.was_last,
    )


def _report(row: Row[Any]) -> Report:
    grade, last = row.grade, row.last
    if row.kind == "predator" and grade is None:
        # Kept before there were grades: of its first day, with every care for fourteen.
        grade, last = "got-at", max(last, row.first + timedelta(days=PREDATOR_DAYS - 1))
    return Report(
        kind=row.kind,
        spell=Spell(first=row.first, last=last),
        air_c=row.air_c,
        link=row.link,
        who=row.who,
        grade=grade,
        confirmed_on=row.confirmed_on,
        made_at=row.made_at,
        said_by=row.said_by or "",
        house_id=row.house_id or "",
        birds=row.birds,
        words=row.words or "",
        signs=tuple(sign for sign in SIGNS if sign in (row.signs or "").split()),
        egg_days=row.egg_days,
        meat_days=row.meat_days,
    )
